"""Air: polytropic changes, the standard atmosphere, the column above the oil, air forks."""

from typing import Any

from tests.reference.rows import Compute
from tuning.engine import air


def _column(given: dict[str, Any]) -> air.AirColumn:
    return air.AirColumn(given["area"], given["volume"], given["sealed"], given["ambient"], given["exponent"])


def _fork(given: dict[str, Any]) -> air.AirFork:
    main, balance = given["main"], given["balance"]
    return air.AirFork(*main, *balance, given["ambient"], given["exponent"])


COMPUTE: dict[str, Compute] = {
    "polytropic_volume": lambda g: float(air.polytropic_volume(g["v"], g["p"], g["to"], g["n"])),
    "polytropic_temperature": lambda g: float(air.polytropic_temperature(g["t"], g["p"], g["to"], g["n"])),
    "polytropic_work": lambda g: float(
        air.polytropic_work(g["p"], g["v"], air.polytropic_volume(g["v"], g["p"], g["to"], g["n"]), g["n"])
    ),
    "standard_pressure": lambda g: float(air.ambient_pressure(g["altitude"])),
    "pressure_at": lambda g: float(air.pressure_at(g["set"], g["set_temperature"], g["temperature"])),
    "column_force": lambda g: float(_column(g).force(g["travel"])),
    "column_energy": lambda g: float(_column(g).energy(g["travel"])),
    "column_volume": lambda g: float(air.column_volume(g["bore"], g["gap"], g["stroke"], g["spring"])),
    "air_fork_force": lambda g: float(_fork(g).force(g["travel"])),
}
