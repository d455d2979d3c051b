"""What the rules may ask about: a flat list of facts, each with the answers it can have."""

from collections.abc import Mapping
from types import MappingProxyType

from tuning.engine.vocabulary import ANSWERS, SYMPTOM_IDS
from tuning.judgement.findings import by_key, lean
from tuning.judgement.model import Dossier, Finding

BANDS = ("in_band", "below", "above", "unknown")
YES_NO = ("yes", "no", "unknown")
#: Legs further apart than this are unequal beyond what two rule readings can hide, mm: 0.5 mm each.
LEGS_CERTAIN = 1.0
LEGS_AGREE = 0.5

JUDGED = (
    "sag_bike_alone.front",
    "sag_bike_alone.rear",
    "sag_rider_aboard.front",
    "sag_rider_aboard.rear",
    "reserve_normal.front",
)
NERVOUS = frozenset({"nervous_turn_in", "twitchy", "falls_in"})
#: Complaints that damping can answer for once springs are right.
DAMPING_COMPLAINTS = frozenset(
    {"packs_down", "pogo", "harsh_series", "harsh_single", "wallows", "floats", "rear_kicks", "front_vague"}
)


def _known() -> dict[str, tuple[str, ...]]:
    known: dict[str, tuple[str, ...]] = dict.fromkeys(JUDGED, BANDS)
    known |= dict.fromkeys(("front_deep", "rear_preload_left", "damping_complaint", "symptom.nervous"), YES_NO)
    known["legs"] = ("alike", "doubtful", "unequal", "unknown")
    known["fluid_age"] = ANSWERS["fluid_age"]
    known |= dict.fromkeys(("settle.front", "settle.rear"), (*ANSWERS["settle"], "unknown"))
    for symptom in SYMPTOM_IDS:
        known |= dict.fromkeys((f"symptom.{symptom}", f"symptom.{symptom}.front", f"symptom.{symptom}.rear"), YES_NO)
    return known


#: Every fact a rule may name, with its answers.
FACTS: Mapping[str, tuple[str, ...]] = MappingProxyType(_known())


def gather(dossier: Dossier, findings: tuple[Finding, ...]) -> dict[str, str]:
    """Return every fact of a dossier."""
    held = by_key(findings)
    facts = {key: lean(dossier, held[key]) if key in held else "unknown" for key in JUDGED}
    facts["front_deep"] = _front_deep(dossier, facts)
    facts["rear_preload_left"] = _preload_left(dossier, "rear")
    facts["legs"] = _legs(dossier)
    answers = dossier.case.answers
    facts["fluid_age"] = answers.get("fluid_age", "unknown")
    for end in ("front", "rear"):
        facts[f"settle.{end}"] = answers.get(f"settle.{end}", "unknown")
    felt = {symptom.id for symptom in dossier.symptoms}
    for symptom in SYMPTOM_IDS:
        facts[f"symptom.{symptom}"] = "yes" if symptom in felt else "no"
        for end in ("front", "rear"):
            # A complaint without an end may be of either.
            here = any(s.id == symptom and s.end in {end, ""} for s in dossier.symptoms)
            facts[f"symptom.{symptom}.{end}"] = "yes" if here else "no"
    facts["symptom.nervous"] = "yes" if felt & NERVOUS else "no"
    facts["damping_complaint"] = "yes" if felt & DAMPING_COMPLAINTS else "no"
    return facts


def _front_deep(dossier: Dossier, facts: Mapping[str, str]) -> str:
    reserves = [dossier.derivation.get(f"reserve_{ride}.front") for ride in ("normal", "hardest")]
    given = [reserve for reserve in reserves if reserve is not None and reserve.value is not None]
    if any(reserve.status == "at_most" for reserve in given) or dossier.case.answers.get("bottomed.front") == "yes":
        return "yes"
    if not given:
        return "unknown"
    return "yes" if facts["reserve_normal.front"] == "below" else "no"


def _preload_left(dossier: Dossier, end: str) -> str:
    left = [
        value.value
        for value in dossier.derivation.values.values()
        if value.id == "preload_left" and value.end == end and value.value is not None
    ]
    if not left:
        return "unknown"
    return "yes" if max(left) >= 0.5 else "no"


def _legs(dossier: Dossier) -> str:
    difference = dossier.derivation.get("fork_leg_difference")
    if difference is None or difference.value is None:
        return "unknown"
    apart = abs(difference.value)
    if apart > LEGS_CERTAIN:
        return "unequal"
    return "doubtful" if apart > LEGS_AGREE else "alike"
