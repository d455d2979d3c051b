"""The steps from a pack to its values, in the order a tuner reads them."""

from collections.abc import Iterator

from tuning.engine.bike import bike_of
from tuning.engine.geometry import chassis_of, derive_geometry
from tuning.engine.pack import Pack
from tuning.engine.propagate import Value
from tuning.engine.rates import derive_rates
from tuning.engine.readouts import derive_bike
from tuning.engine.reserve import derive_reserve
from tuning.engine.sag import derive_sag
from tuning.engine.settling import derive_settling


def values_of(pack: Pack) -> Iterator[Value]:
    """Yield every value of a pack, measured ones first."""
    yield from derive_sag(pack)
    yield from derive_rates(pack)
    yield from derive_reserve(pack)
    filled = chassis_of(pack)
    yield from derive_geometry(pack, filled)
    yield from derive_settling(pack)
    bike = bike_of(pack, filled)
    if bike is not None:
        yield from derive_bike(pack, bike)
