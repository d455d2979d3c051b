"""The engine's answers as JSON values and as tables for a terminal."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tuning.engine.curves import Curve
from tuning.engine.derivation import Derivation, Derived
from tuning.engine.errors import EngineInputError
from tuning.engine.learn import Learned
from tuning.engine.serial import plain
from tuning.engine.shape import is_number
from tuning.engine.validate import finite, told
from tuning.engine.whatif import WhatIf

if TYPE_CHECKING:
    from tuning.engine.solve_answers import Outcome, Reason, Solution, Solutions

#: Version of the answers below; the derivation carries its own.
ANSWER_SCHEMA = 1


def faults_to_json(error: EngineInputError) -> dict[str, Any]:
    """Return every fault: path, value as given, reason and what would have been taken."""
    return {"faults": [{**_fit(asdict(fault)), "path": fault.path} for fault in error.faults]}


def _fit(value: Any) -> Any:
    """Return what JSON can carry: numbers it has none for, and what is no JSON value at all, become text."""
    if isinstance(value, Mapping):
        return {str(key): _fit(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [_fit(item) for item in value]
    if is_number(value) and not finite(value):
        return told(value) if isinstance(value, int) else str(value)
    return told(value)


def _values(values: Mapping[str, Derived]) -> list[dict[str, Any]]:
    return [plain(asdict(value)) for value in values.values()]


def what_if_to_json(answer: WhatIf) -> dict[str, Any]:
    """Return what is foretold before and after, the differences, and what is missing by end."""
    return {
        "schema": ANSWER_SCHEMA,
        "engine_version": answer.engine_version,
        "input_hash": answer.input_hash,
        "set": [plain(asdict(wish)) for wish in answer.wishes],
        "before": _values(answer.before),
        "after": _values(answer.after),
        "difference": _values(answer.difference),
        "missing": {end: list(keys) for end, keys in answer.missing.items()},
    }


def learned_to_json(answer: Learned) -> dict[str, Any]:
    """Return the fitted parameters, every reading against the fit, and the misfit."""
    return {
        "schema": ANSWER_SCHEMA,
        "engine_version": answer.engine_version,
        "rounds": answer.rounds,
        "parameters": {key: plain(asdict(one)) for key, one in answer.parameters.items()},
        "readings": [plain(asdict(one)) for one in answer.readings],
        "misfit": {"value": answer.misfit, "freedom": answer.freedom, "most": answer.most},
        "contradicts": answer.contradicts,
        "suspects": [{"round": place, "key": key} for place, key in answer.suspects],
    }


def curves_to_json(answer: Iterable[Curve]) -> dict[str, Any]:
    """Return each end's force over travel; null where the bike does not come to rest at a known travel."""
    return {"schema": ANSWER_SCHEMA, "curves": [_curve(curve) for curve in answer]}


def _curve(curve: Curve) -> dict[str, Any]:
    rest = {
        name: place if finite(place) else None for name in ("alone", "aboard") for place in (getattr(curve, name),)
    }
    return {**plain(asdict(curve)), **rest}


# --- Tables -------------------------------------------------------------------------------------------------------


def _table(rows: Iterable[tuple[str, ...]]) -> str:
    lines = [tuple(row) for row in rows]
    widths = [max(len(row[place]) for row in lines) for place in range(len(lines[0]))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in lines
    )


def number(value: float | None, half_width: float | None = None) -> str:
    """Return a number with as many digits as its half-width carries, ``36.0 ± 1.3``; "–" for none."""
    if value is None:
        return "–"
    if not half_width or half_width < 1e-6 * abs(value):
        return f"{value:.5g}"
    digits = max(0, min(6, 1 - int(f"{half_width:e}".split("e")[1])))
    return f"{value:.{digits}f} ± {half_width:.{digits}f}"


_SIGNS = {"at_least": "≥ ", "at_most": "≤ "}


def _stated(value: Derived | None) -> str:
    if value is None:
        return "–"
    if value.value is None:
        return f"{value.status}: {value.params.get('reason', '')}"
    return f"{_SIGNS.get(value.status, '')}{number(value.value, value.half_width)} {value.unit}"


def derivation_to_table(answer: Derivation) -> str:
    """Return the derived values and then the checks that do not pass."""
    rows = [("value", "is, ± 95 %", "formula", "most by")]
    for value in answer.values.values():
        most = value.contributions[0] if value.contributions else ("", 0.0)
        rows.append((value.key, _stated(value), value.formula, f"{most[0]} {most[1]:.0%}" if most[0] else ""))
    checks = [("check", "verdict", "take again", "")]
    for check in answer.checks:
        if check.verdict != "passes":
            name = f"{check.id}.{check.end}" if check.end else check.id
            checks.append((name, check.verdict, ", ".join(check.again), ""))
    return _table(rows) + ("\n\n" + _table(checks) if len(checks) > 1 else "")


def what_if_to_table(answer: WhatIf) -> str:
    """Return before, after and difference side by side, then what is missing."""
    rows = [("value", "before", "after", "difference")]
    for key, after in answer.after.items():
        rows.append((key, _stated(answer.before.get(key)), _stated(after), _stated(answer.difference.get(key))))
    lacking = [f"{end}: nothing foretold without {', '.join(keys)}" for end, keys in answer.missing.items()]
    return "\n".join([_table(rows), *lacking])


def learned_to_table(answer: Learned) -> str:
    """Return the parameters and the readings against the fit."""
    rows = [("parameter", "is, ± 95 %", "was taken for", "")]
    for key, one in answer.parameters.items():
        now, before = number(one.value, one.half_width), number(one.before, one.before_half_width)
        rows.append((key, f"{now} {one.unit}", before, ""))
    readings = [("round", "reading", "measured", "fitted")]
    for row in answer.readings:
        mark = " !" if abs(row.off) > 3 else ""
        readings.append((str(row.round), row.key, f"{row.measured:.5g} {row.unit}", f"{row.foretold:.4g}{mark}"))
    verdict = "contradicts the model" if answer.contradicts else "fits"
    misfit = f"misfit {answer.misfit:.1f}, at most {answer.most:.1f} by chance: {verdict}"
    return "\n\n".join([_table(rows), _table(readings), misfit])


def solutions_to_table(answer: "Solutions") -> str:
    """Return the targets as found, each set of changes with what it is foretold to give, and what is in the way."""
    parts = [_table([("as found", "is", "wanted", ""), *map(_outcome, answer.as_found)])] if answer.as_found else []
    for place, one in enumerate(answer.solutions, start=1):
        parts.append(f"{place}. {_steps(one)}\n{_outcomes(one)}")
    if answer.compromise is not None:
        parts.append(f"Nothing meets all. Nearest: {_steps(answer.compromise)}\n{_outcomes(answer.compromise)}")
    if answer.reason is not None:
        parts.append("\n".join(_reason(answer.reason)))
    lacking = [("cannot be judged", "why", "missing")]
    lacking += [(one.target, one.reason, ", ".join(one.missing)) for one in answer.cannot_judge]
    barred = [("not moved further", "why"), *((one.lever, one.reason) for one in answer.barred)]
    parts += [_table(rows) for rows in (lacking, barred) if len(rows) > 1]
    if not answer.complete:
        parts.append("Not every place of every lever was looked at.")
    return "\n\n".join(parts)


def _steps(one: "Solution") -> str:
    if not one.steps:
        return "nothing to change"
    found = []
    for step in one.steps:
        # A part says by itself where it goes; of an adjuster the difference is what is turned.
        where = "" if step.to is None else f" to {number(step.to)}"
        moved = f"{step.by:+.5g} {step.unit}{where}"
        found.append(
            f"{' '.join(step.adjusters) or step.lever} {moved}{' (have it done)' if step.have_it_done else ''}"
        )
    return "; ".join(found) + f" [effort {one.effort}, {one.skill}]"


def _outcomes(one: "Solution") -> str:
    return _table([("", "foretold", "wanted", "verdict"), *map(_outcome, one.outcomes)])


def _outcome(one: "Outcome") -> tuple[str, str, str, str]:
    value = number(one.value, one.half_width)
    if one.other is not None:
        value += f" … {number(one.other, one.other_half_width)}"
    verdict = one.verdict or ("misses by " + number(one.miss) if one.miss > 0 else "")
    return one.target, f"{value} {one.unit}", _band(one.low, one.high), verdict


def _band(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return f"≤ {number(high)}" if low is None else f"≥ {number(low)}"
    return f"{number(low)} to {number(high)}"


def _reason(reason: "Reason") -> Iterator[str]:
    yield " ".join([f"Why: {reason.kind}", ", ".join(reason.targets)]).rstrip()
    for one in reason.shortfalls:
        blocked = ", ".join(f"{barred.lever} ({barred.reason})" for barred in one.blocked_by)
        yield f"  {one.target}: nearest {number(one.nearest)} {one.unit}" + (
            f"; in the way: {blocked}" if blocked else ""
        )
    if reason.would_meet is not None:
        yield f"  Would meet all, beyond {', '.join(reason.beyond)}: {_steps(reason.would_meet)}"


def curves_to_table(answer: Iterable[Curve]) -> str:
    """Return each end's force at ten travels."""
    rows = [("end", "travel mm", "force N")]
    for curve in answer:
        step = max(1, (len(curve.travel) - 1) // 10)
        pairs = list(zip(curve.travel, curve.force, strict=True))[::step]
        rows += [(curve.end, f"{travel:.1f}", f"{force:.0f}") for travel, force in pairs]
    return _table(rows)


def faults_to_text(error: EngineInputError) -> str:
    """Return a line for each fault: where, why, what stood there and what would be taken."""
    return "\n".join(str(fault) for fault in error.faults)
