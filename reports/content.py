"""Step one of a sheet: from the approved document alone to what the page shows."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

#: What a document must hold before a sheet may be made of it, with the kind of each part.
REQUIRED: Mapping[str, type] = {
    "reference": str,
    "number": str,
    "version": int,
    "round": int,
    "approved": str,
    "language": str,
    "paper": str,
    "shop": str,
    "tuner": str,
    "bike": dict,
    "units": dict,
    "report_url": str,
    "baseline": list,
    "changes": list,
    "predictions": list,
    "stop_text": list,
    "notes_text": list,
    "ride_test_text": list,
    "caution_text": list,
    "both_units": list,
}
#: Documents of schema 1 have no tree of steps.
SCHEMAS = (1, 2)
#: Derived values a client can use; shares, sensitivities and places in a range stay on the tuner's page.
PRINTED = frozenset(
    {
        "sag_bike_alone",
        "sag_rider_aboard",
        "friction_band",
        "reserve_normal",
        "reserve_hardest",
        "implied_fork_rate",
        "implied_rear_wheel_rate",
        "implied_shock_rate",
        "rake",
        "ground_trail",
        "wheelbase",
    }
)


class ContentError(Exception):
    """The document cannot become a sheet; ``faults`` lists every reason with its path."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a table: a name and up to two cells."""

    name: str
    text: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class ChangeBlock:
    """One change as printed: all texts in the client's language and units."""

    number: int
    title: str
    from_text: str
    to_text: str
    turn_text: str
    why: tuple[str, ...]
    how: tuple[str, ...]
    tools: str
    torque: bool
    verify: tuple[str, ...]
    critical: tuple[str, ...]
    cautions: tuple[str, ...]
    have_it_done: bool
    compromise: bool
    #: Number of the change this one belongs with, 0 when it stands alone.
    together: int


@dataclass(frozen=True, slots=True)
class StepBlock:
    """One step of the tree as printed: what is set, how it is ridden, when to stop, and the branches as "if" and
    "then". first: it is the sheet's own changes, which stand above with all that belongs to them."""

    number: int
    first: bool
    changes: tuple[ChangeBlock, ...]
    why: tuple[str, ...]
    ride_test: tuple[str, ...]
    stop: tuple[str, ...]
    branches: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """A derived value as printed, with the band wanted for it."""

    name: str
    text: str
    target: str
    verdict: str


@dataclass(frozen=True, slots=True)
class SheetContent:
    """Everything a sheet shows. ``approved`` is the moment of approval, with its zone."""

    reference: str
    number: str
    version: int
    round: int
    approved: datetime
    language: str
    shop: str
    tuner: str
    client: str
    bike: str
    tyres: str
    load: tuple[Row, ...]
    torque_first: str
    torque_second: str
    report_url: str
    stop: tuple[str, ...]
    baseline: tuple[Row, ...]
    readings: tuple[Row, ...]
    findings: tuple[Finding, ...]
    changes: tuple[ChangeBlock, ...]
    steps: tuple[StepBlock, ...]
    predictions: tuple[Row, ...]
    notes: tuple[str, ...]
    tuner_note: str
    ride_test: tuple[str, ...]
    cautions: tuple[str, ...]
    both_units: tuple[Row, ...]


def build(document: Mapping[str, Any]) -> SheetContent:
    """Return what the sheet of an approved document shows. Raises ContentError listing every fault."""
    faults = _faults(document)
    if faults:
        raise ContentError(faults)
    bike = document["bike"]
    newton_metres = document["units"].get("torque", "N.m") != "lbf.ft"
    return SheetContent(
        reference=document["reference"],
        number=document["number"],
        version=document["version"],
        round=document["round"],
        approved=datetime.fromisoformat(document["approved"]),
        language=document["language"],
        shop=document["shop"],
        tuner=document["tuner"],
        client=(document.get("client") or {}).get("name", ""),
        bike=" ".join(str(part) for part in (bike.get("name"), bike.get("year")) if part),
        tyres=" / ".join(part for part in (bike.get("front_tyre"), bike.get("rear_tyre")) if part),
        load=tuple(Row(item["name"], item["text"]) for item in document.get("load", ())),
        torque_first="N·m" if newton_metres else "lbf·ft",
        torque_second="lbf·ft" if newton_metres else "N·m",
        report_url=document["report_url"],
        stop=tuple(document["stop_text"]),
        baseline=tuple(Row(item["name"], item["text"]) for item in document["baseline"]),
        readings=tuple(Row(item["name"], item["text"]) for item in document.get("readings", ())),
        findings=tuple(
            Finding(item["name"], item["text"], item.get("target_text", ""), item.get("verdict", ""))
            for item in document.get("derived", ())
            if item.get("target_text") or item["key"].split(".")[0] in PRINTED
        ),
        changes=_changes(document["changes"]),
        steps=tuple(_step(step) for step in document.get("tree") or ()),
        predictions=tuple(Row(item["name"], item["text"]) for item in document["predictions"]),
        notes=tuple(document["notes_text"]),
        tuner_note=document.get("tuner_note", ""),
        ride_test=tuple(document["ride_test_text"]),
        cautions=tuple(document["caution_text"]),
        both_units=tuple(Row(item["name"], item["metric"], item["imperial"]) for item in document["both_units"]),
    )


def _changes(changes: list[dict[str, Any]]) -> tuple[ChangeBlock, ...]:
    places = {change["key"]: number for number, change in enumerate(changes, start=1)}
    return tuple(
        ChangeBlock(
            number=number,
            title=change["title"],
            from_text=change["from_text"],
            to_text=change["to_text"],
            turn_text=change["turn_text"],
            why=tuple(change["why_text"]),
            how=tuple(change["how_text"]),
            tools=change.get("tools_text", ""),
            torque=bool(change.get("torque")),
            verify=tuple(change["verify_text"]),
            critical=tuple(item["text"] for item in change["caution_text"] if item["critical"]),
            cautions=tuple(item["text"] for item in change["caution_text"] if not item["critical"]),
            have_it_done=bool(change.get("have_it_done")),
            compromise=bool(change.get("compromise")),
            together=places.get(change.get("together", ""), 0),
        )
        for number, change in enumerate(changes, start=1)
    )


def _step(step: Mapping[str, Any]) -> StepBlock:
    return StepBlock(
        number=step["number"],
        first=step["number"] == 1,
        changes=_changes(step["changes"]),
        why=tuple(step["why_text"]),
        ride_test=tuple(step["ride_test_text"]),
        stop=tuple(step["stop_text"]),
        branches=tuple((branch["if"], branch["then"]) for branch in step["branches"]),
    )


#: Keys every entry of a list must hold.
_ENTRIES: Mapping[str, tuple[str, ...]] = {
    "load": ("name", "text"),
    "baseline": ("name", "text"),
    "readings": ("name", "text"),
    "derived": ("key", "name", "text"),
    "predictions": ("name", "text"),
    "both_units": ("name", "metric", "imperial"),
    "changes": ("key", "title", "from_text", "to_text", "turn_text", "why_text", "how_text", "verify_text",
                "caution_text"),
    "tree": ("number", "changes", "why_text", "ride_test_text", "stop_text", "branches"),
}  # fmt: skip


def _faults(document: Mapping[str, Any]) -> list[str]:
    if document.get("schema") not in SCHEMAS:
        return [f"schema: {document.get('schema')!r} is none of {SCHEMAS}"]
    faults = []
    for key, kind in REQUIRED.items():
        if key not in document:
            faults.append(f"{key}: missing")
        elif not isinstance(document[key], kind):
            faults.append(f"{key}: {type(document[key]).__name__} is not {kind.__name__}")
    for key, wanted in _ENTRIES.items():
        entries = document.get(key, ())
        for place, entry in enumerate(entries if isinstance(entries, list) else ()):
            faults += [f"{key}[{place}].{name}: missing" for name in wanted if name not in entry]
    if isinstance(document.get("approved"), str):
        try:
            if datetime.fromisoformat(document["approved"]).tzinfo is None:
                faults.append("approved: has no time zone")
        except ValueError:
            faults.append(f"approved: {document['approved']!r} is not a date and time")
    if not faults and not (document["changes"] or document["stop_text"] or document["notes_text"]):
        faults.append("changes: empty, with neither a stop notice nor a note to print")
    return faults
