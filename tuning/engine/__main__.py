"""The engine from a shell: ``python -m tuning.engine derive FILE`` and its like. No database, no web framework.

A file is a document of ``schemas/document.json``; "-" reads standard input. Answers go to standard output. A document
that cannot be taken ends with status 2 and one line for each fault on standard error.
"""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tuning.engine import answers
from tuning.engine.case import Case
from tuning.engine.curves import curves
from tuning.engine.derive import derive
from tuning.engine.document import read_text
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.learn import learn
from tuning.engine.levers import read_wish
from tuning.engine.serial import derivation_to_json
from tuning.engine.solve import problem_from_text, solutions_to_json, solutions_to_table, solve
from tuning.engine.whatif import what_if

BAD_INPUT = 2

Answer = tuple[Callable[[], dict[str, Any]], Callable[[], str]]


def _text(name: str) -> str | bytes:
    try:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        raise EngineInputError([Fault("FILE", name, "unreadable_file", {"error": error.strerror})]) from error


def _case(name: str) -> Case:
    return read_text(_text(name))


def _derive(given: argparse.Namespace) -> Answer:
    made = derive(_case(given.file), uncertain=not given.point)
    return lambda: derivation_to_json(made), lambda: answers.derivation_to_table(made)


def _what_if(given: argparse.Namespace) -> Answer:
    faults: list[Fault] = []
    wishes = []
    for text in given.set:
        try:
            wishes.append(read_wish(text))
        except EngineInputError as error:
            faults += error.faults
    if faults:
        raise EngineInputError(faults)
    made = what_if(_case(given.file), wishes)
    return lambda: answers.what_if_to_json(made), lambda: answers.what_if_to_table(made)


def _solve(given: argparse.Namespace) -> Answer:
    made = solve(problem_from_text(_text(given.file)))
    return lambda: solutions_to_json(made), lambda: solutions_to_table(made)


def _learn(given: argparse.Namespace) -> Answer:
    made = learn([_case(name) for name in given.files])
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
    given = _parser().parse_args(arguments)
    try:
        as_json, as_table = given.does(given)
    except EngineInputError as error:
        told = json.dumps(answers.faults_to_json(error), ensure_ascii=False, indent=2)
        sys.stderr.write((told if given.format == "json" else answers.faults_to_text(error)) + "\n")
        return BAD_INPUT
    text = json.dumps(as_json(), ensure_ascii=False, indent=2) if given.format == "json" else as_table()
    sys.stdout.write(text + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
