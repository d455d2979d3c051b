"""The engine from a shell: ``python -m tuning.engine derive FILE`` and its like. No database, no web framework.

A file is a document of ``schemas/document.json`` (``solve``: of ``schemas/problem.json``); "-" reads standard input.
Answers go to standard output, UTF-8. A document that cannot be taken ends with status 2 and every fault on standard
error: JSON of ``schemas/faults.json``, or a line for each with ``--format table``.
"""

import argparse
import json
import os
import sys
from collections.abc import Callable
from functools import partial
from io import TextIOWrapper
from pathlib import Path
from typing import Any

from tuning.engine import answers
from tuning.engine.asked import problem_from_text, require_few, under, wishes_of
from tuning.engine.case import Case
from tuning.engine.curves import curves
from tuning.engine.derive import derive
from tuning.engine.document import read_text
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.jsontext import MOST_CHARACTERS
from tuning.engine.learn import learn
from tuning.engine.serial import derivation_to_json
from tuning.engine.whatif import what_if

BAD_INPUT = 2
#: No text of as many characters as are read has more bytes.
MOST_BYTES = 4 * MOST_CHARACTERS

Answer = tuple[Callable[[], dict[str, Any]], Callable[[], str]]


def _text(name: str) -> bytes:
    """Return a file's bytes, no more of them than a document may have."""
    try:
        if name == "-":
            text = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(name).open("rb") as file:
                text = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise EngineInputError([Fault("", name, "unreadable_file", {"error": error.strerror})]) from error
    if len(text) > MOST_BYTES:
        raise EngineInputError([Fault("", name, "too_long", {"most": MOST_CHARACTERS})])
    return text


def _case(name: str) -> Case:
    return read_text(_text(name))


def _derive(given: argparse.Namespace) -> Answer:
    made = derive(_case(given.file), uncertain=not given.point)
    return lambda: derivation_to_json(made), lambda: answers.derivation_to_table(made)


def _what_if(given: argparse.Namespace) -> Answer:
    faults: list[Fault] = []
    wishes = under("", faults, lambda: wishes_of(given.set))
    case = under("", faults, lambda: _case(given.file))
    if wishes is None or case is None:
        raise EngineInputError(faults)
    made = what_if(case, wishes)
    return lambda: answers.what_if_to_json(made), lambda: answers.what_if_to_table(made)


def _solve(given: argparse.Namespace) -> Answer:
    # Read in only where it is asked for: it takes as long as all the rest.
    from tuning.engine.solve import solutions_to_json, solve

    made = solve(problem_from_text(_text(given.file)))
    return lambda: solutions_to_json(made), lambda: answers.solutions_to_table(made)


def _learn(given: argparse.Namespace) -> Answer:
    faults: list[Fault] = []
    read = [under(f"rounds[{place}]", faults, partial(_case, name)) for place, name in enumerate(given.files)]
    if faults:
        raise EngineInputError(faults)
    rounds = [case for case in read if case is not None]
    require_few(rounds)
    made = learn(rounds)
    return lambda: answers.learned_to_json(made), lambda: answers.learned_to_table(made)


def _curve(given: argparse.Namespace) -> Answer:
    made = curves(_case(given.file))
    return lambda: answers.curves_to_json(made), lambda: answers.curves_to_table(made)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tuning.engine", description="Suspension physics from a document."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def add(name: str, does: Callable[[argparse.Namespace], Answer], what: str) -> argparse.ArgumentParser:
        command = commands.add_parser(name, help=what, description=what)
        command.set_defaults(does=does)
        command.add_argument("--format", choices=("json", "table"), default="json")
        return command

    command = add("derive", _derive, "Every value the readings allow, and what the checks say.")
    command.add_argument("file", metavar="FILE")
    command.add_argument("--point", action="store_true", help="leave out the half-widths")
    command = add("whatif", _what_if, "What a change would do.")
    command.add_argument("file", metavar="FILE")
    command.add_argument(
        "--set",
        nargs="+",
        required=True,
        metavar="LEVER=NUMBER",
        help="with a sign a difference: front.preload_mm=+6",
    )
    command = add("solve", _solve, "The fewest and least invasive changes that meet all targets.")
    command.add_argument("file", metavar="FILE", help="a document with targets, parts and limits")
    command = add("learn", _learn, "What the rounds of one bike teach; one file a round.")
    command.add_argument("files", nargs="+", metavar="FILE")
    command = add("curve", _curve, "Force over travel of each end.")
    command.add_argument("file", metavar="FILE")
    return parser


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    given = _parser().parse_args(arguments)
    try:
        as_json, as_table = given.does(given)
    except EngineInputError as error:
        sys.stderr.write(
            (_json(answers.faults_to_json(error)) if given.format == "json" else answers.faults_to_text(error)) + "\n"
        )
        return BAD_INPUT
    try:
        sys.stdout.write((_json(as_json()) if given.format == "json" else as_table()) + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read has read enough; what is left must not be tried again when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _json(answer: dict[str, Any]) -> str:
    return json.dumps(answer, ensure_ascii=False, allow_nan=False, indent=2)


if __name__ == "__main__":
    sys.exit(main())
