"""Tests of the readings against each other and against physics. They cope with whatever is missing.

A check that does not apply says nothing; one that applies passes, asks for a second look, or blocks.
"""

from collections.abc import Callable, Iterator

from tuning.engine.case import Case
from tuning.engine.derivation import Check
from tuning.engine.measured import COVERAGE, Readings
from tuning.engine.quantities import ENDS, QUANTITIES
from tuning.engine.rates import derive_rates
from tuning.engine.sag import sag_of
from tuning.engine.settings import DAMPING

#: Friction bands above these, mm: look for stiction before believing any sag (common practice).
FRICTION_LIMIT = {"front": 6.0, "rear": 4.0}
#: Fork legs agree within 0.5 mm by rule (common practice); a caliper reads finer than a client's rule.
LEGS_AGREE = 0.5
#: Cold pressures further from the maker's than this share are questioned (common practice).
PRESSURE_OFF = 0.10
TYRE_AGE = 10.0
#: Implied rates outside these are implausible for a motorcycle, N/mm (fork: both legs; common practice, wide).
PLAUSIBLE_RATE = {"implied_fork_rate": (5.0, 40.0), "implied_rear_wheel_rate": (5.0, 80.0)}

CORE = ("length_topped_out", "length_bike_alone", "length_rider_aboard")


def _verdict(fine: bool, otherwise: str = "second_look") -> str:
    return "passes" if fine else otherwise


def _order(readings: Readings) -> Iterator[Check]:
    for end in ENDS:
        top = readings.value("length_topped_out", end)
        alone = readings.value("length_bike_alone", end)
        rider = readings.value("length_rider_aboard", end, readings.case.load_state)
        if top is not None and alone is not None:
            again = (f"length_topped_out.{end}", f"length_bike_alone.{end}")
            excess = (alone - top).nominal_value
            limit = sum(r.half_width for r in readings.rows("length_topped_out", end)[:1]) + sum(
                r.half_width for r in readings.rows("length_bike_alone", end)[:1]
            )
            yield Check(
                "order_topped_out_bike_alone", _verdict(excess <= limit, "blocks"), end, again, {"excess_mm": excess}
            )
        if alone is not None and rider is not None:
            again = (f"length_bike_alone.{end}", f"length_rider_aboard.{end}")
            excess = (rider - alone).nominal_value
            yield Check("order_bike_alone_rider", _verdict(excess < 0, "blocks"), end, again, {"excess_mm": excess})


def _travel(readings: Readings) -> Iterator[Check]:
    for end in ENDS:
        _, rider = sag_of(readings, end)
        stroke = readings.value("stroke", end)
        normal = readings.value("deepest_normal", end)
        hardest = readings.value("deepest_hardest", end)
        if rider is not None and stroke is not None:
            yield Check(
                "sag_beyond_stroke",
                _verdict(rider.nominal_value < stroke.nominal_value, "blocks"),
                end,
                (f"length_topped_out.{end}", f"length_rider_aboard.{end}", f"stroke.{end}"),
                {"sag_mm": rider.nominal_value, "stroke_mm": stroke.nominal_value},
            )
        for name, deepest in (("deepest_normal", normal), ("deepest_hardest", hardest)):
            if deepest is None:
                continue
            if stroke is not None:
                over = (deepest - stroke).nominal_value
                within = readings.rows(name, end)[0].half_width + readings.rows("stroke", end)[0].half_width
                yield Check(
                    "ring_beyond_stroke",
                    _verdict(over <= within, "blocks"),
                    end,
                    (f"{name}.{end}", f"stroke.{end}"),
                    {"deepest_mm": deepest.nominal_value, "stroke_mm": stroke.nominal_value},
                )
            if rider is not None:
                # The ring went at least as far as the rider's weight takes the end: less cannot be.
                gap = rider - deepest
                false = gap.nominal_value > COVERAGE * gap.std_dev or gap.nominal_value > 5.0
                yield Check(
                    "ring_false",
                    _verdict(not false, "blocks"),
                    end,
                    (f"{name}.{end}",),
                    {"deepest_mm": deepest.nominal_value, "sag_mm": rider.nominal_value},
                )
        if normal is not None and hardest is not None:
            less = (normal - hardest).nominal_value
            yield Check(
                "deepest_hardest_below_normal",
                _verdict(less <= 2.0),
                end,
                (f"deepest_normal.{end}", f"deepest_hardest.{end}"),
                {"deepest_mm": normal.nominal_value, "hardest_mm": hardest.nominal_value},
            )


def _settings(readings: Readings) -> Iterator[Check]:
    case = readings.case
    for adjuster in case.adjusters:
        if adjuster.found is None or adjuster.range_counted is None:
            continue
        if adjuster.kind in DAMPING or adjuster.kind == "preload":
            yield Check(
                "clicks_beyond_range",
                _verdict(0 <= adjuster.found <= adjuster.range_counted),
                adjuster.end,
                (f"setting.{adjuster.key}",),
                {"adjuster": adjuster.key, "found": adjuster.found, "range": adjuster.range_counted},
            )
    legs = {a.leg: a.found for a in case.adjusters if a.kind == "fork_position" and a.found is not None}
    if {"left", "right"} <= legs.keys():
        apart = abs(legs["left"] - legs["right"])
        yield Check(
            "legs_unequal",
            _verdict(apart <= LEGS_AGREE),
            "front",
            ("setting.front.fork_position.left", "setting.front.fork_position.right"),
            {"apart_mm": apart, "left_mm": legs["left"], "right_mm": legs["right"]},
        )


def _friction(readings: Readings) -> Iterator[Check]:
    for end in ENDS:
        for quantity, state in (
            ("length_bike_alone", "bike_alone"),
            ("length_rider_aboard", readings.case.load_state),
        ):
            band = readings.friction_band(quantity, end, state)
            if band is not None:
                yield Check(
                    "friction_high",
                    _verdict(band.nominal_value <= FRICTION_LIMIT[end]),
                    end,
                    (f"{quantity}.{end}",),
                    {"band_mm": band.nominal_value, "limit_mm": FRICTION_LIMIT[end]},
                )


def _plausible(readings: Readings) -> Iterator[Check]:
    for value in derive_rates(readings):
        if value.id in PLAUSIBLE_RATE and value.value is not None and value.half_width is not None:
            low, high = PLAUSIBLE_RATE[value.id]
            end = "front" if value.id == "implied_fork_rate" else "rear"
            fits = value.value + value.half_width >= low and value.value - value.half_width <= high
            yield Check(
                "rate_implausible",
                _verdict(fits),
                end,
                tuple(f"{quantity}.{end}" for quantity in CORE),
                {"rate_nmm": value.value, "low_nmm": low, "high_nmm": high},
            )


def _masses(readings: Readings) -> Iterator[Check]:
    bike, rider = readings.value("bike_mass"), readings.value("rider_mass")
    scales = {
        (name, end): readings.value(name, end) for name in ("scale_bike_alone", "scale_rider_aboard") for end in ENDS
    }
    if (
        bike is not None
        and scales["scale_bike_alone", "front"] is not None
        and scales["scale_bike_alone", "rear"] is not None
    ):
        total = scales["scale_bike_alone", "front"] + scales["scale_bike_alone", "rear"]
        apart = abs((total - bike).nominal_value)
        yield Check(
            "scales_disagree",
            _verdict(apart <= max(0.06 * bike.nominal_value, 5.0)),
            "",
            ("scale_bike_alone.front", "scale_bike_alone.rear", "bike_mass"),
            {"sum_kg": total.nominal_value, "told_kg": bike.nominal_value},
        )
    limit = readings.value("gross_mass_limit")
    if limit is not None and bike is not None and rider is not None:
        total = bike + rider
        state = readings.case.load_state
        for name, said in (("passenger_mass", "two_up"), ("luggage_mass", "luggage")):
            mass = readings.value(name)
            if mass is not None and said in state:
                total = total + mass
        yield Check(
            "overload",
            _verdict(total.nominal_value <= limit.nominal_value, "blocks"),
            "",
            ("rider_mass", "passenger_mass", "luggage_mass", "gross_mass_limit"),
            {"total_kg": total.nominal_value, "limit_kg": limit.nominal_value},
        )


def _tyres(readings: Readings) -> Iterator[Check]:
    for end in ENDS:
        now, wanted = readings.value("tyre_pressure", end), readings.value("tyre_pressure_manual", end)
        if now is not None and wanted is not None:
            off = (now / wanted).nominal_value - 1
            yield Check(
                "pressure_off",
                _verdict(abs(off) <= PRESSURE_OFF),
                end,
                (f"tyre_pressure.{end}",),
                {"pressure_kpa": now.nominal_value, "manual_kpa": wanted.nominal_value},
            )
        age = readings.value("tyre_age", end)
        if age is not None:
            yield Check(
                "tyre_old",
                _verdict(age.nominal_value <= TYRE_AGE),
                end,
                (f"tyre_age.{end}",),
                {"age": age.nominal_value},
            )


def _exactness(readings: Readings) -> Iterator[Check]:
    for row in readings.case.readings:
        spec = QUANTITIES[row.quantity]
        if not spec.plausible_low <= row.value <= spec.plausible_high:
            key = ".".join(part for part in (row.quantity, row.end) if part)
            yield Check(
                "unusual_value",
                "second_look",
                row.end,
                (key,),
                {
                    "quantity": row.quantity,
                    "value": row.value,
                    "low": spec.plausible_low,
                    "high": spec.plausible_high,
                },
            )


def _core(readings: Readings) -> Iterator[Check]:
    for end in ENDS:
        missing = tuple(f"{quantity}.{end}" for quantity in CORE if not readings.rows(quantity, end))
        yield Check("missing_core", _verdict(not missing), end, missing, {"count": len(missing)})


_CHECKS: tuple[Callable[[Readings], Iterator[Check]], ...] = (
    _order,
    _travel,
    _settings,
    _friction,
    _plausible,
    _masses,
    _tyres,
    _exactness,
    _core,
)
#: Every id a check may carry.
CHECK_IDS = (
    "order_topped_out_bike_alone",
    "order_bike_alone_rider",
    "sag_beyond_stroke",
    "ring_beyond_stroke",
    "ring_false",
    "deepest_hardest_below_normal",
    "clicks_beyond_range",
    "legs_unequal",
    "friction_high",
    "rate_implausible",
    "scales_disagree",
    "overload",
    "pressure_off",
    "tyre_old",
    "unusual_value",
    "missing_core",
)


def check(case: Case) -> tuple[Check, ...]:
    """Return what every check that applies says of a case, in a fixed order."""
    readings = Readings(case)
    return tuple(result for test in _CHECKS for result in test(readings))
