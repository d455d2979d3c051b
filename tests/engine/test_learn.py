"""Learning from rounds, on synthetic bikes whose springs, friction and weights are known."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.errors import EngineInputError
from tuning.engine.learn import TOLERANCE, learn

G = 9.80665
RAKE = math.radians(25)


class Bike:
    """A bike of plain coils, worked out here and nowhere else: axial fork law, rear as a plain coil at the axle."""

    def __init__(self, rng: np.random.Generator) -> None:
        # Drawn from the very distributions that the fit takes for known (the figures of a touring bike).
        self.rate = {"front": 18.0 * math.exp(rng.normal(0, 0.05)), "rear": 22.0 * math.exp(rng.normal(0, 0.05))}
        self.preload = {"front": rng.uniform(8, 20), "rear": rng.uniform(8, 20)}
        self.friction = {"front": max(rng.normal(1.5, 0.5), 0), "rear": max(rng.normal(1.0, 0.3), 0)}
        self.bike = 200 + rng.normal(0, 3 / math.sqrt(3))
        self.share = 0.50 + rng.normal(0, 0.01 / math.sqrt(3))
        self.rider = 85 + rng.normal(0, 1 / math.sqrt(3))
        self.rider_share = 0.40 + rng.normal(0, 0.05 / math.sqrt(3))

    def sag(self, end: str, ridden: bool, wound: float) -> float:
        share = self.share if end == "front" else 1 - self.share
        rider = self.rider_share if end == "front" else 1 - self.rider_share
        mass = self.bike * share + (self.rider * rider if ridden else 0.0) - 18.0
        force = mass * G * (math.cos(RAKE) if end == "front" else 1.0)
        return force / self.rate[end] - self.preload[end] - wound


def case(bike: Bike, wound: float, rng: np.random.Generator, told: dict[str, float] | None = None) -> Case:
    rows = [
        Reading("bike_mass", 200, 3),
        Reading("bike_front_share", 0.50, 0.01),
        Reading("rider_mass", 85, 1),
        Reading("rider_front_share", 0.40, 0.05),
        Reading("rake", 25, 0.0),
        Reading("unsprung_mass", 18, 0.0, "front"),
        Reading("unsprung_mass", 18, 0.0, "rear"),
        Reading("leverage", 1.0, 0.0, "rear"),
    ]
    for end in ("front", "rear"):
        if told:
            rows.append(Reading("spring_rate", told[end] / (2 if end == "front" else 1), 0.0, end))
        rows.append(Reading("stroke", 140, 1, end))
        top = 600 + rng.uniform(-1, 1)
        rows.append(Reading("length_topped_out", top, 1.0, end, load_state="bike_alone"))
        for quantity, state, ridden in (
            ("length_bike_alone", "bike_alone", False),
            ("length_rider_aboard", "solo", True),
        ):
            for approach, held in (("from_below", 1.0), ("from_above", -1.0)):
                sag = bike.sag(end, ridden, wound) + held * bike.friction[end]
                rows.append(
                    Reading(quantity, 600 - sag + rng.uniform(-1, 1), 1.0, end, load_state=state, approach=approach)
                )
    adjusters = tuple(
        Adjuster(f"{end}.preload", "preload", end, "turn", "", 4 + wound, 0.0, 30.0, "open", 1.0)
        for end in ("front", "rear")
    )
    return Case("touring", "coil", "linkage", tuple(rows), adjusters)


@pytest.mark.slow
def test_stated_intervals_cover_the_truth_in_95_of_100() -> None:
    rng = np.random.default_rng(20261125)
    hits: dict[str, int] = {}
    trials = 500
    told = {"front": 18.0, "rear": 22.0}
    contradicted = 0
    for _ in range(trials):
        bike = Bike(rng)
        # What the fit takes for known of a spring that was told: its maker's tolerance.
        bike.rate = {end: rate * math.exp(rng.normal(0, TOLERANCE)) for end, rate in told.items()}
        found = learn([case(bike, wound, rng, told) for wound in (0.0, 4.0, 7.0)])
        contradicted += found.contradicts
        truth = {f"effective_rate.{end}": bike.rate[end] for end in told}
        truth |= {f"effective_preload.{end}": bike.preload[end] for end in told}
        truth |= {"bike_mass": bike.bike, "bike_front_share": bike.share}
        truth |= {"rider_mass": bike.rider, "rider_front_share": bike.rider_share}
        for key, value in truth.items():
            one = found.parameters[key]
            hits[key] = hits.get(key, 0) + (abs(one.value - value) <= one.half_width)
    for key, count in hits.items():
        assert 0.93 <= count / trials <= 0.98, (key, count / trials)
    assert contradicted / trials < 0.03  # one in a hundred by chance


def test_untold_springs_are_found_from_two_rounds() -> None:
    rng = np.random.default_rng(4)
    bike = Bike(rng)
    found = learn([case(bike, 0.0, rng), case(bike, 5.0, rng)]).parameters
    for end in ("front", "rear"):
        rate = found[f"effective_rate.{end}"]
        assert abs(rate.value - bike.rate[end]) < rate.half_width
        assert rate.half_width < rate.before_half_width / 2  # the rounds taught something
        assert found[f"friction.{end}"].value == pytest.approx(bike.friction[end], abs=1.0)


def test_a_reading_that_cannot_be_is_named() -> None:
    rng = np.random.default_rng(7)
    bike = Bike(rng)
    first, second = case(bike, 0.0, rng), case(bike, 4.0, rng)
    assert not learn([first, second]).contradicts
    wrong = tuple(
        replace(row, value=row.value - 15)
        if (row.quantity, row.end, row.approach) == ("length_rider_aboard", "front", "from_below")
        else row
        for row in second.readings
    )
    found = learn([first, replace(second, readings=wrong)])
    assert found.contradicts
    assert found.suspects[0] == (2, "sag_rider_aboard.front")


def test_the_same_rounds_teach_the_same() -> None:
    rng = np.random.default_rng(11)
    rounds = [case(Bike(rng), wound, rng) for wound in (0.0, 3.0)]
    assert learn(rounds) == learn(rounds)


def test_rounds_of_two_bikes_are_refused() -> None:
    rng = np.random.default_rng(3)
    one = case(Bike(rng), 0.0, rng)
    with pytest.raises(EngineInputError) as caught:
        learn([one, replace(one, rear_architecture="twin_shock")])
    assert caught.value.faults[0].reason == "another_bike"


@pytest.mark.parametrize("rounds", [[], [Case("touring", "coil", "linkage", (Reading("rider_mass", 85, 1),))]])
def test_rounds_that_teach_nothing_are_refused(rounds: list[Case]) -> None:
    with pytest.raises(EngineInputError):
        learn(rounds)
