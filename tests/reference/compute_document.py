"""Whole documents through the engine: what ``derive`` and ``what_if`` say of a value."""

from collections.abc import Callable
from typing import Any

from tuning.engine.braking import grip_limit
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derive import derive
from tuning.engine.levers import read_wish
from tuning.engine.whatif import what_if

_STATE = {"length_topped_out": "bike_alone", "length_bike_alone": "bike_alone", "length_rider_aboard": "solo"}


def _case(given: dict[str, Any]) -> Case:
    """Readings are told as {"quantity[.end][.approach]": value}, exact; adjusters as [key, unit, found, range]."""
    readings = []
    for name, value in given["readings"].items():
        quantity, end, approach = (*name.split("."), "", "")[:3]
        state = _STATE.get(quantity, "")
        readings.append(Reading(quantity, value, 0.0, end, load_state=state, approach=approach or "as_is"))
    adjusters = []
    for key, unit, found, full in given.get("adjusters", ()):
        end, kind, leg = (*key.split("."), "")[:3]
        counted = "open" if kind == "preload" else "closed"
        adjusters.append(Adjuster(key, kind, end, unit, leg, found, 0.0, full, counted))
    return Case(
        given.get("discipline", "road_sport"),
        given.get("front", "coil"),
        given.get("rear", "linkage"),
        tuple(readings),
        tuple(adjusters),
    )


def derived(given: dict[str, Any]) -> float:
    value = derive(_case(given)).values[given["key"]].value
    assert value is not None
    return value


def difference(given: dict[str, Any]) -> float:
    value = what_if(_case(given), [read_wish(text) for text in given["set"]]).difference[given["key"]].value
    assert value is not None
    return value


def grip(given: dict[str, Any]) -> float:
    return float(grip_limit(given["mu"], given["grade"]))


COMPUTE: dict[str, Callable[[dict[str, Any]], float]] = {
    "derived": derived,
    "difference": difference,
    "grip": grip,
}
