"""Units: the engine's conversions."""

from typing import Any

from tests.reference.rows import Compute
from tuning.engine.units import convert


def _convert(given: dict[str, Any]) -> float:
    return convert(given.get("value", 1.0), given["from"], given["to"])


COMPUTE: dict[str, Compute] = {"convert": _convert}
