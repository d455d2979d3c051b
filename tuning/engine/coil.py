"""Force laws of what is made of steel or rubber: coils, top-out springs, bump stops, and any of them together.

Lengths mm, forces N, rates N/mm, energies N·mm; every field is a number or an array, and all of them broadcast with
the travel asked about. At a corner of a law (coil just touched, crossover, start of a stop) the stiffness is that of
going further in.
"""

from dataclasses import dataclass, replace

import numpy as np

from tuning.engine.arrays import Array, Law, Num


@dataclass(frozen=True, slots=True)
class Coil:
    """A coil spring: F = k (s + p), nothing while loose (s + p < 0).

    ``preload`` p is its compression topped out, mm; negative is loose. With ``second_rate`` and ``crossover`` the
    rate is ``rate`` up to that compression (of the spring, from free) and ``second_rate`` beyond it.
    """

    rate: Num
    preload: Num
    second_rate: Num | None = None
    crossover: Num | None = None

    def __post_init__(self) -> None:
        """Refuse half of a dual rate; forget a crossover below zero compression."""
        if (self.second_rate is None) != (self.crossover is None):
            raise ValueError("a second rate and its crossover come together")
        if self.crossover is not None and not np.all(np.greater_equal(self.crossover, 0.0)):
            object.__setattr__(self, "crossover", np.where(np.less(self.crossover, 0.0), np.nan, self.crossover))

    def force(self, s: Num) -> Array:
        """Return the force, N, at travel ``s`` mm."""
        compression = np.maximum(np.add(s, self.preload), 0.0)
        force: Array = self.rate * compression
        if self.second_rate is not None and self.crossover is not None:
            force = force + np.subtract(self.second_rate, self.rate) * np.maximum(compression - self.crossover, 0.0)
        return force

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds, N/mm, at travel ``s`` mm: zero while loose."""
        compression = np.add(s, self.preload)
        # heaviside, not a comparison: what is not known stays so.
        stiffness: Array = self.rate * np.heaviside(compression, 1.0)
        if self.second_rate is not None and self.crossover is not None:
            beyond = np.heaviside(compression - self.crossover, 1.0)
            stiffness = stiffness + np.subtract(self.second_rate, self.rate) * beyond
        return stiffness

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, of going from topped out to travel ``s`` mm."""
        return self._from_free(s) - self._from_free(0.0)

    def _from_free(self, s: Num) -> Array:
        compression = np.maximum(np.add(s, self.preload), 0.0)
        work: Array = np.multiply(self.rate, 0.5) * compression * compression
        if self.second_rate is not None and self.crossover is not None:
            beyond = np.maximum(compression - self.crossover, 0.0)
            work = work + 0.5 * np.subtract(self.second_rate, self.rate) * beyond * beyond
        return work

    def with_preload(self, delta: Num) -> "Coil":
        """Return the same coil wound in by ``delta`` mm more."""
        return replace(self, preload=np.add(self.preload, delta))


@dataclass(frozen=True, slots=True)
class TopOut:
    """A top-out spring: pulls the end together over the first ``length`` mm, F = −k (length − s)."""

    rate: Num
    length: Num

    def force(self, s: Num) -> Array:
        """Return the force, N, at travel ``s`` mm: never above zero."""
        force: Array = self.rate * np.minimum(np.subtract(s, self.length), 0.0)
        return force

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds, N/mm, at travel ``s`` mm."""
        stiffness: Array = self.rate * np.heaviside(np.subtract(self.length, s), 0.0)
        return stiffness

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, from topped out to travel ``s`` mm: never above zero for s >= 0."""
        start, end = np.minimum(np.negative(self.length), 0.0), np.minimum(np.subtract(s, self.length), 0.0)
        work: Array = np.multiply(self.rate, 0.5) * (end * end - start * start)
        return work

    def with_preload(self, delta: Num) -> "TopOut":
        """Return itself: the main spring's seat does not move it."""
        return self


@dataclass(frozen=True, slots=True)
class BumpStop:
    """A stop over the last part of the stroke, taken as linear: F = k (s − start) beyond ``start`` mm."""

    start: Num
    rate: Num

    def force(self, s: Num) -> Array:
        """Return the force, N, at travel ``s`` mm."""
        force: Array = self.rate * np.maximum(np.subtract(s, self.start), 0.0)
        return force

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds, N/mm, at travel ``s`` mm."""
        stiffness: Array = self.rate * np.heaviside(np.subtract(s, self.start), 1.0)
        return stiffness

    def energy(self, s: Num) -> Array:
        """Return the work, N·mm, from topped out to travel ``s`` mm."""
        first, end = np.maximum(np.negative(self.start), 0.0), np.maximum(np.subtract(s, self.start), 0.0)
        work: Array = np.multiply(self.rate, 0.5) * (end * end - first * first)
        return work

    def with_preload(self, delta: Num) -> "BumpStop":
        """Return itself: the main spring's seat does not move it."""
        return self


@dataclass(frozen=True, slots=True)
class Sum:
    """Laws that act side by side on the same travel."""

    laws: tuple[Law, ...]

    def force(self, s: Num) -> Array:
        """Return the sum of the forces, N."""
        total = self.laws[0].force(s)
        for law in self.laws[1:]:
            total = total + law.force(s)
        return total

    def stiffness(self, s: Num) -> Array:
        """Return the sum of the stiffnesses, N/mm."""
        total = self.laws[0].stiffness(s)
        for law in self.laws[1:]:
            total = total + law.stiffness(s)
        return total

    def energy(self, s: Num) -> Array:
        """Return the sum of the energies, N·mm."""
        total = self.laws[0].energy(s)
        for law in self.laws[1:]:
            total = total + law.energy(s)
        return total

    def with_preload(self, delta: Num) -> "Sum":
        """Return the same laws with every spring seat among them wound in by ``delta`` mm."""
        return Sum(tuple(law.with_preload(delta) for law in self.laws))


def wire_rate(shear_modulus: Num, wire: Num, coil: Num, active: Num) -> Array:
    """Return a round-wire coil's rate, N/mm: k = G d⁴ / (8 D³ n); G in MPa, wire and mean coil diameter in mm.

    NaN where a dimension or the number of active coils is not above zero. Source: Shigley's Mechanical Engineering
    Design, 10th edition, chapter 10.
    """
    d, mean, n = (np.asarray(value, dtype=np.float64) for value in (wire, coil, active))
    with np.errstate(all="ignore"):
        rate = shear_modulus * d**4 / (8.0 * mean**3 * n)
        return np.where((d > 0.0) & (mean > 0.0) & (n > 0.0), rate, np.nan)
