"""Rear ends: leverage, the shock at the axle, what a change does to the deepest travel, and which spring to buy."""

import math
from typing import Any

import numpy as np

from tests.reference.rows import Compute
from tuning.engine import parts, peak, shock
from tuning.engine.coil import Coil
from tuning.engine.fork import equilibrium
from tuning.engine.linkage import Constant, Leverage, Linear, Table


def _leverage(given: dict[str, Any]) -> Leverage:
    if "points" in given:
        return Table(np.array(given["points"]), np.array(given["ratios"]))
    if "linear" in given:
        return Linear(*given["linear"])
    return Constant(math.cos(math.radians(given["rake"])) if "rake" in given else given["ratio"])


def _law(given: dict[str, Any]) -> shock.RearLaw:
    return shock.RearLaw(_leverage(given), Coil(*given["spring"]), given.get("count", 1))


def _rest(given: dict[str, Any], turned: float) -> float:
    return float(equilibrium(_law(given).with_preload(turned), given["load"], given["stroke"]))


def _after(given: dict[str, Any]) -> float:
    found = peak.bracket(Coil(*given["before"]), Coil(*given["after"]), given["deepest"], given["stroke"])
    return float(getattr(found, given["what"]))


def _aim(given: dict[str, Any]) -> tuple[parts.Seat, parts.Aim]:
    (alone, aboard), (least, most), (shallow, deep) = given["loads"], given["alone"], given["aboard"]
    seat = parts.Seat(given["count"], Constant(given["ratio"]))
    return seat, parts.Aim(alone, aboard, (least, most), (shallow, deep), given["stroke"])


def _wanted(given: dict[str, Any]) -> float:
    rate, preload = parts.wanted(*_aim(given))
    return float({"rate": rate, "preload": preload}[given["what"]])


def _best(given: dict[str, Any]) -> float:
    found = parts.choose(*_aim(given), tuple(given["rates"]), parts.Adjuster(*given["adjuster"]))
    return float(getattr(found.best, given["what"]))


COMPUTE: dict[str, Compute] = {
    "rate_at_shock": lambda g: float(shock.rate_at_shock(g["rate"], g["ratio"], g.get("count", 1))),
    "shock_travel": lambda g: float(_leverage(g).shock_travel(g["travel"])),
    "wheel_travel": lambda g: float(_leverage(g).wheel_travel(g["stroke"])),
    "constant_wheel_rate": lambda g: float(shock.wheel_rate(g["rate"], _leverage(g).ratio(0.0))),
    "rear_force": lambda g: float(_law(g).force(g["travel"])),
    "rear_stiffness": lambda g: float(_law(g).stiffness(g["travel"])),
    "rear_energy": lambda g: float(_law(g).energy(g["travel"])),
    "axle_per_turn": lambda g: _rest(g, 0.0) - _rest(g, g["per_turn"]),
    "deepest_after": _after,
    "spring_wanted": _wanted,
    "spring_to_buy": _best,
}
