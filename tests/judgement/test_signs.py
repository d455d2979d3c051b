"""What each sign shows, state by state, and that nothing is told of what is not known."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from tests.judgement.bikes import bike, findings, left, pressure, rubbing, sag
from tests.judgement.build import knobs, number
from tuning.engine.case import Adjuster, Reading
from tuning.engine.derivation import Check
from tuning.engine.derive import derive
from tuning.engine.quantities import ENDS
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.model import Agreed, Dossier
from tuning.judgement.signs import ALWAYS, FELT, SIGNS, Seen, place, read_signs, spec

LEVEL = Check("overload", "passes", "", (), {"total_kg": 300.0, "limit_kg": 400.0})
OVER = Check("overload", "blocks", "", (), {"total_kg": 420.0, "limit_kg": 400.0})
HIGH = (Adjuster("rear.compression_high", "compression_high", "rear", "click", "", 1.0, 0, 20),)
TRIED = {"rear.rebound": "more"}


def age(years: float) -> Check:
    return Check("tyre_old", "passes" if years <= 10 else "second_look", "rear", (), {"age": years})


def show(ref: str, end: str = "rear", *symptoms: str, **what: Any) -> Seen:
    case = bike(*symptoms, **what)
    return read_signs(case, findings(case)).at(ref, end)


#: Bands of a road sport bike (common practice): rear 28–35 with the rider, 5–12 alone; front reserve 20–25.
SHOWN: tuple[tuple[str, str, str, Mapping[str, Any]], ...] = (
    ("rider_sag", "rear", "below", {"values": sag(rear=20)}),
    ("rider_sag", "rear", "in_band", {}),
    ("rider_sag", "rear", "above", {"values": sag(rear=45)}),
    ("alone_sag", "rear", "topped_out", {"values": sag(rear_alone=1)}),
    ("alone_sag", "front", "below", {"values": sag(front_alone=10)}),
    ("alone_sag", "rear", "in_band", {}),
    ("alone_sag", "rear", "above", {"values": sag(rear_alone=20)}),
    ("rate", "front", "soft", {"values": sag(front_alone=3)}),
    ("rate", "front", "right", {}),
    ("rate", "front", "stiff", {"values": sag(front_alone=33)}),
    # Rear bands 5–12 and 28–35: pairs lie 16 to 30 apart. 8 and 42 are 34 apart, 18 and 42 only 24.
    ("rate", "rear", "soft", {"values": sag(rear=42)}),
    ("rate", "rear", "right", {"values": sag(rear=42, rear_alone=18)}),
    ("rate", "rear", "stiff", {"values": sag(rear=16, rear_alone=8)}),
    # Enduro has no band for the bike-alone sag of the front, so that no reading could tell of its spring by it.
    ("rate", "front", "none", {"discipline": "enduro"}),
    ("alone_sag", "front", "none", {"discipline": "enduro"}),
    ("alone_sag", "front", "topped_out", {"discipline": "enduro", "values": sag("enduro", front_alone=1)}),
    # Topped out alone, a small difference says nothing of the spring.
    ("rate", "rear", "right", {"values": sag(rear=12, rear_alone=1)}),
    ("reserve", "front", "bottomed", {"bottomed": "front"}),
    ("reserve", "front", "below", {"values": left(front=10)}),
    ("reserve", "front", "in_band", {}),
    ("reserve", "front", "above", {"values": left(front=50)}),
    # Off the road no reserve is wanted: a quarter of the stroke left is much (common practice); 90 of 300 is more.
    ("reserve", "front", "above", {"discipline": "enduro", "values": left("enduro", front=90)}),
    ("reserve", "front", "in_band", {"discipline": "enduro"}),
    ("ride", "rear", "gentle", {"answers": {"ride_hardness": "2"}}),
    ("ride", "rear", "hard", {"answers": {"ride_hardness": "4"}}),
    ("rebound_at", "rear", "closed", {"adjusters": knobs(rebound_rear=2)}),
    ("rebound_at", "rear", "middle", {}),
    ("rebound_at", "rear", "open", {"adjusters": knobs(rebound_rear=18)}),
    ("compression_at", "rear", "closed", {"adjusters": knobs(compression_rear=0)}),
    ("compression_at", "front", "open", {"adjusters": knobs(compression_front=20)}),
    ("high_compression_at", "rear", "none", {}),
    ("room_more", "rear", "no", {"adjusters": knobs(preload_rear=14)}),
    ("room_more", "rear", "yes", {}),
    ("room_less", "rear", "no", {"adjusters": knobs(preload_rear=0)}),
    ("room_less", "rear", "yes", {}),
    ("room_more", "front", "none", {"front": "air"}),
    ("sides", "front", "alike", {}),
    ("sides", "rear", "none", {}),
    ("sides", "front", "none", {"front": "coil_split"}),
    ("friction", "rear", "usual", {"checks": (rubbing("rear", 2, 4),)}),
    ("friction", "rear", "high", {"checks": (rubbing("rear", 2, 4), rubbing("rear", 6, 4))}),
    ("fluid", "rear", "fresh", {"answers": {"fluid_age": "under_two_years"}}),
    ("fluid", "rear", "ageing", {"answers": {"fluid_age": "two_to_four"}}),
    ("fluid", "rear", "old", {"answers": {"fluid_age": "older"}}),
    ("fluid", "rear", "unknown", {"answers": {"fluid_age": "unknown"}}),
    ("tyre_pressure", "rear", "low", {"checks": (pressure("rear", 200, 290),)}),
    ("tyre_pressure", "rear", "right", {"checks": (pressure("rear", 290, 290),)}),
    ("tyre_pressure", "rear", "high", {"checks": (pressure("rear", 340, 290),)}),
    ("tyre_age", "rear", "fresh", {"checks": (age(3),)}),
    ("tyre_age", "rear", "ageing", {"checks": (age(7),)}),
    ("tyre_age", "rear", "old", {"checks": (age(12),)}),
    ("settle", "rear", "slow", {"answers": {"settle.rear": "slow"}}),
    ("settle", "rear", "one_bounce", {"answers": {"settle.rear": "one_bounce"}}),
    ("legs", "front", "even", {"checks": (Check("legs_unequal", "passes", "front"),)}),
    ("legs", "rear", "unequal", {"checks": (Check("legs_unequal", "second_look", "front"),)}),
    ("load", "rear", "solo", {}),
    ("load", "rear", "passenger", {"load": "two_up_luggage"}),
    ("load", "rear", "luggage", {"load": "solo_luggage"}),
    ("gross", "rear", "within", {"checks": (LEVEL,)}),
    ("gross", "rear", "over", {"checks": (OVER,)}),
    ("attitude", "rear", "level", {}),
    ("attitude", "rear", "nose_high", {"values": sag(front=28)}),
    ("attitude", "rear", "nose_low", {"values": sag(rear=20)}),
    # Both ends too low stand level.
    ("attitude", "rear", "level", {"values": sag(front=48, rear=45)}),
    ("trail", "rear", "short", {"values": {"ground_trail": 80}}),
    ("trail", "rear", "usual", {"values": {"ground_trail": 98}}),
    ("trail", "rear", "long", {"values": {"ground_trail": 120}}),
    ("fork_legs", "rear", "flush", {"adjusters": knobs(fork_position=0)}),
    ("fork_legs", "rear", "between", {}),
    ("fork_legs", "rear", "far_up", {"adjusters": knobs(fork_position=12)}),
    ("levelling", "rear", "none", {}),
    ("levelling", "rear", "done", {"rear": "semi_active", "answers": {"levelling_done": "yes"}}),
    ("levelling", "rear", "not_done", {"rear": "semi_active", "answers": {"levelling_done": "no"}}),
    ("levelling", "rear", "unknown", {"rear": "semi_active", "answers": {"levelling_done": "unsure"}}),
    ("terrain", "rear", "sand", {"discipline": "enduro", "answers": {"terrain": "sand"}}),
    ("terrain", "rear", "mud", {"discipline": "motocross", "answers": {"terrain": "mud"}}),
    ("terrain", "rear", "hard", {"discipline": "dual_sport", "answers": {"terrain": "hard_ground"}}),
    ("terrain", "rear", "mixed", {"discipline": "adventure", "answers": {"terrain": "mixed_ground"}}),
    ("terrain", "rear", "unknown", {"discipline": "enduro"}),
    ("terrain", "rear", "none", {"answers": {"terrain": "sand"}}),
    ("chain", "rear", "right", {"answers": {"chain_slack": "as_in_manual"}}),
    ("chain", "rear", "off", {"answers": {"chain_slack": "too_tight"}}),
    ("chain", "rear", "off", {"answers": {"chain_slack": "too_loose"}}),
    ("chain", "rear", "unknown", {"answers": {"chain_slack": "not_checked"}}),
    ("steering_damper", "front", "absent", {"answers": {"steering_damper": "not_fitted"}}),
    ("steering_damper", "front", "soft", {"answers": {"steering_damper": "set_soft"}}),
    ("steering_damper", "front", "middle", {"answers": {"steering_damper": "set_middle"}}),
    ("steering_damper", "front", "hard", {"answers": {"steering_damper": "set_hard"}}),
    ("outcome", "rear", "mixed", {"answers": {"outcome": "mixed"}}),
    ("architecture", "rear", "direct", {"rear": "direct"}),
    ("discipline", "rear", "enduro", {"discipline": "enduro"}),
    ("play", "rear", "yes", {"stop": {"play": "yes"}}),
    ("play", "rear", "no", {}),
    ("play", "rear", "unknown", {"stop": {"play": "unsure"}}),
    ("rebound_trial", "rear", "more_helped", {"tried": TRIED, "answers": {"outcome": "better"}}),
    ("rebound_trial", "rear", "more_hurt", {"tried": TRIED, "answers": {"outcome": "worse"}}),
    # Better here, worse there says nothing of one step.
    ("rebound_trial", "rear", "unknown", {"tried": TRIED, "answers": {"outcome": "mixed"}}),
    ("ride_height_trial", "rear", "none", {}),
    ("settled_rebound", "rear", "firmer", {"settled": {"rear.rebound": Agreed("firmer", 3, 4)}}),
    ("settled_compression", "front", "softer", {"settled": {"front.compression": Agreed("softer", 2, 2)}}),
    ("settled_preload", "rear", "more", {"settled": {"rear.preload": Agreed("more", 2, 3)}}),
    ("settled_preload", "front", "none", {"settled": {"rear.preload": Agreed("more", 2, 3)}}),
)


@pytest.mark.parametrize(("ref", "end", "state", "what"), SHOWN)
def test_a_sign_shows_its_state(ref: str, end: str, state: str, what: Mapping[str, Any]) -> None:
    assert show(ref, end, **what).state == state


def test_the_number_that_spoke_goes_with_it() -> None:
    assert show("reserve", "front", values=left(front=50)).params == {"reserve_mm": 50}
    assert show("tyre_pressure", checks=(pressure("rear", 200, 290),)).params == {
        "pressure_kpa": 200,
        "manual_kpa": 290,
    }
    assert show("rebound_at", adjusters=knobs(rebound_rear=2)).params == {"position_share": 0.1}


def test_shocks_set_unlike_are_seen() -> None:
    pair = tuple(
        Adjuster(f"rear.preload.{leg}", "preload", "rear", "step", leg, at, 0, 5, "open", 4.0)
        for leg, at in (("left", 2.0), ("right", 4.0))
    )
    assert show("sides", adjusters=pair, rear="twin_shock").state == "unlike"


def test_a_high_speed_adjuster_is_read_where_there_is_one() -> None:
    case = bike(adjusters=knobs() + HIGH)
    key = "clicker_position.rear.compression_high"
    values = dict(case.derivation.values) | {key: number(key, 0.05)}
    case = replace(case, derivation=replace(case.derivation, values=values))
    assert read_signs(case, findings(case)).at("high_compression_at", "rear").state == "closed"


def test_a_bang_without_a_ring_is_bottoming() -> None:
    gone = ("reserve_normal.front", "reserve_normal_share.front")
    assert show("reserve", "front", drop=gone).state == "unknown"
    assert show("reserve", "front", drop=gone, answers={"bottomed.front": "yes"}).state == "bottomed"
    assert show("reserve", "front", drop=gone, answers={"bottomed.front": "unsure"}).state == "unknown"


def test_a_reading_to_be_taken_again_says_nothing() -> None:
    # The ring shows less than the rider's own weight takes up; the sags themselves stand.
    ring = Check("ring_false", "blocks", "front", ("deepest_normal.front",))
    assert show("reserve", "front", checks=(ring,)).state == "unknown"
    assert show("rider_sag", "front", checks=(ring,)).state == "in_band"
    order = Check("order_bike_alone_rider", "blocks", "rear", ("length_bike_alone.rear", "length_rider_aboard.rear"))
    for name in ("rider_sag", "alone_sag", "rate", "attitude"):
        assert show(name, "rear", checks=(order,)).state == "unknown"
    # A second look is no block.
    doubt = replace(order, verdict="second_look")
    assert show("rider_sag", "rear", checks=(doubt,)).state == "in_band"


def test_an_uncertain_bike_alone_sag_still_tells_by_the_distance() -> None:
    # Classic: 12.2 of 80 is 15.3 %, not certainly above 15; 43 less 12.2 is 38 % of travel, more than 35 − 10 = 25.
    assert show("rate", "rear", discipline="classic", values=sag("classic", rear=43, rear_alone=12.2)).state == "soft"


def test_a_complaint_is_felt_where_it_was_told() -> None:
    assert show("felt.pogo", "rear", "pogo@front").state == "no"
    assert show("felt.pogo", "front", "pogo@front").state == "yes"
    assert show("felt.pogo", "rear", "pogo").state == "yes"
    # A complaint that belongs to one end by what it says counts for both.
    assert show("felt.brake_dive", "rear", "brake_dive@front").state == "yes"
    assert show("felt.rear_squats", "front", "rear_squats").state == "yes"


def test_nothing_is_known_of_an_empty_case() -> None:
    case = replace(
        bike(adjusters=()).case, readings=(), adjusters=(), answers={}, front_architecture="coil"
    )  # fmt: skip
    empty = Dossier(case, derive(case), {})
    signs = read_signs(empty, findings(empty))
    for name in SIGNS:
        for end in ENDS:
            if name not in ALWAYS:
                assert signs.at(name, end).state in ("unknown", "none"), name


def test_read_through_the_engine() -> None:
    # Sag aboard 500 − 472 = 28 mm, less than 33; alone 500 − 499 = 1 mm, topped out; 120 − 60 left.
    readings = tuple(
        Reading(name, value, 1.0, "front", "", state)
        for name, value, state in (
            ("length_topped_out", 500, "bike_alone"),
            ("length_bike_alone", 499, "bike_alone"),
            ("length_rider_aboard", 472, "solo"),
            ("stroke", 120, ""),
            ("deepest_normal", 60, ""),
            ("tyre_pressure", 180, ""),
            ("tyre_pressure_manual", 250, ""),
            ("tyre_age", 7, ""),
        )
    )
    case = replace(bike().case, readings=readings)
    told = Dossier(case, derive(case), dict.fromkeys(STOP_QUESTIONS, "no"))
    signs = read_signs(told, findings(told))
    shown = {
        name: signs.at(name, "front").state
        for name in ("rider_sag", "alone_sag", "reserve", "tyre_pressure", "tyre_age")
    }
    assert shown == {
        "rider_sag": "below",
        "alone_sag": "topped_out",
        "reserve": "above",
        "tyre_pressure": "low",
        "tyre_age": "ageing",
    }


def test_every_state_shown_is_declared() -> None:
    for ref, end, state, _ in SHOWN:
        known = spec(ref)
        assert known is not None
        assert state in (*known.states, "unknown", "none")
        assert place(ref, end)[0] in ("", *ENDS)
    assert spec("moon") is None
    assert spec("felt.moon") is None
    assert spec("felt.pogo") is FELT
