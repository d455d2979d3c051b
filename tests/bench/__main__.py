"""``python -m tests.bench``: what the engine takes, against a floor measured in the same run. Never a test.

With ``--write`` the page docs/benchmarks.md is written as well.
"""

import cProfile
import json
import os
import platform
import pstats
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from typing import Any, NamedTuple

import numpy as np

from tests.bench.documents import document, problem, text
from tests.bench.floor import formulas, load
from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.derive import derive, derive_many
from tuning.engine.document import parse_text, read_document
from tuning.engine.learn import learn
from tuning.engine.levers import read_wish
from tuning.engine.solve import problem_from_json, solve
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.engine.whatif import foretell, model_of, what_if
from tuning.judgement import assess, draft
from tuning.judgement.model import Dossier, Draft, Symptom

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "benchmarks.md"
#: Each figure is the median of so many rounds; a round repeats until it takes this long, s.
ROUNDS, LONG_ENOUGH = 9, 0.03
BATCH = 10_000
#: Agreement asked of floor and engine, relative, absolute below 1.
AGREE = 1e-6
WISHES = (read_wish("front.preload_mm=+3"), read_wish("rear.preload_mm=-2"))
#: Parts of a derivation that the profile tells apart: what they are, module, function.
PARTS = (
    ("the case's rules", "validate.py", "require_sound"),
    ("inputs into arrays", "pack.py", "__init__"),
    ("sags, rates, reserves", "sag.py", "derive_sag"),
    ("sags, rates, reserves", "rates.py", "derive_rates"),
    ("sags, rates, reserves", "reserve.py", "derive_reserve"),
    ("the chassis filled in", "geometry.py", "chassis_of"),
    ("geometry in its states", "geometry.py", "derive_geometry"),
    ("springs from sags", "bike.py", "bike_of"),
    ("stops to their fixed points", "readouts.py", "stops"),
    ("half-widths", "propagate.py", "spread"),
    ("contributions ranked", "propagate.py", "_ranked"),
    ("checks", "checks.py", "check_derived"),
    ("the hash", "serial.py", "input_hash"),
)


class Took(NamedTuple):
    """Medians for one call, s: of processor and of the clock."""

    process: float
    clock: float


def timed(call: Callable[[], object]) -> Took:
    call()
    began, count = perf_counter(), 0
    while perf_counter() - began < LONG_ENOUGH:
        call()
        count += 1
    rounds = []
    for _ in range(ROUNDS):
        process, clock = process_time(), perf_counter()
        for _ in range(count):
            call()
        rounds.append(((process_time() - process) / count, (perf_counter() - clock) / count))
    return Took(median(row[0] for row in rounds), median(row[1] for row in rounds))


def require_agreement() -> int:
    """Return how many values floor and engine have in common. Raises AssertionError where they differ."""
    values = derive(read_document(document())).values
    computed = formulas(load([text()]))
    for key, numbers in computed.items():
        found = values[key].value
        if found is None or not abs(numbers[0] - found) <= AGREE * max(1.0, abs(found)):
            raise AssertionError(f"{key}: floor {numbers[0]}, engine {found}")
    return len(computed)


def rounds_of_one_bike() -> list[Case]:
    return [read_document(document(shift)) for shift in (0.0, 0.4, -0.3)]


def single() -> list[tuple[str, Took]]:
    """Return what is asked of one document at a time, the floor first."""
    written, case = text(), read_document(document())
    point, whole, asked = model_of(case, uncertain=False), model_of(case), problem_from_json(problem())
    rounds = rounds_of_one_bike()

    def from_text(*, uncertain: bool) -> Derivation:
        return derive(read_document(parse_text(written)), uncertain=uncertain)

    calls: tuple[tuple[str, Callable[[], object]], ...] = (
        ("floor: text read, formulas alone", lambda: formulas(load([written]))),
        ("derive from text, with uncertainty", lambda: from_text(uncertain=True)),
        ("derive from text, point values", lambda: from_text(uncertain=False)),
        ("derive a ready case, with uncertainty", lambda: derive(case)),
        ("derive a ready case, point values", lambda: derive(case, uncertain=False)),
        ("what-if from a case, with uncertainty", lambda: what_if(case, WISHES)),
        ("what-if from a case, point values", lambda: what_if(case, WISHES, uncertain=False)),
        ("what-if on a ready model, with uncertainty", lambda: foretell(whole, WISHES)),
        ("what-if on a ready model, point values", lambda: foretell(point, WISHES)),
        ("learn from three rounds", lambda: learn(rounds)),
        ("solve for two sags and a trail, with uncertainty", lambda: solve(asked)),
        ("solve for two sags and a trail, point values", lambda: solve(asked, uncertain=False)),
    )
    return [(name, timed(call)) for name, call in calls]


def judged() -> tuple[list[tuple[str, Took]], float]:
    """Return what a draft of a full request takes, from its text and from what was derived; the engine's share."""
    written, case = text(), read_document(document())
    asked = {"stop_answers": dict.fromkeys(STOP_QUESTIONS, "no"), "symptoms": (Symptom("slow_turn_in", "front"),)}
    ready = Dossier(case, derive(case), **asked)

    def whole() -> Draft:
        found = read_document(parse_text(written))
        return draft(Dossier(found, derive(found), **asked))

    calls: tuple[tuple[str, Callable[[], object]], ...] = (
        ("text read, derived and drafted", whole),
        ("drafted from what was derived", lambda: draft(ready)),
        ("gates and findings alone", lambda: assess(ready)),
    )
    return [(name, timed(call)) for name, call in calls], in_engine(whole)


def in_engine(call: Callable[[], object], count: int = 50) -> float:
    """Return the share of a call's time that goes into reading, deriving and foretelling."""
    watch = cProfile.Profile()
    watch.enable()
    for _ in range(count):
        call()
    watch.disable()
    stats: Any = pstats.Stats(watch)
    entered = (
        ("document.py", "read_document"),
        ("jsontext.py", "parse_text"),
        ("derive.py", "derive"),
        ("whatif.py", "what_if"),
    )
    took = sum(
        cumulative
        for (file, _, function), (_, _, _, cumulative, _) in stats.stats.items()
        if any(function == name and file.endswith(f"engine{os.sep}{module}") for module, name in entered)
    )
    return float(took / stats.total_tt)


def _cases(count: int) -> Iterator[Case]:
    # A hundred unlike documents, over and over: what they are made of is not timed.
    made = [read_document(document(place / 100)) for place in range(100)]
    return (made[place % 100] for place in range(count))


def batch(kind: str) -> dict[str, float]:
    """Return what a batch takes in this process: processor and clock, s, and how far its memory grew, MB."""
    texts = [text(place / 100) for place in range(100)] * (BATCH // 100)
    cases = _cases(BATCH)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    process, clock = process_time(), perf_counter()
    if kind == "floor":
        formulas(load(texts))
    elif kind == "text":
        for _ in derive_many(read_document(parse_text(each)) for each in texts):
            pass
    else:
        for _ in derive_many(cases, uncertain=kind == "uncertain"):
            pass
    took = {"process": process_time() - process, "clock": perf_counter() - clock}
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return took | {"peak": peak / 1024, "grown": (peak - before) / 1024}


def batches() -> list[tuple[str, dict[str, float]]]:
    """Return each batch, run in a process of its own so that its peak memory is its own."""
    kinds = {
        "floor": "floor: texts read, formulas on whole arrays",
        "uncertain": "derive_many of ready cases, with uncertainty",
        "point": "derive_many of ready cases, point values",
        "text": "the same from texts, with uncertainty",
    }
    found = []
    for kind, name in kinds.items():
        run = [sys.executable, "-m", "tests.bench", "--batch", kind]
        done = subprocess.run(run, cwd=ROOT, check=True, capture_output=True, text=True)
        found.append((name, json.loads(done.stdout)))
    return found


def profile(call: Callable[[], object], count: int) -> dict[str, float]:
    """Return each part's share of a call, largest first."""
    watch = cProfile.Profile()
    watch.enable()
    for _ in range(count):
        call()
    watch.disable()
    stats: Any = pstats.Stats(watch)
    found: dict[str, float] = {}
    for (file, _, function), (_, _, _, cumulative, _) in stats.stats.items():
        for name, module, part in PARTS:
            if function == part and file.endswith(f"engine{os.sep}{module}"):
                found[name] = found.get(name, 0.0) + cumulative / stats.total_tt
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def machine() -> str:
    lines = Path("/proc/cpuinfo").read_text().splitlines() if Path("/proc/cpuinfo").exists() else []
    model = next((line.partition(":")[2].strip() for line in lines if line.startswith("model name")), "unknown")
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return f"{model}, {cores} cores, Python {platform.python_version()}, numpy {np.__version__}"


def commit() -> str:
    run = ["git", "log", "-1", "--format=%h", "--", "tuning/engine"]
    return subprocess.run(run, cwd=ROOT, check=True, capture_output=True, text=True).stdout.strip()


def _told(shares: dict[str, float]) -> str:
    rest = max(0.0, 1 - sum(shares.values()))
    told = [f"{name} {share:.0%}" for name, share in shares.items() if share >= 0.01]
    return f"{'; '.join(told)}; the rest, most of it the values themselves and their making, {rest:.0%}."


def report() -> Iterator[str]:
    """Yield the page, line by line."""
    shared, rows, many = require_agreement(), single(), batches()
    yield "# Benchmarks"
    yield ""
    yield "Written by `python -m tests.bench --write` (`make bench` prints it): one core, medians of"
    yield f"{ROUNDS} rounds. Ratios are what to compare: the floor is the same formulas on plain arrays, without"
    yield "uncertainty, checks, validation or objects (`tests/bench/floor.py`), measured in the same run and first"
    yield f"held against `derive` to {AGREE:g} for its {shared} values. Where the clock runs well ahead of the"
    yield "processor the machine had other work, and all figures are too high."
    yield ""
    yield f"Engine as of commit {commit()}; {machine()}."
    yield ""
    yield "## One document"
    yield ""
    yield "| what | processor, ms | clock, ms | times the floor |"
    yield "|---|--:|--:|--:|"
    floor = rows[0][1].process
    for name, took in rows:
        yield f"| {name} | {took.process * 1e3:.2f} | {took.clock * 1e3:.2f} | {took.process / floor:.1f} |"
    yield ""
    yield "## A draft"
    yield ""
    yield "A full request of one bike, judged by the shipped practice; wanted: under 50 ms in all."
    yield ""
    yield "| what | processor, ms | clock, ms |"
    yield "|---|--:|--:|"
    drafts, share = judged()
    for name, took in drafts:
        yield f"| {name} | {took.process * 1e3:.2f} | {took.clock * 1e3:.2f} |"
    yield ""
    yield f"Of the whole, the engine's reading, deriving and foretelling take {share:.0%}."
    yield ""
    yield f"## {BATCH:,} documents"
    yield ""
    yield "| what | processor, s | clock, s | documents/s | times the floor | peak memory, MB | grown by, MB |"
    yield "|---|--:|--:|--:|--:|--:|--:|"
    least = many[0][1]["process"]
    for name, took in many:
        cells = f"{took['process']:.2f} | {took['clock']:.2f} | {BATCH / took['process']:,.0f}"
        memory = f"{took['peak']:.0f} | {took['grown']:.0f}"
        yield f"| {name} | {cells} | {took['process'] / least:.0f} | {memory} |"
    yield ""
    yield "## Where the time goes"
    yield ""
    case, cases = read_document(document()), list(_cases(1000))
    yield f"One derivation with uncertainty: {_told(profile(lambda: derive(case), 100))}"
    yield ""
    yield f"A document of a batch: {_told(profile(lambda: list(derive_many(cases)), 1))}"
    yield ""
    yield "Of one document nearly all is the fixed cost of calling numpy a few thousand times on short arrays; of a"
    yield "batch nearly all is making Python objects, of what goes in and of what comes out."


def main(arguments: list[str]) -> None:
    if arguments[:1] == ["--batch"]:
        sys.stdout.write(json.dumps(batch(arguments[1])))
        return
    page = []
    for line in report():
        page.append(line)
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()
    if "--write" in arguments:
        PAGE.write_text("\n".join(page) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
