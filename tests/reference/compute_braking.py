"""Loads and braking: centres of mass, static loads, load transfer, lift-off and the stop's fixed point."""

import math
from typing import Any

from tests.reference.rows import Compute
from tuning.engine import loads
from tuning.engine.braking import brake, braked_loads, lift_off
from tuning.engine.coil import Coil
from tuning.engine.plane import Chassis
from tuning.engine.units import POUND, POUND_FORCE, STANDARD_GRAVITY


def _static(given: dict[str, Any]) -> float:
    whole = loads.combine(*(list(column) for column in zip(*given["bodies"], strict=True)))
    share = loads.front_share(whole.ahead, given["wheelbase"])
    front, rear = (load * given["g"] / STANDARD_GRAVITY for load in loads.axle_loads(whole.mass, share))
    lifts = lift_off(loads.behind_front(share, given["wheelbase"]), whole.height)
    return float({"share": share, "front": front, "rear": rear, "lift_off": lifts}[given["what"]])


def _rider(given: dict[str, Any]) -> float:
    whole, part = (loads.combine(*([number] for number in given[name])) for name in ("whole", "part"))
    rider = loads.without(whole, part)
    share = loads.front_share(rider.ahead, given["wheelbase"])
    return float({"ahead": rider.ahead, "height": rider.height, "share": share}[given["what"]])


def _weighed_share(given: dict[str, Any]) -> float:
    return float(loads.wheel_masses(math.nan, math.nan, given["front"], given["rear"]).share)


def _lift_off(given: dict[str, Any]) -> float:
    return float(lift_off(given["l_f"], given["h"], given.get("grade", 0.0))) * given.get("g", 1.0)


def _transfer(given: dict[str, Any]) -> float:
    mass = given["mass_lb"] * POUND
    braked, still = (
        braked_loads(mass, given["l_f"], given["h"], given["wheelbase"], decel)[0]
        for decel in (given["decel_g"], 0.0)
    )
    return float(braked - still) / POUND_FORCE


def _stop(given: dict[str, Any]) -> float:
    chassis = Chassis(
        *(given[name] for name in ("rake", "offset", "wheelbase", "front_radius", "rear_radius")),
        given.get("front_travel", 0.0),
        given.get("rear_travel", 0.0),
        given.get("swingarm_length", math.nan),
        given.get("swingarm_angle", math.nan),
    )
    body = loads.body_at_rest(
        chassis,
        mass=given["mass"],
        l_f=loads.behind_front(given["front_share"], given["wheelbase"]),
        h=given["h_share"] * given["wheelbase"],
        unsprung_front=given["unsprung_front"],
        unsprung_rear=given["unsprung_rear"],
    )
    found = brake(
        given["decel_g"],
        body,
        chassis,
        Coil(*given["front_coil"]),
        Coil(*given["rear_coil"]),
        front_stroke=given["stroke"],
        rear_stroke=given["stroke"],
        mu=math.inf,
    )
    return float(getattr(found, given["what"]))


def _rigid_fork_force(given: dict[str, Any]) -> float:
    base = given["wheelbase"]
    rigid = {"front_coil": (1e9, 0.0), "rear_coil": (1e9, 0.0), "stroke": 100.0, "what": "fork_force"}
    wheels = {"offset": 30.0, "front_radius": 300.0, "rear_radius": 300.0}
    shares = {"front_share": 1 - given["l_f"] / base, "h_share": given["h"] / base}
    masses = {"unsprung_front": given["unsprung"], "unsprung_rear": 20.0}
    return _stop(given | rigid | wheels | shares | masses | {"rake": math.radians(given["rake_deg"])})


COMPUTE: dict[str, Compute] = {
    "static": _static,
    "rider": _rider,
    "weighed_share": _weighed_share,
    "front_share": lambda given: float(loads.front_share(given["ahead"], given["wheelbase"])),
    "lift_off": _lift_off,
    "transfer": _transfer,
    "braked_front": lambda given: float(
        braked_loads(given["mass"], given["l_f"], given["h"], given["wheelbase"], given["decel_g"])[0]
    ),
    "axial": lambda given: float(
        loads.axial_fork_load(given["front_load"], given["unsprung"], math.radians(given["rake_deg"]))
    ),
    "rigid_fork_force": _rigid_fork_force,
    "stop": _stop,
}
