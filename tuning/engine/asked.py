"""What a program asks of the engine beyond one document: a change to try on one, and the rounds of one bike.

{"document": {…}, "set": {"front.preload_mm": "+6", "rear.spring_rate": 95}}
{"rounds": [{…}, {…}]}
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, TypeVar

from tuning.engine.case import Case
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.jsontext import parse
from tuning.engine.levers import Wish, read_wish, wish
from tuning.engine.shape import MOST_MEMBERS, Shape, rows_of
from tuning.engine.solve_problem import Problem, problem_from_json
from tuning.engine.validate import told

#: A fit's time grows with the cube of its readings; nobody tries more settings on one bike.
MOST_ROUNDS = 20
MOST_READINGS = 1200
WHAT_IF = Shape(required={"document": "object", "set": "object"}, optional={"$schema": "text"})
ROUNDS = Shape(required={"rounds": "list"}, optional={"$schema": "text"})
Read = TypeVar("Read")


def under(path: str, faults: list[Fault], reads: Callable[[], Read]) -> Read | None:
    """Return what is read, or None and its faults told with their paths under ``path``."""
    try:
        return reads()
    except EngineInputError as error:
        faults += [replace(one, path=".".join(part for part in (path, one.path) if part)) for one in error.faults]
        return None


def what_if_from_json(asked: object) -> tuple[Case, tuple[Wish, ...]]:
    """Return the case, and the wishes in the order told. Raises EngineInputError with every fault of both."""
    faults: list[Fault] = []
    fields = WHAT_IF.read(asked, "", faults) or {}
    case = under("document", faults, lambda: read_document(fields["document"])) if "document" in fields else None
    wishes: list[Wish] = []
    if "set" in fields:
        wishes = _wishes(fields["set"], faults)
    if case is None or faults:
        raise EngineInputError(faults)
    return case, tuple(wishes)


def _wishes(given: Mapping[Any, Any], faults: list[Fault]) -> list[Wish]:
    if not 1 <= len(given) <= MOST_MEMBERS:
        reason = "too_many" if given else "too_few"
        faults.append(Fault("set", len(given), reason, {"least": 1, "most": MOST_MEMBERS}))
        return []
    found = []
    for name, number in given.items():
        try:
            found.append(wish(str(name), number))
        except EngineInputError as error:
            faults += error.faults
    return found


def wishes_of(texts: Iterable[str]) -> tuple[Wish, ...]:
    """Return the wishes that texts such as ``front.preload_mm=+6`` tell. Raises EngineInputError with every fault."""
    faults: list[Fault] = []
    found: dict[str, Wish] = {}
    for text in texts:
        try:
            one = read_wish(text)
        except EngineInputError as error:
            faults += error.faults
            continue
        if one.lever in found:
            faults.append(Fault(f"set.{told(one.lever)}", told(text), "told_twice"))
        found[one.lever] = one
    if faults:
        raise EngineInputError(faults)
    return tuple(found.values())


def problem_from_text(text: str | bytes) -> Problem:
    """Return the problem a JSON text describes; names told twice are listed along with all other faults.

    Raises EngineInputError.
    """
    document, faults = parse(text)
    problem = under("", faults, partial(problem_from_json, document))
    if problem is None or faults:
        raise EngineInputError(faults)
    return problem


def rounds_from_json(asked: object) -> list[Case]:
    """Return the rounds in their order. Raises EngineInputError with every fault of all of them."""
    faults: list[Fault] = []
    fields = ROUNDS.read(asked, "", faults) or {}
    rows = rows_of(fields.get("rounds", []), "rounds", faults, MOST_ROUNDS)
    read = [under(path, faults, partial(read_document, row)) for path, row in rows]
    if faults:
        raise EngineInputError(faults)
    cases = [case for case in read if case is not None]
    require_few(cases)
    return cases


def require_few(rounds: Sequence[Case]) -> None:
    """Raise EngineInputError for more than one fit takes."""
    if len(rounds) > MOST_ROUNDS:
        raise EngineInputError([Fault("rounds", len(rounds), "too_many", {"most": MOST_ROUNDS})])
    readings = sum(len(case.readings) for case in rounds)
    if readings > MOST_READINGS:
        raise EngineInputError([Fault("rounds", f"{readings} readings", "too_many", {"most": MOST_READINGS})])
