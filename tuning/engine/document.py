"""The public document, schema 2: one bike, loaded one way, as a shell or a program writes it.

Every reading has its unit beside it (``"value": 4.72, "unit": "in"``); what may be left out has a default. A document
is read to the end and every fault told at once, those of its shape and those of its content. The stored form of a
case, canonical units throughout, is ``tuning.engine.serial``'s schema 1; this one is for those who write by hand.

    {"schema": 2, "discipline": "naked", "front_architecture": "coil", "rear_architecture": "linkage",
     "readings": [{"quantity": "stroke", "end": "front", "value": 4.72, "unit": "in"}],
     "adjusters": [{"key": "front.rebound", "unit": "click", "found": 12, "range_counted": 20}],
     "answers": {"bottomed.front": "no"}, "tyre_size": {"front": "120/70-17"},
     "leverage_table": {"unit": "mm", "rows": [[0, 3.1], [130, 2.6]]},
     "settle_frames": {"rear": {"unit": "mm", "rows": [[0.0, 812], [0.033, 815], [0.067, 811]]}}}
"""

import math
from collections.abc import Collection, Mapping
from typing import Any

from tuning.engine import validate
from tuning.engine.case import ADJUSTER_KINDS, Adjuster, Case, Reading
from tuning.engine.contradictions import Given, contradictions
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.jsontext import parse
from tuning.engine.jsontext import parse_text as parse_text
from tuning.engine.quantities import ENDS, LEGS, QUANTITIES, Quantity
from tuning.engine.shape import MOST_MEMBERS, Shape, pairs_of, rows_of, texts_of
from tuning.engine.units import CANONICAL, UNITS, Unit, units_of
from tuning.engine.validate import Pair

DOCUMENT_SCHEMA = 2
DOCUMENT = Shape(
    required={
        "schema": "integer",
        "discipline": "text",
        "front_architecture": "text",
        "rear_architecture": "text",
        "readings": "list",
    },
    optional={
        "$schema": "text",
        "load_state": "text",
        "adjusters": "list",
        "answers": "object",
        "tyre_size": "object",
        "leverage_table": "object",
        "settle_frames": "object",
    },
)
READING = Shape(
    required={"quantity": "text", "value": "number", "unit": "text"},
    optional={
        "half_width": "number",
        "end": "text",
        "leg": "text",
        "load_state": "text",
        "approach": "text",
        "repeat": "integer",
    },
)
ADJUSTER = Shape(
    required={"key": "text", "unit": "text"},
    optional={
        "found": "number or null",
        "half_width": "number",
        "range_counted": "number or null",
        "counted_from": "text",
        "step_mm": "number or null",
    },
)
TABLE = Shape(required={"unit": "text", "rows": "list"}, optional={})
ADJUSTER_KEYS = tuple(
    f"{end}.{kind}{leg}" for end in ENDS for kind in ADJUSTER_KINDS for leg in ("", *(f".{leg}" for leg in LEGS))
)
#: Load state of lengths whose document does not tell it: with nobody aboard, or with the case's load.
UNLOADED = ("length_topped_out", "length_bike_alone")
LOADED = "length_rider_aboard"
#: The words that say what kind of bike it is and what it carries, with a known one of each.
_KINDS = {
    "discipline": "naked",
    "front_architecture": "coil",
    "rear_architecture": "linkage",
    "load_state": "solo",
}
#: Fields that say where and how a quantity was read.
_PLACE = ("end", "leg", "load_state", "approach", "repeat")
#: A millimetre rule is read to the half; clicks and turns are counted.
_RULE = 0.5


def read_document(document: object) -> Case:
    """Return the case a document describes, in canonical units.

    Raises EngineInputError with every fault: path (``readings[3].value``), value, reason, and in params what it takes
    (``known`` ids, ``low`` and ``high`` with their ``unit``, ``missing``).
    """
    faults: list[Fault] = []
    case = _read(document, faults)
    if case is None or faults:
        raise EngineInputError(faults)
    return case


def read_text(text: str | bytes) -> Case:
    """Return the case a document's JSON text describes; names told twice are listed along with all other faults.

    Raises EngineInputError.
    """
    document, faults = parse(text)
    case = _read(document, faults)
    if case is None or faults:
        raise EngineInputError(faults)
    return case


def _read(document: object, faults: list[Fault]) -> Case | None:
    top = DOCUMENT.read(document, "", faults)
    if top is None:
        return None
    if top.get("schema", DOCUMENT_SCHEMA) != DOCUMENT_SCHEMA:
        faults.append(Fault("schema", validate.told(top["schema"]), "unknown_schema", {"known": (DOCUMENT_SCHEMA,)}))
    # A word that is missing or of the wrong type was told; what stands in for it here only has to be known.
    kinds = [top.get(name, usual) for name, usual in _KINDS.items()]
    faults += validate.kind_faults(*kinds)
    given = _readings(top.get("readings", []), kinds[-1], faults)
    sound = {row.index for row in given if math.isfinite(row.row.value)}
    faults += contradictions(given, _named(top.get("readings", []), sound))
    adjusters = _adjusters(top.get("adjusters", []), faults)
    answers = texts_of(top.get("answers", {}), "answers", faults)
    faults += validate.answer_faults(answers)
    tyre_size = texts_of(top.get("tyre_size", {}), "tyre_size", faults)
    faults += validate.tyre_faults(tyre_size)
    return Case(
        discipline=kinds[0],
        front_architecture=kinds[1],
        rear_architecture=kinds[2],
        load_state=kinds[3],
        readings=tuple(row.row for row in given),
        adjusters=adjusters,
        answers=answers,
        tyre_size=tyre_size,
        leverage_table=_leverage(top["leverage_table"], faults) if "leverage_table" in top else (),
        settle_frames=_frames(top.get("settle_frames", {}), faults),
    )


def _readings(given: list[Any], load_state: str, faults: list[Fault]) -> list[Given]:
    """Return the readings that say what they are of, whatever their value."""
    rows: list[Given] = []
    for index, (path, row) in enumerate(rows_of(given, "readings", faults)):
        fields = READING.read(row, path, faults)
        if fields is None:
            continue
        spec = _quantity(fields, path, faults)
        unit = _unit(fields, path, faults, units_of(spec.dimension) if spec else ())
        _amount(fields, path, faults, spec, unit)
        if spec is None:
            continue
        reading = _reading(fields, spec, unit, load_state)
        spoilt = {f"{path}.{name}" for name in _PLACE if name in row and name not in fields}
        misplaced = [fault for fault in validate.place_faults(path, reading, spec) if fault.path not in spoilt]
        faults += misplaced
        if not (spoilt or misplaced):
            rows.append(Given(index, reading, unit.id if unit else ""))
    faults += validate.read_twice((row.index, row.row) for row in rows)
    return rows


def _named(given: list[Any], but: Collection[int]) -> set[str]:
    """Return the quantities that the readings name, those at ``but`` left out."""
    rows = (row for index, row in enumerate(given[: validate.MOST_ROWS]) if index not in but)
    return {
        str(row.get("quantity")) for row in rows if isinstance(row, Mapping) and isinstance(row.get("quantity"), str)
    }


def _quantity(fields: Mapping[str, Any], path: str, faults: list[Fault]) -> Quantity | None:
    if "quantity" not in fields:
        return None
    spec = QUANTITIES.get(fields["quantity"])
    if spec is None:
        known = tuple(QUANTITIES)
        name = validate.told(fields["quantity"])
        faults.append(Fault(f"{path}.quantity", name, "unknown_quantity", {"known": known}))
    return spec


def _unit(fields: Mapping[str, Any], path: str, faults: list[Fault], fitting: tuple[str, ...]) -> Unit | None:
    """Return the unit given; None, the fault told, for one that is unknown or of another dimension than wanted."""
    unit_id = fields.get("unit")
    if unit_id is None:
        return None
    if unit_id in UNITS and (not fitting or unit_id in fitting):
        return UNITS[unit_id]
    reason = "unlike_dimensions" if unit_id in UNITS else "unknown_unit"
    faults.append(Fault(f"{path}.unit", validate.told(unit_id), reason, {"known": fitting or tuple(UNITS)}))
    return None


def _amount(
    fields: Mapping[str, Any], path: str, faults: list[Fault], spec: Quantity | None, unit: Unit | None
) -> None:
    """Tell what is wrong with value and half-width; without quantity or unit, only what no unit makes right."""
    value, width = fields.get("value"), fields.get("half_width")
    if spec and unit:
        if value is not None:
            faults += validate.value_faults(f"{path}.value", value, spec, unit.id)
        if width is not None:
            faults += validate.width_faults(f"{path}.half_width", width, spec, unit.id)
        return
    for name, number in (("value", value), ("half_width", width)):
        if number is not None and not validate.finite(number):
            faults.append(Fault(f"{path}.{name}", number, "not_finite"))


def _reading(fields: Mapping[str, Any], spec: Quantity, unit: Unit | None, load_state: str) -> Reading:
    """Return the reading in canonical units; NaN for a value that was not told or has no unit to read it in."""
    width = fields.get("half_width")
    return Reading(
        quantity=spec.id,
        value=unit.canonical(fields["value"]) if unit and "value" in fields else float("nan"),
        half_width=spec.half_width if width is None or unit is None else width * unit.factor,
        end=fields.get("end", ""),
        leg=fields.get("leg", ""),
        load_state=fields.get("load_state", usual_load(spec.id, load_state)),
        approach=fields.get("approach", "as_is"),
        repeat=fields.get("repeat", 1),
    )


def usual_load(quantity: str, load_state: str) -> str:
    """Return the load state of a reading that tells none: only a length between two points is of one."""
    if quantity in UNLOADED:
        return "bike_alone"
    return load_state if quantity == LOADED else ""


def _adjusters(given: list[Any], faults: list[Fault]) -> tuple[Adjuster, ...]:
    rows: list[tuple[int, Adjuster]] = []
    for index, (path, row) in enumerate(rows_of(given, "adjusters", faults)):
        fields = ADJUSTER.read(row, path, faults)
        if fields is None or "key" not in fields:
            continue
        if fields["key"] not in ADJUSTER_KEYS:
            faults.append(
                Fault(f"{path}.key", validate.told(fields["key"]), "unknown_adjuster", {"known": ADJUSTER_KEYS})
            )
            continue
        end, kind, *leg = fields["key"].split(".")
        # A unit that is missing or no text was told; "step" stands in for it so that the rest can be looked at.
        unit = fields.get("unit", "step")
        adjuster = Adjuster(
            key=fields["key"],
            kind=kind,
            end=end,
            unit=unit,
            leg=leg[0] if leg else "",
            found=fields.get("found"),
            half_width=fields.get("half_width", _usual_width(unit)),
            range_counted=fields.get("range_counted"),
            counted_from=fields.get("counted_from", "closed"),
            step_mm=fields.get("step_mm"),
        )
        faults += validate.adjuster_faults(path, adjuster)
        rows.append((index, adjuster))
    faults += validate.told_twice(rows)
    return tuple(row for _, row in rows)


def _usual_width(unit: str) -> float:
    return _RULE if unit == "mm" else 0.0


def _table(given: object, path: str, faults: list[Fault]) -> tuple[Unit, list[Pair | None] | None]:
    """Return a table's unit and its rows, None where there are none or too many to look at.

    Without its unit a table can still be asked whether it rises: millimetres stand in.
    """
    fields = TABLE.read(given, path, faults) or {}
    unit = _unit(fields, path, faults, units_of("length")) or UNITS["mm"]
    if "rows" not in fields:
        return unit, None
    rows = pairs_of(fields["rows"], f"{path}.rows", faults)
    return unit, rows if len(rows) == len(fields["rows"]) else None


def _leverage(given: object, faults: list[Fault]) -> tuple[tuple[float, float], ...]:
    unit, rows = _table(given, "leverage_table", faults)
    if rows is None:
        return ()
    faults += validate.leverage_faults(rows, "leverage_table.rows", unit.id, least=True)
    return tuple((unit.canonical(row[0]), row[1]) for row in rows if row)


def _frames(given: Mapping[Any, Any], faults: list[Fault]) -> dict[str, tuple[tuple[float, float], ...]]:
    if len(given) > MOST_MEMBERS:
        faults.append(Fault("settle_frames", len(given), "too_many", {"most": MOST_MEMBERS}))
        return {}
    found = {}
    for end, table in given.items():
        path = f"settle_frames.{validate.told(end)}"
        if end not in ENDS:
            faults.append(Fault(path, validate.told(end), "unknown_end", {"known": ENDS}))
        unit, rows = _table(table, path, faults)
        if rows is not None:
            faults += validate.frame_faults(rows, f"{path}.rows", unit.id, least=True)
            found[str(end)] = tuple((row[0], unit.canonical(row[1])) for row in rows if row)
    return found


def write_document(case: Case) -> dict[str, Any]:
    """Return a case as the document that ``read_document`` reads as the same case, in canonical units."""
    document: dict[str, Any] = {"schema": DOCUMENT_SCHEMA}
    document |= {name: getattr(case, name) for name in _KINDS}
    document["readings"] = [_written_reading(row, case.load_state) for row in case.readings]
    if case.adjusters:
        document["adjusters"] = [_written_adjuster(row) for row in case.adjusters]
    for name in ("answers", "tyre_size"):
        if getattr(case, name):
            document[name] = dict(getattr(case, name))
    if case.leverage_table:
        document["leverage_table"] = _written_table(case.leverage_table)
    if case.settle_frames:
        document["settle_frames"] = {end: _written_table(rows) for end, rows in case.settle_frames.items() if rows}
    return document


def _written_reading(row: Reading, load_state: str) -> dict[str, Any]:
    written: dict[str, Any] = {"quantity": row.quantity}
    written |= {name: getattr(row, name) for name in ("end", "leg") if getattr(row, name)}
    if row.load_state != usual_load(row.quantity, load_state):
        written["load_state"] = row.load_state
    if row.approach != "as_is":
        written["approach"] = row.approach
    if row.repeat != 1:
        written["repeat"] = row.repeat
    unit = CANONICAL[QUANTITIES[row.quantity].dimension]
    return {**written, "value": row.value, "unit": unit, "half_width": row.half_width}


def _written_adjuster(row: Adjuster) -> dict[str, Any]:
    written: dict[str, Any] = {"key": row.key, "unit": row.unit, "counted_from": row.counted_from}
    for name in ("found", "range_counted", "step_mm"):
        if getattr(row, name) is not None:
            written[name] = getattr(row, name)
    return {**written, "half_width": row.half_width}


def _written_table(rows: tuple[tuple[float, float], ...]) -> dict[str, Any]:
    return {"unit": "mm", "rows": [list(row) for row in rows]}
