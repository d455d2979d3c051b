"""Springs: wire, preload, rates and where a fork comes to rest."""

import math
from typing import Any

from tests.reference.rows import Compute
from tuning.engine import fork
from tuning.engine.arrays import Law
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut, wire_rate
from tuning.engine.units import INCH, POUND_FORCE, convert

_PSI = POUND_FORCE / INCH**2  # MPa


def _wire(given: dict[str, Any]) -> float:
    rate = wire_rate(given["modulus_psi"] * _PSI, given["wire_in"] * INCH, given["coil_in"] * INCH, given["active"])
    return convert(float(rate), "N/mm", "lbf/in")


def _law(given: dict[str, Any]) -> Law:
    coil = Coil(given["rate"], given["preload"], given.get("second_rate"), given.get("crossover"))
    laws: list[Law] = [coil]
    if "top_out" in given:
        laws.append(TopOut(*given["top_out"]))
    if "bump_stop" in given:
        laws.append(BumpStop(*given["bump_stop"]))
    return Sum(tuple(laws))


def _rest(given: dict[str, Any]) -> float:
    return float(fork.equilibrium(_law(given), given["load"], given["stroke"]))


def _both_sags(given: dict[str, Any]) -> float:
    rate, preload = fork.rate_and_preload(*given["first"], *given["second"])
    return float({"rate": rate, "preload": preload}[given["what"]])


COMPUTE: dict[str, Compute] = {
    "wire_rate": _wire,
    "vertical_rate": lambda given: float(fork.vertical_rate(given["rate"], math.radians(given["rake"]))),
    "implied_rate": lambda given: float(fork.implied_rate(*given["first"], *given["second"])),
    "rest": _rest,
    "sag_per_preload": lambda given: _rest(given | {"preload": given["preload"] + 1.0}) - _rest(given),
    "spring_force": lambda given: float(_law(given).force(given["travel"])),
    "spring_energy": lambda given: float(_law(given).energy(given["travel"])),
    "rate_and_preload": _both_sags,
    "preload_for": lambda given: float(fork.preload_for(_law(given), given["travel"], given["load"])),
}
