"""Sag of the bike alone and with the rider aboard, and the friction band between letting up and letting down."""

from collections.abc import Iterator

from tuning.engine.arrays import Array
from tuning.engine.pack import Pack
from tuning.engine.propagate import Each, Value
from tuning.engine.quantities import ENDS


def sags_of(pack: Pack, end: str) -> tuple[Array, Array]:
    """Return (bike alone, rider aboard) sag in mm, each (D, C); both share their topped-out length."""

    def make() -> tuple[Array, ...]:
        topped_out = pack.get(f"length_topped_out.{end}")
        return tuple(
            topped_out - pack.get(f"{length}.{end}") - pack.or_zero(f"friction.{length}.{end}")
            for length in ("length_bike_alone", "length_rider_aboard")
        )

    alone, rider = pack.once(f"sags.{end}", make)
    return alone, rider


def derive_sag(pack: Pack) -> Iterator[Value]:
    """Yield sag in mm and as a share of the stroke, and the friction band, for each end that was measured."""
    states = Each(case.load_state for case in pack.cases)
    for end in ENDS:
        stroke = pack.get(f"stroke.{end}")
        for name, sag in zip(("sag_bike_alone", "sag_rider_aboard"), sags_of(pack, end), strict=True):
            yield Value(f"{name}.{end}", sag, "mm", "sag", params={"load_state": states})
            yield Value(f"{name}_share.{end}", sag / stroke, "1", "sag_share")
        band = pack.first(f"band.length_rider_aboard.{end}", f"band.length_bike_alone.{end}")
        yield Value(f"friction_band.{end}", band, "mm", "friction_band")
