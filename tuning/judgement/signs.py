"""Signs: what speaks for or against a cause, each with the states it can show. Nothing is guessed: what was not
read, set or answered shows "unknown"; what the bike does not have shows "none"."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import hypot
from types import MappingProxyType

from tuning.engine.case import DISCIPLINES, FRONT_ARCHITECTURES, REAR_ARCHITECTURES, Adjuster
from tuning.engine.derivation import Check
from tuning.engine.quantities import ENDS
from tuning.engine.rates import TOPPED_OUT
from tuning.engine.vocabulary import OFF_ROAD, SYMPTOM_IDS, SYMPTOMS
from tuning.judgement.facts import COMPRESSION, adjusters, facts_of, finding, position, verdict
from tuning.judgement.model import Dossier, Finding

#: A tyre older than this is hardening though not yet refused, years (common practice).
AGEING_TYRE = 5.0
#: Ground trail outside these is short or long for any road or off-road bike, mm (common practice, wide).
SHORT_TRAIL, LONG_TRAIL = 85.0, 115.0
#: Legs this far up through the clamps stand far from most makers' position; under the other, flush (common practice).
FAR_UP, FLUSH = 10.0, 1.0
#: Where no reserve is set as a target: this share of the stroke left after a hard ride is much (common practice).
MUCH_LEFT = 0.25
#: Complaints that may be felt at either end; the rest belong to the bike or to one end by what they say.
EITHER_END = frozenset(SYMPTOMS["bumps"] + SYMPTOMS["landing"] + SYMPTOMS["general"])
#: States that never speak.
SILENT = ("unknown", "none")


@dataclass(frozen=True, slots=True)
class Sign:
    """The states a sign can show besides the silent ones, what is asked when it is unknown (``quantity.end``,
    ``answer.…``, ``setting.…``, ``stop.…`` or ``trial.…``; "" when it is never unknown), and its parameters."""

    states: tuple[str, ...]
    ask: str = ""
    whole: bool = False
    params: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Seen:
    """What a sign shows in a case, with the numbers that spoke."""

    state: str
    params: Mapping[str, object] = field(default_factory=dict)


_BAND = ("below", "in_band", "above")
_PLACE = ("closed", "middle", "open")
_YES = ("yes", "no")
_TRIAL = ("more_helped", "more_hurt", "less_helped", "less_hurt")
#: Stop question → name of its sign.
_STOP = {
    "play": "play",
    "leak": "leak",
    "damage": "damage",
    "recent_crash": "crash",
    "tyres": "worn_tyres",
    "warning_lamp": "lamp",
    "wobble": "wobble",
}
#: Readings that a sign rests on.
_RESTS_ON = {
    "rider_sag": ("length_topped_out", "length_rider_aboard"),
    "alone_sag": ("length_topped_out", "length_bike_alone"),
    "rate": ("length_topped_out", "length_bike_alone", "length_rider_aboard"),
    "reserve": ("stroke", "deepest_normal", "deepest_hardest"),
}
#: Answer → state of the sign it is of.
_TERRAIN = {"sand": "sand", "mud": "mud", "hard_ground": "hard", "mixed_ground": "mixed"}
_CHAIN = {"as_in_manual": "right", "too_tight": "off", "too_loose": "off"}
_STEERING_DAMPER = {"not_fitted": "absent", "set_soft": "soft", "set_middle": "middle", "set_hard": "hard"}
_SETTLED = {"rebound": ("firmer", "softer"), "compression": ("firmer", "softer"), "preload": ("more", "less")}
_TRIED = ("rebound", "compression", "preload", "ride_height")

SIGNS: Mapping[str, Sign] = MappingProxyType(
    {
        "rider_sag": Sign(_BAND, "length_rider_aboard.{end}", params=("sag_mm",)),
        "alone_sag": Sign(("topped_out", *_BAND), "length_bike_alone.{end}", params=("alone_mm",)),
        "rate": Sign(("soft", "right", "stiff"), "length_bike_alone.{end}", params=("alone_mm", "sag_mm")),
        "reserve": Sign(("bottomed", *_BAND), "deepest_normal.{end}", params=("reserve_mm",)),
        "ride": Sign(("gentle", "hard"), "answer.ride_hardness", True),
        "rebound_at": Sign(_PLACE, "setting.{end}.rebound", params=("position_share",)),
        "compression_at": Sign(_PLACE, "setting.{end}.compression", params=("position_share",)),
        "high_compression_at": Sign(_PLACE, "setting.{end}.compression_high", params=("position_share",)),
        "room_more": Sign(_YES, "setting.{end}.preload"),
        "room_less": Sign(_YES, "setting.{end}.preload"),
        "sides": Sign(("alike", "unlike"), "setting.{end}.preload"),
        "friction": Sign(("usual", "high"), "friction.{end}", params=("band_mm", "limit_mm")),
        "fluid": Sign(("fresh", "ageing", "old"), "answer.fluid_age", True),
        "tyre_pressure": Sign(("low", "right", "high"), "tyre_pressure.{end}", params=("pressure_kpa", "manual_kpa")),
        "tyre_age": Sign(("fresh", "ageing", "old"), "tyre_age.{end}", params=("age",)),
        "settle": Sign(("no_bounce", "one_bounce", "many_bounces", "slow"), "answer.settle.{end}"),
        "legs": Sign(("even", "unequal"), "setting.front.fork_position", True, ("apart_mm",)),
        "load": Sign(("solo", "passenger", "luggage"), "", True),
        "gross": Sign(("within", "over"), "gross_mass_limit", True, ("total_kg", "limit_kg")),
        "attitude": Sign(("nose_high", "level", "nose_low"), "length_rider_aboard.{end}", True),
        "trail": Sign(("short", "usual", "long"), "ground_trail", True, ("trail_mm",)),
        "fork_legs": Sign(("flush", "between", "far_up"), "setting.front.fork_position", True, ("proud_mm",)),
        "levelling": Sign(("done", "not_done"), "answer.levelling_done", True),
        "terrain": Sign(("sand", "mud", "hard", "mixed"), "answer.terrain", True),
        "chain": Sign(("right", "off"), "answer.chain_slack", True),
        "steering_damper": Sign(("absent", "soft", "middle", "hard"), "answer.steering_damper", True),
        "outcome": Sign(("better", "same", "worse", "mixed"), "answer.outcome", True),
        "architecture": Sign(tuple(dict.fromkeys(FRONT_ARCHITECTURES + REAR_ARCHITECTURES))),
        "discipline": Sign(DISCIPLINES, "", True),
    }
    | {sign: Sign(_YES, f"stop.{question}", True) for question, sign in _STOP.items()}
    | {f"{kind}_trial": Sign(_TRIAL, f"trial.{kind}.{{end}}") for kind in _TRIED}
    | {f"settled_{kind}": Sign(ways, params=("count", "of")) for kind, ways in _SETTLED.items()}
)
#: Signs of the whole bike.
WHOLE = frozenset(name for name, sign in SIGNS.items() if sign.whole)
FELT = Sign(_YES, params=("symptom",))
#: Signs that are always known: a rule's conditions may read only these.
ALWAYS = frozenset({"architecture", "load", "discipline"})


@dataclass(frozen=True, slots=True)
class Signs:
    """All signs of a case by (end, name); the end is "" for what belongs to the whole bike."""

    seen: Mapping[tuple[str, str], Seen]
    felt: frozenset[tuple[str, str]]

    def at(self, ref: str, end: str) -> Seen:
        """Return what a sign shows to a cause at ``end``."""
        where, name = place(ref, end)
        symptom = name.removeprefix("felt.")
        if symptom == name:
            return self.seen[where, name]
        spots = {spot for known, spot in self.felt if known == symptom}
        hit = bool(spots & {"", where}) if where and symptom in EITHER_END else bool(spots)
        return Seen("yes" if hit else "no", {"symptom": symptom})

    def ask(self, name: str, end: str) -> str:
        """Return what to read, answer, set or try for an unknown sign."""
        known = SIGNS[name]
        if name == "attitude":
            end = next((item for item in ENDS if self.seen[item, "rider_sag"].state == "unknown"), end)
        if name == "rate" and self.seen[end, "rider_sag"].state == "unknown":
            known = SIGNS["rider_sag"]
        return known.ask.format(end=end)


def spec(ref: str) -> Sign | None:
    """Return the sign a reference names, ``felt.`` and a complaint among them; None for an unknown one."""
    if ref.startswith("felt."):
        return FELT if ref.removeprefix("felt.") in SYMPTOM_IDS else None
    return SIGNS.get(ref)


def place(ref: str, end: str) -> tuple[str, str]:
    """Return (end, name) of the sign that a reference means for a cause at ``end``."""
    return ("" if ref in WHOLE else end), ref


def felt_end(symptom: str, end: str) -> str:
    """Return the end a complaint is felt at: fixed by its own name, else as told."""
    return "rear" if symptom.startswith("rear_") else end


def read_signs(dossier: Dossier, findings: tuple[Finding, ...]) -> Signs:
    """Return what every sign shows in the case."""
    facts = {end: facts_of(dossier, findings, end) for end in ENDS}
    seen: dict[tuple[str, str], Seen] = {}
    for end in ENDS:
        doubted = _doubted(dossier, end)
        for name, shown in _at_end(dossier, findings, facts[end], end).items():
            seen[end, name] = Seen("unknown") if name in doubted else shown
    seen |= {("", name): shown for name, shown in _whole(dossier, facts["front"]).items()}
    seen["", "attitude"] = Seen(_attitude(*(seen[end, "rider_sag"].state for end in ENDS)))
    felt = frozenset((symptom.id, felt_end(symptom.id, symptom.end)) for symptom in dossier.symptoms)
    return Signs(MappingProxyType(seen), felt)


def _whole(dossier: Dossier, facts: Mapping[str, str]) -> dict[str, Seen]:
    case = dossier.case
    answers, state = case.answers, case.load_state
    fluid = {"under_two_years": "fresh", "two_to_four": "ageing", "older": "old"}
    hardness = answers.get("ride_hardness", "")
    electronic = "semi_active" in (case.front_architecture, case.rear_architecture)
    levelling = {"yes": "done", "no": "not_done"}.get(answers.get("levelling_done", ""), "unknown")
    ground = _TERRAIN.get(answers.get("terrain", ""), "unknown")
    overload, legs = _check(dossier, "overload"), _check(dossier, "legs_unequal", "front")
    return {
        "ride": Seen("unknown" if not hardness else "gentle" if hardness in ("1", "2") else "hard"),
        "fluid": Seen(fluid.get(answers.get("fluid_age", ""), "unknown")),
        "legs": Seen(facts["legs"], {"apart_mm": legs.params.get("apart_mm") if legs else None}),
        "load": Seen("passenger" if "two_up" in state else "luggage" if "luggage" in state else "solo"),
        "gross": _checked(overload, {"passes": "within"}, "over", ("total_kg", "limit_kg")),
        "trail": _trail(_number(dossier, "ground_trail")),
        "fork_legs": _fork_legs(adjusters(case, "front", "fork_position")),
        "levelling": Seen(levelling if electronic else "none"),
        "outcome": Seen(answers.get("outcome", "unknown")),
        "terrain": Seen(ground if case.discipline in OFF_ROAD else "none"),
        "chain": Seen(_CHAIN.get(answers.get("chain_slack", ""), "unknown")),
        "steering_damper": Seen(_STEERING_DAMPER.get(answers.get("steering_damper", ""), "unknown")),
        "discipline": Seen(case.discipline),
    } | {sign: Seen(_yes_no(dossier.stop_answers.get(question, ""))) for question, sign in _STOP.items()}


def _at_end(dossier: Dossier, findings: tuple[Finding, ...], facts: Mapping[str, str], end: str) -> dict[str, Seen]:
    case = dossier.case
    alone, sag = _number(dossier, f"sag_bike_alone.{end}"), _number(dossier, f"sag_rider_aboard.{end}")
    topped = alone is not None and alone < TOPPED_OUT
    banded = finding(findings, "sag_bike_alone", end)
    alone_state = "topped_out" if topped else "none" if alone is not None and banded is None else verdict(banded)
    frictions = [c for c in dossier.derivation.checks if c.id == "friction_high" and c.end == end]
    friction = next((c for c in frictions if c.verdict != "passes"), frictions[0] if frictions else None)
    off = _check(dossier, "pressure_off", end)
    front = end == "front"
    shown = {
        "rider_sag": Seen(facts["rider"], {"sag_mm": sag}),
        "alone_sag": Seen(alone_state, {"alone_mm": alone}),
        "rate": Seen(_rate(dossier, findings, facts["rate"], end), {"alone_mm": alone, "sag_mm": sag}),
        "reserve": _reserve(dossier, findings, facts["reserve"], end),
        "rebound_at": _place(dossier, end, "rebound"),
        "compression_at": _place(dossier, end, *COMPRESSION),
        "high_compression_at": _place(dossier, end, "compression_high"),
        "sides": _sides(dossier, end),
        "friction": _checked(friction, {"passes": "usual"}, "high", ("band_mm", "limit_mm")),
        "tyre_pressure": _checked(off, {"passes": "right"}, _off(off), ("pressure_kpa", "manual_kpa")),
        "tyre_age": _tyre_age(_check(dossier, "tyre_old", end)),
        "settle": Seen(case.answers.get(f"settle.{end}", "unknown")),
        "architecture": Seen(case.front_architecture if front else case.rear_architecture),
    }
    preload = adjusters(case, end, "preload")
    shown |= {name: Seen(facts[name] if preload else "none") for name in ("room_more", "room_less")}
    shown |= {f"settled_{kind}": _settled(dossier, end, kind) for kind in _SETTLED}
    return shown | {f"{kind}_trial": _trial(dossier, end, kind) for kind in _TRIED}


def _doubted(dossier: Dossier, end: str) -> frozenset[str]:
    """Return the signs of an end that rest on a reading which a check wants taken again before all else."""
    again = {key for check in dossier.derivation.checks if check.verdict == "blocks" for key in check.again}
    return frozenset(name for name, used in _RESTS_ON.items() if again & {f"{reading}.{end}" for reading in used})


def _number(dossier: Dossier, key: str) -> float | None:
    value = dossier.derivation.get(key)
    return None if value is None else value.value


def _check(dossier: Dossier, name: str, end: str = "") -> Check | None:
    return next((c for c in dossier.derivation.checks if c.id == name and c.end == end), None)


def _checked(check: Check | None, states: Mapping[str, str], otherwise: str, params: tuple[str, ...]) -> Seen:
    if check is None:
        return Seen("unknown")
    return Seen(states.get(check.verdict, otherwise), {name: check.params.get(name) for name in params})


def _off(check: Check | None) -> str:
    if check is None:
        return "unknown"
    now, wanted = (check.params.get(name) for name in ("pressure_kpa", "manual_kpa"))
    if not isinstance(now, int | float) or not isinstance(wanted, int | float):
        return "unknown"
    return "low" if now < wanted else "high"


def _tyre_age(check: Check | None) -> Seen:
    age = check.params.get("age") if check else None
    if check is None or not isinstance(age, int | float):
        return Seen("unknown")
    state = "old" if check.verdict != "passes" else "ageing" if age > AGEING_TYRE else "fresh"
    return Seen(state, {"age": age})


def _yes_no(answer: str) -> str:
    return answer if answer in _YES else "unknown"


def _attitude(front: str, rear: str) -> str:
    """Judge how the bike stands by both sags with the rider: less sag is higher."""
    height = {"below": 1, "in_band": 0, "above": -1}
    if front not in height or rear not in height:
        return "unknown"
    tilt = height[front] - height[rear]
    return "nose_high" if tilt > 0 else "nose_low" if tilt < 0 else "level"


def _trail(value: float | None) -> Seen:
    if value is None:
        return Seen("unknown")
    state = "short" if value < SHORT_TRAIL else "long" if value > LONG_TRAIL else "usual"
    return Seen(state, {"trail_mm": value})


def _fork_legs(rows: tuple[Adjuster, ...]) -> Seen:
    proud = [row.found for row in rows if row.found is not None and row.unit == "mm"]
    if not proud:
        return Seen("unknown" if rows else "none")
    most = max(proud)
    state = "far_up" if most >= FAR_UP else "flush" if most < FLUSH else "between"
    return Seen(state, {"proud_mm": most})


def _rate(dossier: Dossier, findings: tuple[Finding, ...], fact: str, end: str) -> str:
    """Judge the spring by how far apart the two sags are, which preload does not move: further than any pair of their
    bands is soft, closer is stiff; certain only. Topped out with the bike alone, the difference understates the load,
    so that closer says nothing (a plain coil; common practice)."""
    alone, rider = (finding(findings, name, end) for name in ("sag_bike_alone", "sag_rider_aboard"))
    if alone is None or rider is None:
        return "none"  # No band to judge by: no reading could tell.
    if fact not in ("right", "unknown") or alone.target.unit != rider.target.unit:
        return fact
    low, high = (dossier.derivation.get(item.key) for item in (alone, rider))
    if low is None or high is None or low.value is None or high.value is None:
        return fact
    apart = high.value - low.value
    unsure = hypot(low.half_width or 0.0, high.half_width or 0.0)
    if apart - unsure > rider.target.high - alone.target.low:
        return "soft"
    topped = (_number(dossier, f"sag_bike_alone.{end}") or 0.0) < TOPPED_OUT
    return "stiff" if apart + unsure < rider.target.low - alone.target.high and not topped else fact


def _reserve(dossier: Dossier, findings: tuple[Finding, ...], fact: str, end: str) -> Seen:
    left = _number(dossier, f"reserve_normal.{end}")
    params = {"reserve_mm": left}
    if fact != "unknown":
        return Seen(fact, params)
    share = _number(dossier, f"reserve_normal_share.{end}")
    wanted = finding(findings, "reserve_normal", end) is not None
    if share is not None and not wanted:
        return Seen("above" if share >= MUCH_LEFT else "in_band", params)
    bang = dossier.case.answers.get(f"bottomed.{end}") == "yes"
    return Seen("bottomed" if bang and share is None and left is None else "unknown", params)


def _place(dossier: Dossier, end: str, *kinds: str) -> Seen:
    if not adjusters(dossier.case, end, *kinds):
        return Seen("none")
    state, share = position(dossier, end, *kinds)
    return Seen(state, {"position_share": share})


def _sides(dossier: Dossier, end: str) -> Seen:
    """Return whether left and right are set alike; where the legs do different work there is nothing to compare."""
    case = dossier.case
    if end == "front" and case.front_architecture == "coil_split":
        return Seen("none")
    pairs: dict[str, dict[str, float | None]] = {}
    for row in case.adjusters:
        if row.end == end and row.leg and row.kind in ("preload", "rebound", "compression"):
            pairs.setdefault(row.kind, {})[row.leg] = row.found
    whole = [tuple(pair.values()) for pair in pairs.values() if len(pair) > 1]
    if not whole:
        return Seen("none")
    told = [pair for pair in whole if None not in pair]
    return Seen("unknown" if not told else "unlike" if any(len(set(pair)) > 1 for pair in told) else "alike")


def _settled(dossier: Dossier, end: str, kind: str) -> Seen:
    """Return which way settled cases like this one went; it is never asked for, so nothing of it is unknown."""
    told = dossier.settled.get(f"{end}.{kind}")
    return Seen(told.move, {"count": told.count, "of": told.of}) if told else Seen("none")


def _trial(dossier: Dossier, end: str, kind: str) -> Seen:
    moved = dossier.tried.get(f"{end}.{kind}")
    ended = {"better": "helped", "worse": "hurt"}.get(dossier.case.answers.get("outcome", ""))
    known = adjusters(dossier.case, end, *(COMPRESSION if kind == "compression" else (kind,)))
    if moved in ("more", "less") and ended:
        return Seen(f"{moved}_{ended}")
    return Seen("unknown" if known else "none")
