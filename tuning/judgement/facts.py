"""What the rules may ask about one end of the bike, told from readings, settings and the client's answers."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from tuning.engine.case import Adjuster, Case
from tuning.engine.settings import preload_in
from tuning.judgement.model import Dossier, Finding

#: Near the end of a damper's counted range, as a share of it (common practice).
NEAR_END = 0.1
COMPRESSION = ("compression", "compression_low", "compression_high")

#: What complaints ask of the dampers (common practice); an end in the symptom's own name fixes where it belongs.
_REBOUND = {
    "pogo": "firmer",
    "floats": "firmer",
    "wallows": "firmer",
    "packs_down": "softer",
    "harsh_series": "softer",
}
_COMPRESSION = {"harsh_single": "softer", "bottoms_bumps": "firmer", "rear_squats": "firmer"}
#: Complaints of quick shaft movement: where a high-speed adjuster is fitted, they are its business.
_FAST = frozenset({"harsh_single", "bottoms_bumps", "rear_kicks"})
#: Print lays these on too much rear rebound and on too little; the settle test decides (common practice).
TWO_WAYS = ("rear_kicks", "runs_wide_exit")
#: A settle test that shows nothing wrong.
SETTLES = frozenset({"no_bounce", "one_bounce"})
_SETTLE = {"many_bounces": "firmer", "slow": "softer"}
_STEERING = {
    "slow_turn_in": "slow",
    "runs_wide_mid": "slow",
    "nervous_turn_in": "nervous",
    "falls_in": "nervous",
    "twitchy": "nervous",
}


def finding(findings: Iterable[Finding], quantity: str, end: str) -> Finding | None:
    """Return the finding of a quantity at an end, whether judged in mm or as a share."""
    keys = (f"{quantity}.{end}", f"{quantity}_share.{end}")
    return next((item for item in findings if item.key in keys), None)


def adjusters(case: Case, end: str, *kinds: str) -> tuple[Adjuster, ...]:
    """Return the end's adjusters of the first of ``kinds`` that it has."""
    for kind in kinds:
        found = tuple(row for row in case.adjusters if row.end == end and row.kind == kind)
        if found:
            return found
    return ()


def verdict(item: Finding | None) -> str:
    """Return a finding's verdict as a fact; one that cannot tell for lack of a number is unknown, else in band."""
    if item is None or (item.verdict == "cannot_tell" and item.decide == item.key):
        return "unknown"
    return "in_band" if item.verdict == "cannot_tell" else item.verdict


def _rate(alone: Finding | None, rider: Finding | None) -> str:
    """Judge the spring by the pair of sags: bike alone on one side of its band while the rider's is right or on the
    other side. Springs cost money, so only a certain bike-alone sag speaks."""
    first, second = verdict(alone), verdict(rider)
    if alone is None or "unknown" in (first, second):
        return "unknown"
    if alone.certain and first == "below" and second in ("in_band", "above"):
        return "soft"
    if alone.certain and first == "above" and second in ("in_band", "below"):
        return "stiff"
    return "right" if alone.certain or first == "in_band" else "unknown"


def _room(rows: tuple[Adjuster, ...]) -> tuple[str, str]:
    """Return whether preload can be wound (further in, further out): by the leg with least room."""
    if not rows:
        return "unknown", "unknown"
    more, less = [], []
    for row in rows:
        wound = preload_in(row)
        if row.range_counted is not None and wound is not None:
            more.append("yes" if wound < row.range_counted else "no")
        elif row.counted_from == "closed" and row.found is not None:
            more.append("yes" if row.found > 0 else "no")
        else:
            more.append("unknown")
        less.append("unknown" if wound is None else "yes" if wound > 0 else "no")
    return _worst(more), _worst(less)


def _worst(answers: list[str]) -> str:
    return next(answer for answer in ("no", "unknown", "yes") if answer in answers)


def _wish(wanted: set[str]) -> str:
    if not wanted:
        return "none"
    return "disagree" if len(wanted) > 1 else next(iter(wanted))


def _wishes(dossier: Dossier, end: str, table: Mapping[str, str]) -> set[str]:
    found = set()
    for symptom in dossier.symptoms:
        where = "rear" if symptom.id.startswith("rear_") else symptom.end
        if symptom.id in table and where in ("", end):
            found.add(table[symptom.id])
    return found


def _rebound(dossier: Dossier, end: str) -> set[str]:
    """Return what is asked of the end's rebound. A complaint that names no end belongs to the one whose settle test
    shows something, where the other's does not."""
    answers = dossier.case.answers
    shown = {where: _SETTLE.get(answers.get(f"settle.{where}", "")) for where in ("front", "rear")}
    other = shown["rear" if end == "front" else "front"]
    here = dossier
    if other and not shown[end]:
        here = replace(dossier, symptoms=tuple(one for one in dossier.symptoms if one.end))
    own = shown[end]
    return _wishes(here, end, _REBOUND) | ({own} if own else set())


def _compression(dossier: Dossier, end: str, reserve: str) -> set[str]:
    """Return what is asked of the end's compression. A dive that ends at the stop is a matter of springs and oil; a
    kick is one of compression only where the rebound settles as it should."""
    found = _wishes(dossier, end, _COMPRESSION)
    told = {one.id for one in dossier.symptoms}
    if end == "front" and "brake_dive" in told and reserve not in ("bottomed", "below"):
        found |= {"firmer"} if adjusters(dossier.case, end, *COMPRESSION) else set()
    if end == "rear" and "rear_kicks" in told and dossier.case.answers.get("settle.rear") in SETTLES:
        found.add("softer")
    return found


def compression_kinds(dossier: Dossier, end: str) -> tuple[str, ...]:
    """Return the kinds of compression adjuster in the order that the end's complaints ask for."""
    told = {one.id for one in dossier.symptoms if one.end in ("", end)}
    return ("compression", "compression_high", "compression_low") if told & _FAST else COMPRESSION


def undecided(dossier: Dossier) -> bool:
    """Return whether a complaint that print lays on either way of the rear's rebound waits for the settle test."""
    told = {one.id for one in dossier.symptoms}
    squats = "rear_squats" in told  # Then it is not held down.
    asks = told & {name for name in TWO_WAYS if not (squats and name == "runs_wide_exit")}
    return bool(asks) and "settle.rear" not in dossier.case.answers


def _steering(dossier: Dossier) -> set[str]:
    told = {one.id for one in dossier.symptoms}
    found = {_STEERING[name] for name in told if name in _STEERING}
    # Wide on the exit is the rear's matter while it sits down or its rebound is in doubt.
    if "runs_wide_exit" in told and "rear_squats" not in told and not undecided(dossier):
        found.add("slow")
    return found


def _fork_position(case: Case) -> str:
    rows = adjusters(case, "front", "fork_position")
    if not rows:
        return "no"
    return "flush" if all(row.found == 0 for row in rows) else "yes"


def leverage(dossier: Dossier, end: str) -> float | None:
    """Return the rear's leverage as told, or where the rider's sag stands in a table of it; None when unknown."""
    found = next((row.value for row in dossier.case.readings if (row.quantity, row.end) == ("leverage", end)), None)
    table = dossier.case.leverage_table
    if found is not None or end != "rear" or not table:
        return found
    sag = dossier.derivation.get("sag_rider_aboard.rear")
    at = sag.value if sag is not None and sag.value is not None else 0.0
    return float(np.interp(at, [row[0] for row in table], [row[1] for row in table]))


def position(dossier: Dossier, end: str, *kinds: str) -> tuple[str, float | None]:
    """Return where the end's dampers of the first of ``kinds`` stand, with the share of the range that says so."""
    shares = [dossier.derivation.get(f"clicker_position.{a.key}") for a in adjusters(dossier.case, end, *kinds)]
    values = [share.value for share in shares if share is not None and share.value is not None]
    if not values:
        return "unknown", None
    if min(values) <= NEAR_END:
        return "closed", min(values)
    return "open" if max(values) >= 1 - NEAR_END else "middle", max(values)


def _reserve(dossier: Dossier, item: Finding | None, end: str) -> str:
    # Where no reserve is wanted (off-road), the end of the stroke may be met now and then by the hardest event.
    for ride in ("normal",) if item is None else ("normal", "hardest"):
        value = dossier.derivation.get(f"reserve_{ride}.{end}")
        if value is not None and value.status == "at_most":
            return "bottomed"
    return verdict(item)


def facts_of(dossier: Dossier, findings: Iterable[Finding], end: str) -> dict[str, str]:
    """Return every fact of ``rulebook.FACTS`` for one end."""
    rows = tuple(findings)
    case = dossier.case
    alone, rider = (finding(rows, name, end) for name in ("sag_bike_alone", "sag_rider_aboard"))
    more, less = _room(adjusters(case, end, "preload"))
    legs = next((check.verdict for check in dossier.derivation.checks if check.id == "legs_unequal"), "")
    reserve = _reserve(dossier, finding(rows, "reserve_normal", end), end)
    rebound, compression = _wish(_rebound(dossier, end)), _wish(_compression(dossier, end, reserve))
    wishes = {rebound, compression} & {"firmer", "softer"}
    return {
        "legs": {"": "unknown", "passes": "even"}.get(legs, "unequal"),
        "alone": verdict(alone),
        "rider": verdict(rider),
        "rate": _rate(alone, rider),
        "room_more": more,
        "room_less": less,
        "springs": "no" if dossier.budget == "none" else "yes",
        "reserve": reserve,
        "fluid": "older" if case.answers.get("fluid_age") == "older" else "not_old",
        "damping_wish": "yes" if wishes else "no",
        "rebound_wish": rebound,
        "compression_wish": compression,
        "rebound_at": position(dossier, end, "rebound")[0],
        "compression_at": position(dossier, end, *compression_kinds(dossier, end))[0],
        "steering": _wish(_steering(dossier)),
        "fork_position": _fork_position(case),
        "air": "yes" if end == "front" and case.front_architecture == "air" else "no",
    }
