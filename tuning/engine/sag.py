"""Sag of the bike alone and with the rider aboard, and the friction band between letting up and letting down."""

from collections.abc import Iterator
from typing import Any

from tuning.engine.derivation import Derived
from tuning.engine.measured import Readings, derived
from tuning.engine.quantities import ENDS


def sag_of(readings: Readings, end: str) -> tuple[Any | None, Any | None]:
    """Return (bike alone, rider aboard) sag in mm as uncertain numbers that share their topped-out length."""
    topped_out = readings.value("length_topped_out", end)
    if topped_out is None:
        return None, None
    alone = readings.value("length_bike_alone", end)
    rider = readings.value("length_rider_aboard", end, readings.case.load_state)
    return (
        None if alone is None else topped_out - alone,
        None if rider is None else topped_out - rider,
    )


def derive_sag(readings: Readings) -> Iterator[Derived]:
    """Yield sag in mm and as a share of the stroke, and the friction band, for each end that was measured."""
    for end in ENDS:
        alone, rider = sag_of(readings, end)
        stroke = readings.value("stroke", end)
        for name, sag in (("sag_bike_alone", alone), ("sag_rider_aboard", rider)):
            if sag is None:
                continue
            yield derived(f"{name}.{end}", sag, "mm", "sag", load_state=readings.case.load_state)
            if stroke is not None:
                yield derived(f"{name}_share.{end}", sag / stroke, "1", "sag_share")
        band = readings.friction_band("length_rider_aboard", end, readings.case.load_state)
        if band is None:
            band = readings.friction_band("length_bike_alone", end, "bike_alone")
        if band is not None:
            yield derived(f"friction_band.{end}", band, "mm", "friction_band")
