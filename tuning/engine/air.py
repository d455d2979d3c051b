"""Air as a spring: the column above the oil of a coil fork, air forks, and set pressures in other weather.

Areas mm², volumes mm³, lengths mm, forces N, pressures kPa (each says gauge or absolute), temperatures °C unless
named kelvin. The exponent n of P Vⁿ = const is near 1 standing still and 1.2-1.4 riding; it is always the caller's,
and ``exponent_effect`` shows what the choice does.
"""

from dataclasses import dataclass, replace

import numpy as np

from tuning.engine.arrays import Array, Num

#: N/mm² in a kPa.
_KPA = 1e-3
#: ISO 2533:1975: sea level, lapse, gas constant of air, nominal radius of the earth; the lowest layer's reach.
SEA_LEVEL_KPA = 101.325
_SEA_LEVEL_KELVIN = 288.15
_LAPSE = 0.0065  # K/m
_GAS_CONSTANT = 287.05287  # J/(kg K)
_GRAVITY = 9.80665  # m/s²
_EARTH_RADIUS = 6356766.0  # m
_LOWEST_M, _HIGHEST_M = -2000.0, 11000.0
ZERO_CELSIUS = 273.15  # K
#: Standing still, between, and adiabatic.
EXPONENTS = (1.0, 1.2, 1.4)
#: Nearer to n = 1 than this the work is isothermal to rounding.
_ISOTHERMAL = 1e-9


@dataclass(frozen=True, slots=True)
class AirColumn:
    """A sealed column: P = P0 (V0/(V0 − A s))ⁿ, pushing on A against the ambient pressure.

    ``volume`` is V0, topped out; ``sealed_kpa`` (P0, topped out) and ``ambient_kpa`` are absolute. A negative area
    is a chamber that grows as the fork goes in: a balance chamber. NaN beyond the travel that uses up the volume,
    and where the volume is not above zero or the sealed pressure is below vacuum.
    """

    area: Num
    volume: Num
    sealed_kpa: Num
    ambient_kpa: Num
    exponent: Num

    def __post_init__(self) -> None:
        """Forget a volume or pressure that cannot be, here once and not at every force."""
        sound = np.greater(self.volume, 0.0) & np.greater_equal(self.sealed_kpa, 0.0)
        if not np.all(sound):
            object.__setattr__(self, "volume", np.where(sound, self.volume, np.nan))

    def force(self, s: Num) -> Array:
        """Return A (P − P_ambient), N, at travel ``s`` mm."""
        with np.errstate(all="ignore"):
            pressure = self.sealed_kpa * np.exp(self.exponent * self._squeeze(s))
            force: Array = self.area * (pressure - self.ambient_kpa) * _KPA
            return force

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds = n A² P / V, N/mm, at travel ``s`` mm."""
        with np.errstate(all="ignore"):
            volume = self.volume - np.multiply(self.area, s)
            pressure = self.sealed_kpa * np.exp(self.exponent * np.log(self.volume / volume))
            stiffness: Array = self.area * (self.area * pressure / volume) * self.exponent * _KPA
            return stiffness

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, from topped out to travel ``s`` mm, the ambient air's share taken off."""
        with np.errstate(all="ignore"):
            by_gas = np.multiply(self.sealed_kpa, _KPA) * self.volume * _per_pv(self._squeeze(s), self.exponent)
            work: Array = by_gas - np.multiply(self.ambient_kpa, _KPA) * self.area * s
            return work

    def with_preload(self, delta: Num) -> "AirColumn":
        """Return itself: a spring's seat does not move the air."""
        return self

    def with_exponent(self, exponent: Num) -> "AirColumn":
        """Return the same column with another polytropic exponent."""
        return replace(self, exponent=exponent)

    def times(self, count: Num) -> "AirColumn":
        """Return ``count`` such columns side by side, as two like legs are."""
        return replace(self, area=np.multiply(self.area, count), volume=np.multiply(self.volume, count))

    def _squeeze(self, s: Num) -> Array:
        """Return ln(V0/V), NaN beyond the volume."""
        squeeze: Array = np.log(self.volume / (self.volume - np.multiply(self.area, s)))
        return squeeze


@dataclass(frozen=True, slots=True)
class AirFork:
    """An air leg: a main chamber pushing out, less a balance chamber that pulls in and grows with travel.

    ``main_kpa`` and ``balance_kpa`` are gauge, topped out with the wheel off the ground, at the temperature and the
    altitude of ``ambient_kpa`` (absolute): carry a set pressure there with ``pressure_at`` first. Volumes topped
    out. A fork without balance air has ``balance_area`` 0 (and any balance volume above zero).
    """

    main_area: Num
    main_volume: Num
    main_kpa: Num
    balance_area: Num
    balance_volume: Num
    balance_kpa: Num
    ambient_kpa: Num
    exponent: Num

    @property
    def main(self) -> AirColumn:
        """The main chamber as a column."""
        sealed = np.add(self.main_kpa, self.ambient_kpa)
        return AirColumn(self.main_area, self.main_volume, sealed, self.ambient_kpa, self.exponent)

    @property
    def balance(self) -> AirColumn:
        """The balance chamber as a column of negative area."""
        sealed = np.add(self.balance_kpa, self.ambient_kpa)
        area = np.negative(self.balance_area)
        return AirColumn(area, self.balance_volume, sealed, self.ambient_kpa, self.exponent)

    def force(self, s: Num) -> Array:
        """Return the force, N, at travel ``s`` mm; below zero where the balance chamber has the upper hand."""
        return self.main.force(s) + self.balance.force(s)

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds, N/mm, at travel ``s`` mm: both chambers stiffen."""
        return self.main.stiffness(s) + self.balance.stiffness(s)

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, from topped out to travel ``s`` mm."""
        return self.main.energy(s) + self.balance.energy(s)

    def with_preload(self, delta: Num) -> "AirFork":
        """Return itself: no spring seat."""
        return self

    def with_exponent(self, exponent: Num) -> "AirFork":
        """Return the same leg with another polytropic exponent."""
        return replace(self, exponent=exponent)

    def times(self, count: Num) -> "AirFork":
        """Return ``count`` such legs side by side."""
        names = ("main_area", "main_volume", "balance_area", "balance_volume")
        return replace(self, **{name: np.multiply(getattr(self, name), count) for name in names})


def air_fork(
    *,
    main_area: Num,
    main_volume: Num,
    main_kpa: Num,
    balance_area: Num,
    balance_volume: Num,
    balance_kpa: Num,
    set_temperature: Num,
    temperature: Num,
    set_altitude: Num,
    altitude: Num,
    exponent: Num = 1.0,
) -> AirFork:
    """Return an air leg whose gauge pressures were set cold at one temperature and altitude and is ridden at another.

    Temperatures °C, altitudes m, pressures kPa gauge; the rest as in AirFork.
    """
    before, now = ambient_pressure(set_altitude), ambient_pressure(altitude)
    main, balance = (pressure_at(kpa, set_temperature, temperature, before, now) for kpa in (main_kpa, balance_kpa))
    return AirFork(main_area, main_volume, main, balance_area, balance_volume, balance, now, exponent)


def exponent_effect(air: AirColumn | AirFork, travel: Num, exponents: tuple[float, ...] = EXPONENTS) -> Array:
    """Return the air's force, N, at ``travel`` mm for each exponent, along a new first axis."""
    return np.stack(np.broadcast_arrays(*(air.with_exponent(n).force(travel) for n in exponents)))


def column_volume(
    bore: Num, gap: Num, stroke: Num, spring_volume: Num = 0.0, swept_diameter: Num | None = None
) -> Array:
    """Return the air volume of one leg topped out, mm³, from an oil level as manuals quote it.

    ``gap`` is from the tube's top edge to the oil, fork fully compressed and spring out; ``spring_volume`` (mm³) is
    what spring and spacer take up once they are in, wherever the oil then stands. ``bore`` is the tube's inside
    diameter at the gap. The stroke adds the section that is pushed in: that of ``swept_diameter`` (the sliding
    tube's outside), the bore where not told. NaN where no air is left with the fork compressed.
    """
    with np.errstate(all="ignore"):
        compressed = circle(bore) * gap - spring_volume
        swept = circle(bore if swept_diameter is None else swept_diameter) * stroke
        volume: Array = np.where(
            np.greater(compressed, 0.0) & np.greater_equal(swept, 0.0), compressed + swept, np.nan
        )
        return volume


def circle(diameter: Num) -> Array:
    """Return the area, mm², of a circle of ``diameter`` mm."""
    area: Array = np.pi / 4.0 * np.square(np.asarray(diameter, dtype=np.float64))
    return area


def coil_volume(wire: Num, coil: Num, turns: Num) -> Array:
    """Return the volume, mm³, of a round-wire coil: wire and mean coil diameter mm, all turns, pitch neglected."""
    volume: Array = circle(wire) * np.pi * coil * turns
    return volume


def ambient_pressure(altitude: Num) -> Array:
    """Return the standard atmosphere's pressure, kPa absolute, at a height above the sea in m.

    ISO 2533:1975, lowest layer; NaN outside −2 to 11 km (geopotential).
    """
    height = np.asarray(altitude, dtype=np.float64)
    with np.errstate(all="ignore"):
        geopotential = _EARTH_RADIUS * height / (_EARTH_RADIUS + height)
        power = _GRAVITY / (_GAS_CONSTANT * _LAPSE)
        pressure = SEA_LEVEL_KPA * (1.0 - _LAPSE * geopotential / _SEA_LEVEL_KELVIN) ** power
        return np.where((geopotential >= _LOWEST_M) & (geopotential <= _HIGHEST_M), pressure, np.nan)


def pressure_at(
    set_gauge_kpa: Num,
    set_temperature: Num,
    temperature: Num,
    set_ambient: Num = SEA_LEVEL_KPA,
    ambient: Num = SEA_LEVEL_KPA,
) -> Array:
    """Return what a gauge would read, kPa, after a change of temperature (°C) and ambient pressure (kPa absolute).

    The same air in the same volume: the absolute pressure goes with the absolute temperature. NaN below absolute
    zero or vacuum.
    """
    with np.errstate(all="ignore"):
        before, after = np.add(set_temperature, ZERO_CELSIUS), np.add(temperature, ZERO_CELSIUS)
        absolute = np.add(set_gauge_kpa, set_ambient)
        gauge = absolute * after / before - ambient
        return np.where((before > 0.0) & (after > 0.0) & (absolute >= 0.0), gauge, np.nan)


def polytropic_volume(volume: Num, pressure: Num, new_pressure: Num, exponent: Num) -> Array:
    """Return the volume at ``new_pressure`` when P Vⁿ stays: pressures absolute and alike, volume in its own unit."""
    with np.errstate(all="ignore"):
        new: Array = volume * np.power(np.divide(pressure, new_pressure), np.divide(1.0, exponent))
        return new


def polytropic_pressure(pressure: Num, volume: Num, new_volume: Num, exponent: Num) -> Array:
    """Return the absolute pressure at ``new_volume`` when P Vⁿ stays."""
    with np.errstate(all="ignore"):
        new: Array = pressure * np.power(np.divide(volume, new_volume), exponent)
        return new


def polytropic_temperature(kelvin: Num, pressure: Num, new_pressure: Num, exponent: Num) -> Array:
    """Return the temperature, K, at ``new_pressure``: T2/T1 = (P2/P1)^((n − 1)/n), absolute pressures."""
    with np.errstate(all="ignore"):
        power = np.subtract(1.0, np.divide(1.0, exponent))
        new: Array = kelvin * np.power(np.divide(new_pressure, pressure), power)
        return new


def polytropic_work(pressure: Num, volume: Num, new_volume: Num, exponent: Num) -> Array:
    """Return the work done on the gas, in P times V: (P2 V2 − P1 V1)/(n − 1), or P1 V1 ln(V1/V2) at n = 1."""
    with np.errstate(all="ignore"):
        squeeze = np.log(np.divide(volume, new_volume))
        work: Array = np.multiply(pressure, volume) * _per_pv(squeeze, exponent)
        return work


def _per_pv(squeeze: Array, exponent: Num) -> Array:
    """Return the work per P0 V0, (r^(n−1) − 1)/(n − 1) with ln r = ``squeeze``, going over to ln r at n = 1."""
    above = np.subtract(exponent, 1.0)
    return np.where(np.abs(above) < _ISOTHERMAL, squeeze, np.expm1(above * squeeze) / above)
