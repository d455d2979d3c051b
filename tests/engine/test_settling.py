"""The settle test told as two overshoots, as one, and as a film; semi-active ends give no spring."""

import math

import pytest

from tuning.engine.case import Case, Reading
from tuning.engine.derive import derive


def case(*readings: Reading, **more: object) -> Case:
    return Case("road_sport", str(more.pop("front", "coil")), "linkage", readings, **more)  # type: ignore[arg-type]


def test_two_overshoots_give_the_damping_ratio() -> None:
    # By hand: 20 mm then 5 mm: delta = ln 4 = 1.38629, zeta = 1.38629/sqrt(4 pi^2 + 1.92181) = 0.215453.
    found = derive(case(Reading("settle_first", 20, 1, "front"), Reading("settle_second", 5, 1, "front"))).values
    assert found["damping_ratio.front"].value == pytest.approx(0.215453, abs=1e-6)
    assert found["damping_ratio.front"].status == "ok"


def test_no_second_overshoot_gives_a_least_ratio() -> None:
    # By hand: none seen above 2 mm after 20 mm: delta at least ln 10 = 2.302585, zeta at least 0.344083.
    found = derive(case(Reading("settle_first", 20, 1, "rear"))).values["damping_ratio.rear"]
    assert (found.status, found.params["bound"]) == ("at_least", "no_second_peak")
    assert found.value == pytest.approx(0.344083, abs=1e-5)


def test_a_film_gives_ratio_and_frequency() -> None:
    # A free decay written out: zeta 0.2, 1.6 Hz undamped, filmed at 60 frames a second, heights to the millimetre.
    zeta, omega = 0.2, 2 * math.pi * 1.6
    damped = omega * math.sqrt(1 - zeta**2)
    frames = tuple(
        (place / 60, float(round(800 - 60 * math.exp(-zeta * omega * place / 60) * math.cos(damped * place / 60))))
        for place in range(240)
    )
    found = derive(case(settle_frames={"front": frames})).values
    ratio, frequency = found["damping_ratio.front"], found["settle_frequency.front"]
    assert abs(ratio.value - zeta) <= ratio.half_width < 0.06
    assert abs(frequency.value - 1.6) <= frequency.half_width + 0.02


def test_levelling_electronics_leave_no_spring() -> None:
    rows = [Reading("rider_mass", 85, 1), Reading("bike_mass", 200, 3), Reading("stroke", 120, 1, "front")]
    for name, value, state in (
        ("length_topped_out", 600, "bike_alone"),
        ("length_bike_alone", 575, "bike_alone"),
        ("length_rider_aboard", 563, "solo"),
    ):
        rows.append(Reading(name, value, 1, "front", load_state=state))
    told = derive(case(*rows)).values
    hidden = derive(case(*rows, Reading("spring_rate", 9.5, 0, "front"), front="semi_active")).values
    assert "fork_spring_rate" in told
    for key in ("fork_spring_rate", "fork_spring_preload", "wheel_rate.front", "ride_frequency.front"):
        assert key not in hidden
    assert hidden["implied_fork_rate"].status == "cannot_state"
    assert hidden["sag_rider_aboard.front"].status == "ok"
