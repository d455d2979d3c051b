"""What stands in a page's fields, laid over the records without writing any: the checks can then speak while it is
being typed."""

from collections.abc import Mapping, Sequence
from typing import Any

from intake import typed
from intake.case import Unsaved
from intake.models import Adjuster, Reading
from intake.services import readings
from intake.services.readings import NotRecordable
from intake.steps import asked, from_catalogue
from intake.steps.base import At, answers, measures
from intake.steps.fields import Field, Measure, Number, Text
from intake.typed import Typed
from tuning.engine.case import ADJUSTER_KINDS

#: Names of fields that describe bike and aim, as ``intake.case`` takes them.
DESCRIBED = ("discipline", "front", "rear", "front_tyre", "rear_tyre")
_FOUND, _RANGE, _STEP, _COUNTED_IN = ".found", ".range", ".step", ".counted_in"


def unsaved(at: At, specs: Sequence[Field], cleaned: Mapping[str, Any], values: Mapping[str, str]) -> Unsaved:
    """Return what the fields that could be read say; one that could not says nothing, not even what it said before.

    cleaned: what could be read, by field name; values: the raw text with its units.
    """
    names = {spec.name for spec in specs}
    aboard = str(cleaned.get("load_state") or "") if "load_state" in names else ""
    state = aboard or (asked.aboard(at) if any(spec.load_state == "rider" for spec in measures(specs)) else "")
    given = {f"{s.question}.{s.end}" if s.end else s.question: str(cleaned.get(s.name) or "") for s in answers(specs)}
    rows, stood = _adjusters(at, specs, cleaned, values)
    return Unsaved(
        readings=dict(_reading(at, spec, state, cleaned, values) for spec in measures(specs)),
        adjusters=rows,
        settings=stood,
        answers=given,
        described={name: str(cleaned.get(name) or "") for name in DESCRIBED if name in names},
        load_state=aboard,
    )


def _reading(
    at: At, spec: Measure, aboard: str, cleaned: Mapping[str, Any], values: Mapping[str, str]
) -> tuple[tuple[object, ...], Reading | None]:
    state = aboard if spec.load_state == "rider" else spec.load_state
    of: dict[str, Any] = {
        "quantity": spec.quantity,
        "end": spec.end,
        "leg": spec.leg,
        "load_state": state,
        "approach": spec.approach,
        "repeat": spec.repeat,
    }
    row = None
    if cleaned.get(spec.name) is not None:
        text, unit = values[spec.name].strip(), spec.unit(at.client, values)
        try:
            method, least = from_catalogue.method_of(at, spec, text, unit)
            row = readings.reading_as_typed(at.round, **of, text=text, unit=unit, method=method, least=least)
        except (typed.NotANumber, NotRecordable):
            row = None
    return tuple(of.values()), row


def _adjusters(
    at: At, specs: Sequence[Field], cleaned: Mapping[str, Any], values: Mapping[str, str]
) -> tuple[dict[str, Adjuster], dict[str, float | None]]:
    """Return the adjusters the page speaks of, and where each would stand."""
    keys = [spec.name.removesuffix(_FOUND) for spec in specs if _is_setting(spec)]
    if not keys:
        return {}, {}
    known = asked.told(at).adjusters
    by_name = {spec.name: spec for spec in specs}
    rows: dict[str, Adjuster] = {}
    stood: dict[str, float | None] = {}
    for key in keys:
        found, counted = cleaned.get(key + _FOUND), cleaned.get(key + _RANGE)
        before = known.get(key)
        value = found.canonical if isinstance(found, Typed) else None
        if value is None and counted is None and before is None:
            continue
        end, _dot, rest = key.partition(".")
        kind, _dot, leg = rest.partition(".")
        spec = by_name[key + _FOUND]
        is_length = isinstance(spec, Number) and spec.dimension == "length"
        step = cleaned.get(f"{end}.{kind}{_STEP}")
        unit = "mm" if is_length else "mode" if isinstance(spec, Text) else _unit(end, kind, cleaned, before)
        ranged = counted.canonical if isinstance(counted, Typed) else None
        if key + _RANGE not in by_name and before is not None:
            ranged = before.range_counted
        rows[key] = Adjuster(
            bike=at.request.bike,
            key=key,
            kind=kind,
            end=end,
            leg=leg,
            unit=unit,
            counted_from=before.counted_from if before else "closed",
            range_counted=ranged,
            step_mm=step.canonical if isinstance(step, Typed) else before.step_mm if before else None,
        )
        stood[key] = value
    return rows, stood


def _is_setting(spec: Field) -> bool:
    _end, _dot, rest = spec.name.partition(".")
    return spec.name.endswith(_FOUND) and rest.partition(".")[0] in ADJUSTER_KINDS


def _unit(end: str, kind: str, cleaned: Mapping[str, Any], before: Adjuster | None) -> str:
    return str(cleaned.get(f"{end}.{kind}{_COUNTED_IN}") or (before.unit if before else "click"))
