"""Dossiers made by hand, so that the judgement is tested apart from the engine."""

from collections.abc import Mapping

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derivation import Check, Derivation, Derived
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.model import Dossier, Symptom

#: A road bike with everything right (bands of a road sport bike: common practice).
RIGHT = {
    "sag_bike_alone.front": 24.0,
    "sag_rider_aboard.front": 36.0,
    "sag_bike_alone.rear": 8.0,
    "sag_rider_aboard.rear": 31.0,
    "reserve_normal.front": 22.0,
    "reserve_normal_share.rear": 0.12,
    "rake": 24.0,
    "rake_per_mm_fork_position": -0.037,
}
LEGS = ("left", "right")


def number(key: str, value: float, status: str = "ok") -> Derived:
    unit = "1" if "share" in key or "position" in key.split(".")[0] else "mm"
    half_width = 0.005 if unit == "1" else 1.0
    return Derived(key, value, half_width, unit, status, "sag", ((f"length_rider_aboard.{key.split('.')[-1]}", 0.6),))


def knobs(**found: float | None) -> tuple[Adjuster, ...]:
    """Return a usual road bike's adjusters; keyword arguments replace where they stand (both legs alike)."""
    at = {
        "preload_front": 7.0,
        "preload_rear": 6.0,
        "rebound_front": 10.0,
        "rebound_rear": 10.0,
        "compression_front": 10.0,
        "compression_rear": 10.0,
        "fork_position": 5.0,
    } | found
    legs = [
        row
        for leg in LEGS
        for row in (
            Adjuster(
                f"front.preload.{leg}", "preload", "front", "turn", leg, at["preload_front"], 0, 15, "open", 1.0
            ),
            Adjuster(f"front.rebound.{leg}", "rebound", "front", "click", leg, at["rebound_front"], 0, 20),
            Adjuster(
                f"front.compression.{leg}", "compression", "front", "click", leg, at["compression_front"], 0, 20
            ),
            Adjuster(f"front.fork_position.{leg}", "fork_position", "front", "mm", leg, at["fork_position"]),
        )
    ]
    return (
        *legs,
        Adjuster("rear.preload", "preload", "rear", "turn", "", at["preload_rear"], 0, 14, "open", 1.5),
        Adjuster("rear.rebound", "rebound", "rear", "click", "", at["rebound_rear"], 0, 20),
        Adjuster("rear.compression", "compression", "rear", "click", "", at["compression_rear"], 0, 20),
    )


def dossier(
    values: Mapping[str, float] | None = None,
    *,
    adjusters: tuple[Adjuster, ...] | None = None,
    checks: tuple[Check, ...] = (),
    bottomed: str = "",
    symptoms: tuple[str, ...] = (),
    answers: Mapping[str, str] | None = None,
    stop: Mapping[str, str] | None = None,
    budget: str = "none",
    skill: str = "hand_tools",
    words: str = "",
    readings: tuple[Reading, ...] = (),
) -> Dossier:
    rows = knobs() if adjusters is None else adjusters
    found = {key: number(key, value) for key, value in (RIGHT | dict(values or {})).items()}
    if bottomed:
        found[f"reserve_normal.{bottomed}"] = number(f"reserve_normal.{bottomed}", 1.0, "at_most")
    for row in rows:
        if row.kind in ("rebound", "compression") and row.found is not None and row.range_counted:
            key = f"clicker_position.{row.key}"
            found[key] = number(key, row.found / row.range_counted)
    lever = (Reading("leverage", 2.0, 0.1, "rear"),)
    return Dossier(
        Case("road_sport", "coil", "linkage", lever + readings, rows, answers or {}),
        Derivation("1", "x", found, checks),
        dict.fromkeys(STOP_QUESTIONS, "no") | dict(stop or {}),
        tuple(Symptom(name.split("@")[0], (name + "@").split("@")[1]) for name in symptoms),
        skill,
        budget,
        words,
    )
