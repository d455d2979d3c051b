"""Spring rates implied by what a known load does to the sag.

Only differences count: the bike's own mass and the preload drop out, since k = ΔF/Δx whatever the preload. Where
the lighter state tops out or the heavier bottoms, the travel understates the load's effect and the rate is an upper
bound.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array, Mask
from tuning.engine.case import FRONT_REFUSED
from tuning.engine.pack import Pack
from tuning.engine.propagate import ABSENT, AT_MOST, CANNOT_STATE, OK, REFUSED, Each, Value, resolved
from tuning.engine.quantities import ENDS
from tuning.engine.sag import sags_of
from tuning.engine.units import STANDARD_GRAVITY

#: A bike alone that sags less than this is taken as topped out, mm.
TOPPED_OUT = 2.0
#: Left over, mm: less than this and the end of the stroke has been reached.
BOTTOMED = 3.0


def carried_mass(pack: Pack) -> tuple[Array, Array]:
    """Return what the rider, passenger and luggage of the case's load add: (on the front wheel, in all), kg.

    NaN where a mass of that load state is not given.
    """
    rider = pack.get("rider_mass")
    front, total = rider * pack.usual("rider_front_share"), rider
    for load, said in (("passenger", "two_up"), ("luggage", "luggage")):
        carries = pack.loaded_with(said)
        if carries.any():
            mass = np.where(carries, pack.get(f"{load}_mass"), 0.0)
            front, total = front + mass * pack.usual(f"{load}_front_share"), total + mass
    return front, total


def added_loads(pack: Pack) -> dict[str, Array]:
    """Return the mass (kg) that going from bike alone to rider aboard adds at each end: by scales, else by shares.

    A scale at one end alone leaves the other end what the masses in all leave it.
    """
    return dict(zip(ENDS, pack.once("added_loads", lambda: _added_loads(pack)), strict=True))


def _added_loads(pack: Pack) -> tuple[Array, ...]:
    by_scale = {end: pack.get(f"scale_rider_aboard.{end}") - pack.get(f"scale_bike_alone.{end}") for end in ENDS}
    front, total = carried_mass(pack)
    shares = {"front": front, "rear": total - front}
    other = {"front": "rear", "rear": "front"}
    found = {}
    for end in ENDS:
        left = np.where(np.isnan(by_scale[other[end]]), shares[end], total - by_scale[other[end]])
        found[end] = np.where(np.isnan(by_scale[end]), left, by_scale[end])
    return tuple(found[end] for end in ENDS)


def travel_resolved(pack: Pack, end: str) -> Mask:
    """Return (D, 1): whose rider's sag is greater than the bike's alone by more than their uncertainty."""
    alone, rider = sags_of(pack.with_columns(), end)
    return resolved(rider - alone)


def load_share(pack: Pack) -> Iterator[Value]:
    """Yield the share of the loaded bike's weight on the front wheel, by the scales."""
    front, rear = (pack.get(f"scale_rider_aboard.{end}") for end in ENDS)
    yield Value("load_share_front", front / (front + rear), "1", "load_share")


@dataclass(frozen=True, slots=True)
class _Implied:
    """Rate N/mm (D, C), status (D, 1), and by document the reason or bound."""

    rate: Array
    status: "np.ndarray[tuple[int, ...], np.dtype[np.int64]]"
    reason: Each
    bound: Each


def _implied(pack: Pack, end: str, force: Array) -> _Implied:
    alone, rider = sags_of(pack, end)
    travel = rider - alone
    with np.errstate(invalid="ignore", divide="ignore"):
        rate = force / travel
        left = pack.get(f"stroke.{end}")[:, :1] - rider[:, :1]
    known: Mask = np.isfinite(rate[:, :1]) | (np.isfinite(travel[:, :1]) & np.isfinite(force[:, :1]))
    carried = travel_resolved(pack, end) & resolved(added_loads(pack.with_columns())[end])
    topped = alone[:, :1] < TOPPED_OUT
    bottomed = left < BOTTOMED
    status = np.where(topped | bottomed, AT_MOST, OK)
    status = np.where(carried, status, CANNOT_STATE)
    status = np.where(known, status, ABSENT)
    reasons = Each("difference_within_resolution" if code == CANNOT_STATE else None for code in status[:, 0])
    bounds = Each(
        None if code != AT_MOST else "topped_out" if is_topped else "bottomed"
        for code, is_topped in zip(status[:, 0], topped[:, 0], strict=True)
    )
    return _Implied(rate, status, reasons, bounds)


def derive_rates(pack: Pack) -> Iterator[Value]:
    """Yield the load share on the front wheel and the implied rates: fork (axial, both legs), rear wheel, shock."""
    yield from load_share(pack)
    loads = added_loads(pack)
    yield from _front(pack, loads["front"])
    yield from _rear(pack, loads["rear"])


def _not_stated(pack: Pack, key: str, load: Array, code: int, reason: str) -> Value:
    status = np.where(np.isfinite(load[:, :1]), code, ABSENT)
    return Value(key, np.full((pack.rows, 1), np.nan), "N/mm", key, status, {"reason": reason})


def _front(pack: Pack, load: Array) -> Iterator[Value]:
    key = "implied_fork_rate"
    if pack.front_architecture in FRONT_REFUSED:
        yield _not_stated(pack, key, load, REFUSED, pack.front_architecture)
        return
    if pack.front_architecture == "semi_active":
        yield _not_stated(pack, key, load, CANNOT_STATE, "levelling_hides_the_spring")
        return
    force = load * STANDARD_GRAVITY * np.cos(np.radians(pack.usual("rake")))
    found = _implied(pack, "front", force)
    assumed = Each(bool(flag) for flag in ~pack.given("rake")[:, 0])
    yield Value(
        key,
        found.rate,
        "N/mm",
        key,
        found.status,
        {"rake_assumed": assumed, "reason": found.reason, "bound": found.bound},
    )


def _rear(pack: Pack, load: Array) -> Iterator[Value]:
    key = "implied_rear_wheel_rate"
    if pack.rear_architecture == "semi_active":
        yield _not_stated(pack, key, load, CANNOT_STATE, "levelling_hides_the_spring")
        return
    found = _implied(pack, "rear", load * STANDARD_GRAVITY)
    params = {"reason": found.reason, "bound": found.bound}
    yield Value(key, found.rate, "N/mm", key, found.status, params)
    stated = np.where(found.status == CANNOT_STATE, ABSENT, found.status)
    shock = found.rate * pack.get("leverage.rear") ** 2
    yield Value("implied_shock_rate", shock, "N/mm", "implied_shock_rate", stated, params)
