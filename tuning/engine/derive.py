"""One case in, one derivation out."""

from types import MappingProxyType

from tuning.engine.case import Case
from tuning.engine.checks import check
from tuning.engine.derivation import ENGINE_VERSION, Derivation
from tuning.engine.geometry import derive_geometry
from tuning.engine.measured import Readings
from tuning.engine.rates import derive_rates
from tuning.engine.reserve import derive_reserve
from tuning.engine.sag import derive_sag
from tuning.engine.serial import input_hash
from tuning.engine.settings import derive_settings
from tuning.engine.validate import require_sound


def derive(case: Case) -> Derivation:
    """Return every value the case's readings allow, with half-widths, and what the checks say.

    Raises EngineInputError listing every fault when the case is outside what the model or physics allows. A value
    whose readings are missing is left out; one that the readings do not carry is there with status cannot_state.
    """
    require_sound(case)
    readings = Readings(case)
    steps = (derive_sag, derive_rates, derive_reserve, derive_geometry)
    found = {value.key: value for step in steps for value in step(readings)}
    found |= {value.key: value for value in derive_settings(case)}
    return Derivation(ENGINE_VERSION, input_hash(case), MappingProxyType(found), check(case))
