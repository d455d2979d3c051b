"""Well-measured bikes, each with all it takes for every kind of value, and their inputs drawn at random."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.case import Case, Reading
from tuning.engine.document import read_document
from tuning.engine.pack import by_approach, inputs_of


def _both_ways(end: str, name: str, value: float, friction: float) -> list[dict[str, Any]]:
    return [
        _row(f"length_{name}", value + sign * friction, "mm", 0.5, end=end, approach=approach)
        for approach, sign in (("from_below", -1.0), ("from_above", 1.0))
    ]


def _row(quantity: str, value: float, unit: str, half_width: float, **more: Any) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "unit": unit, "half_width": half_width, **more}


def _lengths(end: str, top: float, alone: float, aboard: float) -> list[dict[str, Any]]:
    return [
        _row("length_topped_out", top, "mm", 0.5, end=end),
        *_both_ways(end, "bike_alone", top - alone, 2.0),
        *_both_ways(end, "rider_aboard", top - aboard, 2.5),
    ]


def _scales(front: tuple[float, float], rear: tuple[float, float]) -> list[dict[str, Any]]:
    return [
        _row(f"scale_{state}", mass, "kg", 0.5, end=end)
        for end, masses in (("front", front), ("rear", rear))
        for state, mass in zip(("bike_alone", "rider_aboard"), masses, strict=True)
    ]


_PLANE = [
    _row("rake", 24.5, "deg", 0.1),
    _row("ground_trail", 99.0, "mm", 1.0),
    _row("wheelbase", 1425.0, "mm", 5.0),
    _row("wheel_radius", 296.0, "mm", 2.0, end="front"),
    _row("wheel_radius", 312.0, "mm", 2.0, end="rear"),
    _row("swingarm_length", 560.0, "mm", 5.0),
    _row("swingarm_angle", 11.0, "deg", 0.5),
]
_OTHER = [
    _row("stroke", 120.0, "mm", 1.0, end="front"),
    _row("stroke", 130.0, "mm", 1.0, end="rear"),
    _row("deepest_normal", 92.0, "mm", 1.0, end="front"),
    _row("deepest_hardest", 104.0, "mm", 1.0, end="front"),
    _row("deepest_normal", 100.0, "mm", 1.0, end="rear"),
    _row("bodywork_gap", 150.0, "mm", 2.0, end="front"),
    _row("rider_mass", 84.0, "kg", 0.5),
    _row("settle_first", 22.0, "mm", 1.0, end="rear"),
    _row("settle_second", 8.0, "mm", 1.0, end="rear"),
    _row("tyre_grip", 1.05, "1", 0.02),
    *(_row("unsprung_mass", mass, "kg", 1.0, end=end) for end, mass in (("front", 17.0), ("rear", 20.0))),
]
_ROAD = [*_PLANE, *_OTHER, *_lengths("front", 600, 24, 38), *_lengths("rear", 610, 9, 34)]
_WEIGHED = _scales((101.0, 135.0), (99.0, 149.0))


def _known(end: str, rate: float, half_width: float = 0.1, **more: Any) -> dict[str, Any]:
    return _row("spring_rate", rate, "N/mm", half_width, end=end, **more)


def _document(
    readings: list[dict[str, Any]], *, front: str = "coil", rear: str = "linkage", **more: Any
) -> dict[str, Any]:
    return {
        "schema": 2,
        "discipline": "road_sport",
        "front_architecture": front,
        "rear_architecture": rear,
        "readings": readings,
        "answers": {"geometry_state": "bike_alone"},
        **more,
    }


def _gripping(grip: float) -> list[dict[str, Any]]:
    """The road bike on a surface where tyres slide, or the rear wheel lifts, long before the other."""
    return [*_without(_ROAD, "tyre_grip"), _row("tyre_grip", grip, "1", 0.02)]


def _without(readings: list[dict[str, Any]], *names: str) -> list[dict[str, Any]]:
    return [row for row in readings if row["quantity"] not in names]


_LEVERAGE = _row("leverage", 2.6, "1", 0.02, end="rear")
DOCUMENTS: Mapping[str, dict[str, Any]] = {
    "known springs, oil over them": _document(
        [
            *_ROAD,
            *_WEIGHED,
            _known("front", 9.5),
            _known("rear", 110.0, 1.0),
            _LEVERAGE,
            # 68 cm³ of air are left at the end of the stroke: far from none.
            _row("oil_level", 140.0, "mm", 1.0),
            _row("tube_bore", 38.0, "mm", 0.1),
            _row("spring_volume", 90.0, "cm3", 3.0),
            _row("altitude", 400.0, "m", 50.0),
        ]
    ),
    "springs by their sags, much assumed": _document(
        [
            *_without(_ROAD, "tyre_grip", "unsprung_mass", "swingarm_length", "swingarm_angle", "wheel_radius"),
            _LEVERAGE,
            _row("bike_mass", 200.0, "kg", 1.0),
        ],
        tyre_size={"front": "120/70-17", "rear": "180/55-17"},
        answers={},
    ),
    "springs by their sags, weighed": _document([*_ROAD, *_WEIGHED, _LEVERAGE]),
    "dual rate at the rear, split fork": _document(
        [
            *_ROAD,
            *_WEIGHED,
            _known("front", 18.0, 0.2, leg="left"),
            _known("rear", 95.0, 1.0),
            _LEVERAGE,
            _row("spring_rate_second", 120.0, "N/mm", 1.0, end="rear"),
            _row("spring_crossover", 36.0, "mm", 0.5, end="rear"),
        ],
        front="coil_split",
    ),
    "air fork": _document(
        [
            *_gripping(0.75),
            *_WEIGHED,
            _row("air_pressure", 780.0, "kPa", 5.0, end="front"),
            _row("air_area", 9.0, "cm2", 0.05, end="front"),
            _row("air_volume", 200.0, "cm3", 3.0, end="front"),
            _row("temperature_set", 22.0, "degC", 1.0),
            _row("temperature_ambient", 15.0, "degC", 1.0),
            _row("altitude", 300.0, "m", 50.0),
            _known("rear", 110.0, 1.0),
            _LEVERAGE,
        ],
        front="air",
    ),
    "twin shocks": _document(
        [
            *_gripping(1.4),
            *_WEIGHED,
            _known("front", 9.5),
            _known("rear", 16.0, 0.2),
            _row("leverage", 1.15, "1", 0.01, end="rear"),
        ],
        rear="twin_shock",
    ),
    "linkage table": _document(
        [*_gripping(0.75), *_WEIGHED, _known("front", 9.5), _known("rear", 110.0, 1.0)],
        leverage_table={"unit": "mm", "rows": [[0, 2.9], [30, 2.75], [60, 2.62], [100, 2.5], [140, 2.42]]},
    ),
}  # fmt: skip


def case_of(name: str) -> Case:
    return read_document(DOCUMENTS[name])


def draws_of(case: Case, rng: np.random.Generator, count: int) -> dict[str, Array]:
    """Draw every reading within its half-width, then the inputs they make; and every assumption within its own."""
    rows: dict[str, list[tuple[Reading, Array]]] = {}
    for row in case.readings:
        name = ".".join(part for part in (row.quantity, row.end, row.leg) if part)
        rows.setdefault(name, []).append((row, row.value + row.half_width * rng.uniform(-1, 1, count)))
    found: dict[str, Array] = {}
    for name, group in rows.items():
        columns = {id(row): column for row, column in group}
        below, above = ([columns[id(row)] for row in side] for side in by_approach(row for row, _ in group))
        if below and above:
            low, high = np.mean(below, axis=0), np.mean(above, axis=0)
            found[name], found[f"band.{name}"] = (low + high) / 2, np.abs(high - low) / 2
        else:
            found[name] = np.mean([column for _, column in group], axis=0)
    for name, item in inputs_of(case).items():
        if name.startswith(("assumed.", "friction.")):
            found[name] = item.value + item.rectangle * rng.uniform(-1, 1, count)
    return found
