"""From a client's readings through the engine to a draft."""

from tests.judgement.build import knobs
from tuning.engine.case import Case, Reading
from tuning.engine.derive import derive
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement import assess, draft
from tuning.judgement.model import Dossier


def read(front: tuple[float, float, float], rear: tuple[float, float, float]) -> Dossier:
    readings = [Reading("leverage", 2.0, 0.1, "rear"), Reading("stroke", 120.0, 1.0, "front")]
    for end, lengths in (("front", front), ("rear", rear)):
        for name, state, value in zip(
            ("topped_out", "bike_alone", "rider_aboard"), ("bike_alone", "bike_alone", "solo"), lengths, strict=True
        ):
            readings.append(Reading(f"length_{name}", value, 1.0, end, "", state))
    case = Case("road_sport", "coil", "linkage", tuple(readings), knobs())
    return Dossier(case, derive(case), dict.fromkeys(STOP_QUESTIONS, "no"))


def test_too_little_front_sag_takes_preload_out() -> None:
    # Sag aboard 500 − 472 = 28; the band is 33–40: too little. Rear 300 − 268 = 32 is right.
    case = read((500, 480, 472), (300, 292, 268))
    assert assess(case).stands_at == "sag"
    made = draft(case)
    assert [change.adjuster for change in made.changes] == ["front.preload.left", "front.preload.right"]
    assert all((change.target or 0) < (change.start or 0) for change in made.changes)


def test_lengths_out_of_order_stop_at_trust() -> None:
    # Bike alone 520 stands higher than topped out 500, which cannot be.
    case = read((500, 520, 472), (300, 292, 268))
    assert assess(case).stands_at == "trust"
    made = draft(case)
    assert made.changes == ()
    assert "order_topped_out_bike_alone" in [said.params.get("check") for said in made.questions]


def test_missing_ring_is_asked_for_before_geometry() -> None:
    made = draft(read((500, 476, 464), (300, 292, 268)))
    assert {"reading": "deepest_normal.front"} in [dict(said.params) for said in made.questions]
    assert made.changes == ()
