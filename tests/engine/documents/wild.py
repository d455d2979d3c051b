"""Whole bikes with numbers anywhere within their limits, and at them: what a document may say, however unlikely."""

import copy
import json
from pathlib import Path
from random import Random
from typing import Any

from tests.engine.documents import EXAMPLES, example
from tuning.engine import case as cases
from tuning.engine import validate
from tuning.engine.document import ADJUSTER_KEYS
from tuning.engine.levers import LEVERS
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, QUANTITIES, Quantity
from tuning.engine.solve_problem import BUDGETS, SKILLS, TARGETS
from tuning.engine.units import CANONICAL
from tuning.engine.vocabulary import ANSWERS, PER_END

PLACE = ("quantity", "end", "leg", "load_state", "approach", "repeat")
#: Adjusters that move something the model foretells.
MOVING = tuple(key for key in ADJUSTER_KEYS if key.split(".")[1] in ("preload", "fork_position", "ride_height"))
SHIPPED = Path(__file__).resolve().parents[3] / "tuning" / "engine" / "examples"


def _number(random: Random, spec: Quantity, now: float | None) -> float:
    """Return a value at a limit, anywhere, anywhere likely, or near what it was."""
    plausible = random.uniform(spec.plausible_low, spec.plausible_high)
    near = plausible if now is None else min(max(now * random.uniform(0.8, 1.25), spec.low), spec.high)
    ends = random.choice((spec.low, spec.high))
    return random.choices((near, plausible, random.uniform(spec.low, spec.high), ends), (5, 3, 2, 1))[0]


def _reading(random: Random, spec: Quantity, now: float | None = None) -> dict[str, Any]:
    row: dict[str, Any] = {"quantity": spec.id, "unit": CANONICAL[spec.dimension]}
    row["value"] = _number(random, spec, now)
    if spec.per_end:
        row["end"] = random.choice(ENDS)
    if spec.per_leg and random.random() < 0.3:
        row["leg"] = random.choice(LEGS)
    if spec.id.startswith("length_") and random.random() < 0.5:
        row |= {"approach": random.choice(APPROACHES), "load_state": random.choice(LOAD_STATES)}
    if random.random() < 0.3:
        row["half_width"] = random.choice((0.0, 1e-9, spec.half_width, 3 * spec.half_width, spec.high))
    return row


def _agreeing(random: Random, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the rows without those that say something twice, or that say nothing without another."""
    once = {tuple(row.get(name, "") for name in PLACE): row for row in rows}
    there = {(row["quantity"], row.get("end")) for row in once.values()}
    partner = {"spring_rate_second": "spring_crossover", "spring_crossover": "spring_rate_second"}
    mostly = random.random() < 0.9
    return [
        row
        for row in once.values()
        if (partner.get(row["quantity"], row["quantity"]), row.get("end")) in there
        and not (mostly and row["quantity"] in ("normal_trail", "settle_second"))
    ]


def _adjuster(random: Random, key: str) -> dict[str, Any]:
    return {
        "key": key,
        "unit": random.choice(cases.ADJUSTER_UNITS),
        "found": random.choice((None, 0, -10_000, 10_000, random.uniform(-5, 30))),
        "half_width": random.choice((0, 0.5, 500)),
        "range_counted": random.choice((None, 1e-9, 500, random.uniform(1, 40))),
        "counted_from": random.choice(validate.COUNTED_FROM),
        "step_mm": random.choice((None, 1e-9, 50, 1)),
    }


def _table(random: Random, least: int, low: float, high: float, span: float) -> dict[str, Any]:
    count = random.choice((least, least, 12, 60))
    first = sorted(random.uniform(0, span) for _ in range(count))
    return {"unit": "mm", "rows": [[at, random.uniform(low, high)] for at in dict.fromkeys(first)]}


def wild(random: Random, base: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return a document that was an example before chance went over it; a few contradict themselves."""
    made = copy.deepcopy(base or random.choice(BASES))
    made.pop("$schema", None)
    if random.random() < 0.3:
        made["front_architecture"] = random.choice((*cases.FRONT_ARCHITECTURES * 4, *cases.FRONT_REFUSED))
    if random.random() < 0.3:
        made["rear_architecture"] = random.choice(cases.REAR_ARCHITECTURES)
    if random.random() < 0.2:
        made["load_state"] = random.choice(LOAD_STATES)
    made["discipline"] = random.choice(cases.DISCIPLINES)
    kept = random.choice((0.5, 0.9, 1.0))
    rows = []
    for row in made["readings"]:
        if random.random() < kept:
            spec = QUANTITIES[row["quantity"]]
            if row["unit"] == CANONICAL[spec.dimension] and random.random() < 0.4:
                row["value"] = _number(random, spec, row["value"])
            if random.random() < 0.05:
                row["half_width"] = random.choice((0, 1e-9))
            rows.append(row)
    for _ in range(random.choice((0, 0, 3, 12))):
        rows.append(_reading(random, random.choice(list(QUANTITIES.values()))))
    made["readings"] = rows if random.random() < 0.1 else _agreeing(random, rows)
    if random.random() < 0.4:
        keys = random.sample(random.choice((ADJUSTER_KEYS, MOVING)), random.randint(0, 8))
        made["adjusters"] = [_adjuster(random, key) for key in keys]
    if random.random() < 0.4:
        made["answers"] = {
            f"{question}.{end}" if end else question: random.choice(values)
            for question, values in ANSWERS.items()
            for end in (ENDS if question in PER_END else ("",))
            if random.random() < 0.5
        }
    if random.random() < 0.2:
        made["leverage_table"] = _table(random, validate.FEWEST_LEVERAGE, *validate.RATIO_LIMITS, 400)
    if random.random() < 0.2:
        film = {
            end: _table(random, validate.FEWEST_FRAMES, -3000, 3000, random.choice((0.1, 2, 600))) for end in ENDS
        }
        made["settle_frames"] = film
    return made


def wild_wishes(random: Random, document: dict[str, Any]) -> dict[str, Any]:
    """Return what is to be changed: levers and adjusters, a little, a lot, or by what makes no sense."""
    keys = [row["key"] for row in document.get("adjusters", []) if row["key"] in MOVING]
    names = random.sample([*LEVERS, *keys], min(len(LEVERS), random.choice((1, 1, 2, 4))))
    found: dict[str, Any] = {}
    for name in names:
        most = LEVERS[name].most if name in LEVERS else 20
        size = random.choice((0, 1, most, random.uniform(0, most), random.uniform(0, 10), random.uniform(0, 10)))
        if name.endswith("spring_rate"):
            found[name] = random.choice((size, size, f"{size:.6f}", f"+{size:.6f}"))
        else:
            found[name] = random.choice((f"+{size:.6f}", f"-{size:.6f}", f"-{size:.6f}", size))
    return found


def wild_problem(random: Random, document: dict[str, Any]) -> dict[str, Any]:
    """Return a document with targets within reach, far out of it, or without sense, and limits of all widths."""
    usual = {"mm": (0, 60), "1": (0, 1), "deg": (-3, 30), "Hz": (1, 4)}
    targets: dict[str, Any] = {}
    for key in random.sample(sorted(TARGETS), random.choice((1, 2, 4, 8, len(TARGETS)))):
        low, high = sorted(random.uniform(*usual[TARGETS[key]]) for _ in range(2))
        targets[key] = random.choice(({"low": low, "high": high}, {"low": low}, {"high": high}, {"low": -1e300}))
    limits: dict[str, Any] = {}
    for name in random.sample(("front_preload", "rear_preload", "ride_height"), random.randint(0, 3)):
        limits[name] = random.choice(([0, 0], [-60, 60], [-4, 8]))
    if random.random() < 0.3:
        limits |= {"oil_level": random.choice(([0, 500], [90, 130])), "air_pressure": [0, 3500], "fork_mark": 12}
    rates = {
        name: [random.uniform(low, high) for _ in range(random.choice((0, 1, 5, 64)))]
        for name, low, high in (("front_rates", 5, 20), ("rear_rates", 40, 200))
    }
    client = {"skill": random.choice(SKILLS), "budget": random.choice(BUDGETS)}
    return {**document, "targets": targets, "limits": limits, "parts": rates, "client": client}


def _shipped(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((SHIPPED / f"{name}.json").read_text(encoding="utf-8"))
    return loaded


BASES = tuple(example(name) for name in sorted(EXAMPLES)) + (_shipped("bike"),) * 2
