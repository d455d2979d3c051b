"""The bike that is timed: every reading the floor's formulas ask for, so that nothing is assumed on either side."""

import json
from typing import Any

_FRONT = ("front", {"length_topped_out": 600, "length_bike_alone": 575, "stroke": 120, "unsprung_mass": 17.5})
_REAR = ("rear", {"length_topped_out": 520, "length_bike_alone": 510, "stroke": 130, "unsprung_mass": 19})
_MORE: dict[str, dict[str, float]] = {
    "front": {"deepest_normal": 100, "deepest_hardest": 108, "scale_bike_alone": 97, "scale_rider_aboard": 133},
    "rear": {"deepest_normal": 108, "deepest_hardest": 116, "scale_bike_alone": 93, "scale_rider_aboard": 142},
}
#: Let up from below and let down from above, mm.
_ABOARD = {"front": (558, 562), "rear": (488, 491)}
_WHEEL = {"front": 298, "rear": 312}
_UNITS = {"unsprung_mass": "kg", "scale_bike_alone": "kg", "scale_rider_aboard": "kg"}
_OTHERS = (
    ("rider_mass", 85, "kg"),
    ("bike_mass", 190, "kg"),
    ("rake", 24.5, "deg"),
    ("ground_trail", 99, "mm"),
    ("wheelbase", 1420, "mm"),
    ("swingarm_length", 575, "mm"),
    ("swingarm_angle", 11, "deg"),
    ("com_height_bike", 520, "mm"),
    ("com_height_rider", 880, "mm"),
    ("oil_level", 110, "mm"),
    ("tube_bore", 39.7, "mm"),
    ("spring_volume", 100, "cm3"),
    ("tyre_grip", 1.1, "1"),
)


def _row(quantity: str, value: float, unit: str, end: str = "", **more: Any) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "unit": unit} | ({"end": end} if end else {}) | more


def document(shift: float = 0.0) -> dict[str, Any]:
    """Return the document of a whole bike; ``shift`` mm on both topped-out lengths tells one of many from another."""
    rows = []
    for end, readings in (_FRONT, _REAR):
        for quantity, value in (readings | _MORE[end]).items():
            moved = value + (shift if quantity == "length_topped_out" else 0.0)
            rows.append(_row(quantity, moved, _UNITS.get(quantity, "mm"), end))
        for approach, value in zip(("from_below", "from_above"), _ABOARD[end], strict=True):
            rows.append(_row("length_rider_aboard", value, "mm", end, approach=approach))
        rows.append(_row("wheel_radius", _WHEEL[end], "mm", end))
    rows += [_row(*one) for one in _OTHERS]
    rows += [_row("bodywork_gap", 150, "mm", "front"), _row("leverage", 2.2, "1", "rear")]
    return {
        "schema": 2,
        "discipline": "road_sport",
        "front_architecture": "coil",
        "rear_architecture": "linkage",
        "readings": rows,
        "adjusters": [
            _clicker("front.rebound.left", 8, 20),
            _clicker("front.rebound.right", 8, 20),
            _preload("front.preload", 5, 15, 1.0),
            _preload("rear.preload", 4, 14, 1.5),
            {"key": "front.fork_position", "unit": "mm", "found": 4},
        ],
        "answers": {"bottomed.front": "no", "geometry_state": "bike_alone"},
    }


def _clicker(key: str, found: int, counted: int) -> dict[str, Any]:
    return {"key": key, "unit": "click", "found": found, "range_counted": counted}


def _preload(key: str, found: int, counted: int, step: float) -> dict[str, Any]:
    how = {"counted_from": "open", "step_mm": step}
    return {"key": key, "unit": "turn", "found": found, "range_counted": counted} | how


def text(shift: float = 0.0) -> str:
    """Return the document as its JSON text."""
    return json.dumps(document(shift))


def problem() -> dict[str, Any]:
    """Return the same document with what a tuner would ask of it."""
    targets = {
        "sag_rider_aboard.front": {"low": 33, "high": 36},
        "sag_rider_aboard.rear": {"low": 30, "high": 34},
        "ground_trail_rider_aboard": {"low": 85, "high": 105},
    }
    return document() | {"targets": targets}
