"""Random bikes that could be: their lengths, loads, springs and plane fit each other, and all values can be derived.

Numbers are drawn on grids that no limit of the engine lies on, so that rounding moves none across one.
"""

from typing import Any

from hypothesis import strategies as st

from tuning.engine.quantities import LEGS

_STEPS = 997


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """A number in a band, never a round one."""
    return st.integers(0, _STEPS - 1).map(lambda place: low + (high - low) * (place + 0.3719) / _STEPS)


def row(
    quantity: str, value: float, unit: str = "mm", half_width: float | None = None, **more: Any
) -> dict[str, Any]:
    made = {"quantity": quantity, "value": value, "unit": unit, **more}
    return made if half_width is None else {**made, "half_width": half_width}


@st.composite
def _lengths(draw: st.DrawFn, end: str, stroke: float) -> list[dict[str, Any]]:
    top = draw(between(450, 700))
    alone = stroke * draw(between(0.04, 0.25))
    aboard = alone + stroke * draw(between(0.08, 0.25))
    half_width = draw(st.sampled_from((0.05, 0.5, 1.0)))
    rows = [row("length_topped_out", top, end=end, half_width=half_width)]
    for state, sag in (("bike_alone", alone), ("rider_aboard", aboard)):
        ways = draw(st.sampled_from((("as_is",), ("from_below", "from_above"))))
        held = draw(between(0.5, 3.0)) if len(ways) == 2 else 0.0
        for way, sign in zip(ways, (-1.0, 1.0), strict=False):
            length = top - sag + sign * held
            rows.append(row(f"length_{state}", length, end=end, half_width=half_width, approach=way))
    return rows


@st.composite
def _loads(draw: st.DrawFn) -> list[dict[str, Any]]:
    rows = [row("rider_mass", draw(between(55, 110)), "kg")]
    if draw(st.booleans()):
        rows.append(row("bike_mass", draw(between(110, 280)), "kg"))
    if draw(st.booleans()):
        for end in ("front", "rear"):
            alone = draw(between(75, 130))
            rows.append(row("scale_bike_alone", alone, "kg", end=end))
            rows.append(row("scale_rider_aboard", alone + draw(between(20, 70)), "kg", end=end))
    return rows


_PLANE: dict[str, tuple[str, float, float, dict[str, str]]] = {
    "rake": ("deg", 22, 30, {}),
    "ground_trail": ("mm", 85, 125, {}),
    "wheelbase": ("mm", 1350, 1550, {}),
    "swingarm_length": ("mm", 500, 620, {}),
    "swingarm_angle": ("deg", 4, 16, {}),
    "tyre_grip": ("1", 0.7, 1.3, {}),
    "unsprung_mass": ("kg", 13, 22, {"end": "front"}),
    "wheel_radius": ("mm", 290, 320, {"end": "front"}),
    "bodywork_gap": ("mm", 130, 200, {"end": "front"}),
}


@st.composite
def _front(draw: st.DrawFn, fork: str) -> list[dict[str, Any]]:
    if fork == "known":
        return [row("spring_rate", draw(between(7, 12)), "N/mm", 0.1, end="front")]
    if fork == "legs":
        return [row("spring_rate", draw(between(7, 12)), "N/mm", 0.1, end="front", leg=leg) for leg in LEGS]
    if fork == "oil":
        rows = [row("spring_rate", draw(between(7, 12)), "N/mm", 0.1, end="front")]
        legs = draw(st.sampled_from(((), LEGS, ("left",), ("right",))))
        for quantity, unit, low, high in (
            ("oil_level", "mm", 120, 160),
            ("tube_bore", "mm", 36, 44),
            ("spring_volume", "cm3", 60, 90),
        ):
            for leg in legs or ("",):
                rows.append(row(quantity, draw(between(low, high)), unit, **({"leg": leg} if leg else {})))
        return rows
    if fork == "air":
        rows = [
            row("air_pressure", draw(between(650, 800)), "kPa", end="front"),
            row("air_area", draw(between(800, 950)), "mm2", end="front"),
            row("air_volume", draw(between(190, 240)), "cm3", end="front"),
        ]
        # A chamber of which something was forgotten is none.
        return draw(st.sampled_from((rows, rows, rows[:2], rows[1:])))
    return []


@st.composite
def _rear(draw: st.DrawFn, twin: bool) -> list[dict[str, Any]]:
    shock = draw(st.sampled_from(("known", "dual", "by_sags")))
    rows = [row("leverage", draw(between(1.05, 1.3) if twin else between(2.0, 3.0)), "1", 0.02, end="rear")]
    if shock != "by_sags":
        rate = draw(between(14, 25) if twin else between(80, 160))
        rows.append(row("spring_rate", rate, "N/mm", 0.5, end="rear"))
        if shock == "dual":
            rows.append(row("spring_rate_second", rate * draw(between(1.1, 1.6)), "N/mm", 0.5, end="rear"))
            rows.append(row("spring_crossover", draw(between(20, 60)), end="rear"))
    return rows


_ADJUSTERS = {
    "front.preload": {"unit": "turn", "found": 4, "range_counted": 15, "counted_from": "open", "step_mm": 1.0},
    "front.rebound.left": {"unit": "click", "found": 9, "range_counted": 20},
    "front.rebound.right": {"unit": "click", "found": 11, "range_counted": 20},
    "front.fork_position.left": {"unit": "mm", "found": 3.0, "half_width": 0.1},
    "front.fork_position.right": {"unit": "mm", "found": 3.4, "half_width": 0.5},
    "rear.preload": {"unit": "mm", "found": 8.0, "range_counted": 20},
}


@st.composite
def bikes(
    draw: st.DrawFn, fork: str | None = None, rear: str | None = None, bottomed: bool = False
) -> dict[str, Any]:
    """A document of a whole bike. fork: known, legs (a rate each), oil (air over it), air or by_sags; None: any."""
    fork = fork or draw(st.sampled_from(("known", "legs", "oil", "by_sags", "air")))
    rear = rear or draw(st.sampled_from(("linkage", "direct", "twin_shock", "cantilever")))
    strokes = {"front": draw(between(110, 200)), "rear": draw(between(110, 200))}
    rows = [*draw(_loads()), *draw(_front(fork)), *draw(_rear(rear == "twin_shock"))]
    for end, stroke in strokes.items():
        rows += [row("stroke", stroke, end=end), *draw(_lengths(end, stroke))]
        share = between(0.985, 0.995) if bottomed else between(0.55, 0.92)
        rows.append(row("deepest_normal", stroke * draw(share), end=end))
        if draw(st.booleans()):
            rows.append(row("deepest_hardest", stroke * draw(share), end=end))
    for quantity, (unit, low, high, more) in _PLANE.items():
        if draw(st.booleans()):
            rows.append(row(quantity, draw(between(low, high)), unit, **more))
    return {
        "schema": 2,
        "discipline": draw(st.sampled_from(("road_sport", "naked", "touring", "adventure", "classic"))),
        "front_architecture": "air" if fork == "air" else "coil",
        "rear_architecture": rear,
        "readings": rows,
        "adjusters": [
            {"key": key, **rest}
            for key, rest in _ADJUSTERS.items()
            if draw(st.booleans()) and (fork != "legs" or "preload" not in key)
        ],
        "answers": draw(
            st.fixed_dictionaries({}, optional={"geometry_state": st.sampled_from(("topped_out", "bike_alone"))})
        ),
        "tyre_size": draw(st.sampled_from(({}, {"front": "120/70-17", "rear": "180/55-17"}))),
    }
