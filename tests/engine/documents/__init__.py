"""Example documents, and documents made from the engine's own tables: sound ones, and sound ones spoilt."""

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import strategies as st

from tuning.engine import case as cases
from tuning.engine import document, validate
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES
from tuning.engine.units import UNITS, units_of
from tuning.engine.vocabulary import ANSWERS, PER_END

EXAMPLES = {path.stem: path for path in sorted(Path(__file__).parent.glob("*.json"))}


def example(name: str) -> dict[str, Any]:
    return json.loads(EXAMPLES[name].read_text(encoding="utf-8"))


@st.composite
def readings(draw: st.DrawFn) -> dict[str, Any]:
    """One reading within its limits, in any unit it may be given in."""
    spec = QUANTITIES[draw(st.sampled_from(sorted(QUANTITIES)))]
    unit = UNITS[draw(st.sampled_from(units_of(spec.dimension)))]
    # A hair inside: a limit there and back through a unit may land on its other side.
    inside = (spec.high - spec.low) * 1e-9
    value = draw(st.floats(spec.low + inside, spec.high - inside))
    row: dict[str, Any] = {"quantity": spec.id, "value": unit.shown(value), "unit": unit.id}
    if spec.per_end:
        row["end"] = draw(st.sampled_from(ENDS))
    if draw(st.booleans()):
        row["half_width"] = draw(st.floats(0, spec.high * 0.999)) / unit.factor
    if spec.per_leg and draw(st.booleans()):
        row["leg"] = draw(st.sampled_from(LEGS))
    if draw(st.booleans()):
        row |= {
            "load_state": draw(st.sampled_from(("", *LOAD_STATES))),
            "approach": draw(st.sampled_from(APPROACHES)),
        }
        row["repeat"] = draw(st.integers(1, 99))
    return row


def place(row: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(row.get(name) for name in ("quantity", "end", "leg"))


def _adjuster(key: str) -> st.SearchStrategy[dict[str, Any]]:
    number = st.none() | st.integers(1, 50) | st.floats(0.1, 50)
    return st.fixed_dictionaries(
        {"key": st.just(key), "unit": st.sampled_from(cases.ADJUSTER_UNITS)},
        optional={
            "found": st.none() | st.floats(-100, 500),
            "half_width": st.floats(0, 5),
            "range_counted": number,
            "counted_from": st.sampled_from(validate.COUNTED_FROM),
            "step_mm": number,
        },
    )


def _rising(low: float, high: float, second: st.SearchStrategy[float], least: int) -> st.SearchStrategy[Any]:
    first = st.lists(st.floats(low, high), min_size=least, max_size=12, unique=True).map(sorted)
    return first.flatmap(
        lambda column: st.lists(second, min_size=len(column), max_size=len(column)).map(
            lambda other: [list(pair) for pair in zip(column, other, strict=True)]
        )
    )


#: Quantities that say something about each other, left out of documents that are to be sound.
_TIED = ("spring_rate_second", "spring_crossover", "normal_trail", "settle_second")
_QUESTIONS = {
    f"{question}.{end}" if end else question: st.sampled_from(values)
    for question, values in ANSWERS.items()
    for end in (ENDS if question in PER_END else ("",))
}
SOUND = st.fixed_dictionaries(
    {
        "schema": st.just(2),
        "discipline": st.sampled_from(cases.DISCIPLINES),
        "front_architecture": st.sampled_from(validate.FRONTS),
        "rear_architecture": st.sampled_from(cases.REAR_ARCHITECTURES),
        "readings": st.lists(readings().filter(lambda r: r["quantity"] not in _TIED), max_size=8, unique_by=place),
    },
    optional={
        "load_state": st.sampled_from(LOAD_STATES),
        "adjusters": st.lists(st.sampled_from(document.ADJUSTER_KEYS), max_size=4, unique=True).flatmap(
            lambda keys: st.tuples(*map(_adjuster, keys)).map(list)
        ),
        "answers": st.fixed_dictionaries({}, optional=_QUESTIONS),
        "tyre_size": st.fixed_dictionaries({}, optional={end: st.just("120/70-17") for end in ENDS}),
        "leverage_table": st.fixed_dictionaries(
            {"unit": st.just("mm"), "rows": _rising(0, 400, st.floats(1, 4), validate.FEWEST_LEVERAGE)}
        ),
        "settle_frames": st.fixed_dictionaries(
            {},
            optional={
                end: st.fixed_dictionaries(
                    {"unit": st.just("in"), "rows": _rising(0, 9, st.floats(-40, 40), validate.FEWEST_FRAMES)}
                )
                for end in ENDS
            },
        ),
    },
)

_NUMBERS = (
    st.floats()
    | st.integers()
    | st.sampled_from([float("nan"), float("inf"), -float("inf"), 10**400, -(10**4000), 1e308, 5e-324, -0.0, 0, 2.0])
)
_WORDS = st.text(max_size=8) | st.sampled_from(
    ["", "front", "rear", "mm", "in", "degF", "psi", "N/mm", "solo", "coil", "stroke", "\ud800", "x" * 500, "2"]
)
JUNK = st.recursive(
    st.none() | st.booleans() | _NUMBERS | _WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_WORDS, inner, max_size=4),
    max_leaves=8,
)


_EXTREMES = (
    None, True, [], {}, [[]], {"": {}}, "", "front", "mm", "%", "\ud800", "x" * 999, 0, -0.0, -1, 2, 7.5,
    1e308, 5e-324, 10**400, float("nan"), float("inf"), -float("inf"),
)  # fmt: skip


def mangled(random: Random) -> Any:
    """An example with one to three members replaced by extremes, left out, renamed, or taken from another place."""
    made: dict[str, Any] = {"": example(random.choice(sorted(EXAMPLES)))}
    for _ in range(random.randint(1, 3)):
        places = [place for place in _places(made) if place[0] is not made or random.random() < 0.02]
        (holder, key), (other, there) = random.choice(places or [(made, "")]), random.choice(places or [(made, "")])
        what = random.randrange(6)
        if what == 0 and holder is not made:
            del holder[key]
        elif what == 1 and isinstance(holder, dict) and holder is not made:
            holder[random.choice(("quantity", "end", "leg", "rows", "found", "", 3))] = holder.pop(key)
        elif what == 2:
            holder[key] = copy.deepcopy(other[there])
        elif what == 3 and isinstance(holder[key], float):
            holder[key] *= random.choice((-1, 1e-3, 25.4, 1e3, 1e300))
        else:
            holder[key] = copy.deepcopy(random.choice(_EXTREMES))
    return made[""]


def _places(inside: Any) -> Iterator[tuple[Any, Any]]:
    """Yield every member of nested lists and objects as its holder and its key."""
    for key in list(inside) if isinstance(inside, dict) else range(len(inside)):
        yield inside, key
        if isinstance(inside[key], (dict, list)):
            yield from _places(inside[key])


@st.composite
def spoilt(draw: st.DrawFn) -> Any:
    """A sound document with up to four members replaced by junk, left out, doubled, or beside junk of a new name."""
    made: Any = {"": copy.deepcopy(draw(SOUND))}
    for _ in range(draw(st.integers(1, 4))):
        holder: Any = made
        key: Any = ""
        while isinstance(holder[key], (dict, list)) and holder[key] and draw(st.integers(0, 5)):
            holder = holder[key]
            keys = sorted(holder) if isinstance(holder, dict) else range(len(holder))
            key = draw(st.sampled_from(list(keys)))
        what = draw(st.sampled_from(("replace", "replace", "replace", "drop", "add", "double")))
        if what == "drop" and key != "":
            del holder[key]
        elif what == "add" and isinstance(holder[key], dict):
            holder[key][draw(_WORDS)] = draw(JUNK)
        elif what == "double" and isinstance(holder, list):
            holder.append(copy.deepcopy(holder[key]))
        else:
            holder[key] = draw(JUNK)
    return made[""]
