"""What an input must be before anything is derived from it: every fault at once."""

import math
from collections.abc import Iterator

from tuning.engine import case as cases
from tuning.engine.case import Case
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES
from tuning.engine.vocabulary import ANSWERS, PER_END

_MAX_ROWS = 400


def require_sound(case: Case) -> None:
    """Raise EngineInputError with every fault of the case; return None when there is none."""
    faults = list(_faults(case))
    if faults:
        raise EngineInputError(faults)


def _known(path: str, value: str, allowed: tuple[str, ...], reason: str) -> Iterator[Fault]:
    if value not in allowed:
        yield Fault(path, value, reason, {"known": allowed})


def _faults(case: Case) -> Iterator[Fault]:
    yield from _known("discipline", case.discipline, cases.DISCIPLINES, "unknown_discipline")
    fronts = (*cases.FRONT_ARCHITECTURES, *cases.FRONT_REFUSED)
    yield from _known("front_architecture", case.front_architecture, fronts, "unknown_architecture")
    yield from _known("rear_architecture", case.rear_architecture, cases.REAR_ARCHITECTURES, "unknown_architecture")
    yield from _known("load_state", case.load_state, LOAD_STATES, "unknown_load_state")
    if len(case.readings) > _MAX_ROWS or len(case.adjusters) > _MAX_ROWS:
        yield Fault("readings", len(case.readings), "too_many", {"most": _MAX_ROWS})
        return
    yield from _reading_faults(case)
    yield from _adjuster_faults(case)
    for key, value in case.answers.items():
        question, _, end = key.partition(".")
        if question not in ANSWERS:
            yield Fault(f"answers.{key}", value, "unknown_question", {"known": tuple(ANSWERS)})
        elif (question in PER_END) != bool(end) or (end and end not in ENDS):
            yield Fault(f"answers.{key}", value, "unknown_end", {"known": ENDS})
        elif value not in ANSWERS[question]:
            yield Fault(f"answers.{key}", value, "unknown_answer", {"known": ANSWERS[question]})


def _reading_faults(case: Case) -> Iterator[Fault]:
    seen: dict[tuple[object, ...], int] = {}
    for index, row in enumerate(case.readings):
        path = f"readings[{index}]"
        spec = QUANTITIES.get(row.quantity)
        if spec is None:
            yield Fault(f"{path}.quantity", row.quantity, "unknown_quantity", {"known": tuple(QUANTITIES)})
            continue
        if spec.per_end != bool(row.end) or (row.end and row.end not in ENDS):
            yield Fault(f"{path}.end", row.end, "unknown_end", {"known": ENDS if spec.per_end else ("",)})
        if row.leg and (not spec.per_leg or row.leg not in LEGS):
            yield Fault(f"{path}.leg", row.leg, "unknown_leg", {"known": LEGS if spec.per_leg else ("",)})
        if row.load_state and row.load_state not in LOAD_STATES:
            yield Fault(f"{path}.load_state", row.load_state, "unknown_load_state", {"known": LOAD_STATES})
        if row.approach not in APPROACHES:
            yield Fault(f"{path}.approach", row.approach, "unknown_approach", {"known": APPROACHES})
        if not math.isfinite(row.value):
            yield Fault(f"{path}.value", row.value, "not_finite")
        elif not spec.low <= row.value <= spec.high:
            reason = "below_physical_limit" if row.value < spec.low else "above_physical_limit"
            yield Fault(f"{path}.value", row.value, reason, {"low": spec.low, "high": spec.high})
        if not 0 <= row.half_width <= spec.high:
            yield Fault(f"{path}.half_width", row.half_width, "not_a_half_width")
        key = (row.quantity, row.end, row.leg, row.load_state, row.approach, row.repeat)
        if key in seen:
            yield Fault(path, row.value, "read_twice", {"first": seen[key]})
        seen.setdefault(key, index)


def _adjuster_faults(case: Case) -> Iterator[Fault]:
    seen: set[str] = set()
    for index, row in enumerate(case.adjusters):
        path = f"adjusters[{index}]"
        named = ".".join(part for part in (row.end, row.kind, row.leg) if part)
        if row.key != named:
            yield Fault(f"{path}.key", row.key, "key_does_not_fit", {"wanted": named})
        if row.key in seen:
            yield Fault(f"{path}.key", row.key, "told_twice")
        seen.add(row.key)
        yield from _known(f"{path}.kind", row.kind, cases.ADJUSTER_KINDS, "unknown_adjuster")
        yield from _known(f"{path}.end", row.end, ENDS, "unknown_end")
        yield from _known(f"{path}.unit", row.unit, cases.ADJUSTER_UNITS, "unknown_unit")
        yield from _known(f"{path}.counted_from", row.counted_from, ("closed", "open"), "unknown_direction")
        for name, value in (("found", row.found), ("range_counted", row.range_counted), ("step_mm", row.step_mm)):
            if value is not None and not math.isfinite(value):
                yield Fault(f"{path}.{name}", value, "not_finite")
        if not 0 <= row.half_width <= 500:
            yield Fault(f"{path}.half_width", row.half_width, "not_a_half_width")
        if row.range_counted is not None and not 0 < row.range_counted <= 500:
            yield Fault(f"{path}.range_counted", row.range_counted, "not_a_range", {"low": 0, "high": 500})
        if row.step_mm is not None and not 0 < row.step_mm <= 50:
            yield Fault(f"{path}.step_mm", row.step_mm, "not_a_step", {"low": 0, "high": 50})
