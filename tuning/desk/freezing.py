"""The approved document: everything a sheet says, ids and words alike, frozen in the client's language and units."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils import translation

from intake import links, words
from intake.case import build_case, current_readings, current_settings
from intake.choices import Purpose
from intake.models import Reading, Round, User
from intake.presentation import UnitPrefs, amount, show, show_with_half_width
from tuning.desk import practice, value_words, way_view
from tuning.desk import words as desk_words
from tuning.desk.models import DOCUMENT_SCHEMA, Recommendation
from tuning.engine.quantities import QUANTITIES
from tuning.engine.serial import derivation_from_json
from tuning.judgement.catalogue import GENERAL_CAUTIONS, TORQUE_KINDS
from tuning.judgement.findings import find_all
from tuning.judgement.rulebook import PROCEDURES
from tuning.judgement.targets import targets_for

METRIC, IMPERIAL = UnitPrefs.metric(), UnitPrefs.imperial()


def number_of(recommendation: Recommendation) -> str:
    """Return the sheet's number: reference, round and version, ``FP-7K3M-2Q/1.1``."""
    round_ = recommendation.round
    return f"{round_.request.reference}/{round_.number}.{recommendation.version}"


def freeze(recommendation: Recommendation, *, by: User, at: datetime) -> dict[str, Any]:
    """Return the document of a recommendation as approved by ``by`` at ``at``."""
    with translation.override(recommendation.round.request.client.language):
        return _freeze(recommendation, by, at)


def _freeze(recommendation: Recommendation, by: User, at: datetime) -> dict[str, Any]:
    round_ = recommendation.round
    request, client, bike = round_.request, round_.request.client, round_.request.bike
    prefs = UnitPrefs.of(client)
    content = recommendation.content
    own = practice.words_of(recommendation.practice, client.language)
    readings = current_readings(round_)
    stop = [desk_words.said(row, prefs) for row in content["stop"]]
    counted = {row.key: row.counted_from for row in bike.adjusters.all()}
    changes = [_change(change, prefs, counted.get(change["adjuster"]), own) for change in content["changes"]]
    return {
        "schema": DOCUMENT_SCHEMA,
        "reference": request.reference,
        "round": round_.number,
        "version": recommendation.version,
        "number": number_of(recommendation),
        "approved": at.isoformat(),
        "language": client.language,
        "paper": client.paper,
        "shop": settings.SHOP_NAME,
        "tuner": by.signature(),
        "client": {"name": client.name},
        "units": {
            "length": prefs.length,
            "mass": prefs.mass,
            "pressure": prefs.pressure,
            "rate": prefs.rate,
            "torque": prefs.torque,
        },
        "bike": {
            "name": bike.name,
            "year": bike.year,
            "front": bike.front,
            "rear": bike.rear,
            "front_tyre": bike.front_tyre,
            "rear_tyre": bike.rear_tyre,
        },
        "discipline": request.discipline,
        "load": list(_load(readings, prefs)),
        "report_url": links.link(request, Purpose.REPORT),
        "baseline": list(_baseline(round_, prefs)),
        "readings": [_reading(row, prefs) for row in readings],
        "derived": list(_derived(recommendation, prefs)),
        "changes": changes,
        "tree": way_view.steps(
            content, lambda row: _change(row, prefs, counted.get(row["adjuster"]), own), prefs, own
        ),
        "predictions": [_prediction(row, prefs) for row in content["predictions"]],
        "stop": content["stop"],
        "stop_text": stop,
        "questions": content["questions"],
        "questions_text": [desk_words.said(row, prefs, own) for row in content["questions"]],
        "notes": content["notes"],
        "notes_text": [desk_words.said(row, prefs, own) for row in content["notes"]],
        "ride_test": content["ride_test"],
        "ride_test_text": [desk_words.ride_test_text(name) for name in content["ride_test"]],
        "caution_text": [desk_words.caution_text(name) for name in GENERAL_CAUTIONS],
        "tuner_note": content["tuner_note"],
        "both_units": list(_both_units(content)),
        "engine_version": recommendation.derivation.engine_version,
        "judgement_version": recommendation.judgement_version,
        "practice_version": practice.number_of(recommendation.practice),
        "derivation_hash": recommendation.derivation.input_hash,
    }


def _load(readings: list[Reading], prefs: UnitPrefs) -> Iterator[dict[str, str]]:
    for row in readings:
        if row.quantity in {"rider_mass", "passenger_mass", "luggage_mass"}:
            yield {"name": words.quantity_name(row.quantity), "text": show(row.value, "mass", prefs)}


def _baseline(round_: Round, prefs: UnitPrefs) -> Iterator[dict[str, Any]]:
    settings_now = current_settings(round_)
    for setting in sorted(settings_now.values(), key=lambda row: row.adjuster.key):
        adjuster = setting.adjuster
        text = words.setting_text(
            adjuster.kind, setting.value, adjuster.unit, adjuster.counted_from, prefs, setting.mode
        )
        yield {
            "adjuster": adjuster.key,
            "name": words.adjuster_name(adjuster.key),
            "value": setting.value,
            "unit": adjuster.unit,
            "text": text,
        }


def _reading(row: Reading, prefs: UnitPrefs) -> dict[str, Any]:
    spec = QUANTITIES[row.quantity]
    name = words.quantity_name(row.quantity, row.end, row.leg)
    approach = words.APPROACHES[row.approach]
    return {
        "key": row.key(),
        "name": f"{name}, {approach}" if approach else name,
        "typed": desk_words.as_typed(row.text, row.unit),
        "value": row.value,
        "unit": row.unit,
        "text": show(row.value, spec.dimension, prefs),
    }


def _derived(recommendation: Recommendation, prefs: UnitPrefs) -> Iterator[dict[str, Any]]:
    derivation = derivation_from_json(recommendation.derivation.result)
    targets = targets_for(build_case(recommendation.round), practice.built(recommendation.practice))
    findings = {row.key: row for row in find_all(derivation, targets)}
    for value in derivation.values.values():
        finding = findings.get(value.key)
        if finding is None and value.id not in value_words.FOR_CLIENT:
            continue  # the workings are the tuner's
        yield {
            "key": value.key,
            "name": desk_words.derived_name(value.key),
            "value": value.value,
            "half_width": value.half_width,
            "unit": value.unit,
            "status": value.status,
            "text": desk_words.derived_text(value, prefs),
            "target_text": desk_words.target_text(finding.target, prefs) if finding else "",
            "verdict": finding.verdict if finding else "",
        }


def _prediction(row: Mapping[str, Any], prefs: UnitPrefs) -> dict[str, Any]:
    return {
        **row,
        "name": desk_words.derived_name(row["key"]),
        "text": desk_words.value_text(row["value"], row["half_width"], row["unit"], prefs),
    }


def _change(
    change: Mapping[str, Any], prefs: UnitPrefs, counted_from: str | None, shop: Mapping[str, str]
) -> dict[str, Any]:
    own = change.get("text") or {}
    from_text, to_text, turn_text = desk_words.change_from_to(change, prefs, counted_from)
    why = [own["why"]] if own.get("why") else [desk_words.said(row, prefs, shop) for row in change["why"]]
    how = own["how"].splitlines() if own.get("how") else [desk_words.how_text(name) for name in change["how"]]
    return {
        **change,
        "title": own.get("title") or desk_words.change_title(change),
        "from_text": from_text,
        "to_text": to_text,
        "turn_text": turn_text,
        "why_text": why,
        "how_text": [line for line in how if line.strip()],
        "verify_text": [desk_words.verify_text(name) for name in change["verify"]],
        "caution_text": [
            {"text": desk_words.caution_text(name), "critical": name in change["critical"]}
            for name in change["cautions"]
        ],
        "torque": change["kind"] in TORQUE_KINDS,
        "tools_text": ", ".join(desk_words.tool_name(name) for name in PROCEDURES[change["kind"]].tools),
    }


def _both_units(content: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Yield every length that is to be set or expected, in both systems."""
    for change in content["changes"]:
        if change["unit"] == "mm" and change["target"] is not None:
            yield {
                "name": words.adjuster_name(change["adjuster"])
                if change["adjuster"]
                else desk_words.change_title(change),
                "metric": amount(change["target"], "mm", 1),
                "imperial": show(change["target"], "length", IMPERIAL),
            }
    for row in content["predictions"]:
        if row["unit"] == "mm":
            yield {
                "name": desk_words.derived_name(row["key"]),
                "metric": show_with_half_width(row["value"], row["half_width"], "length", METRIC),
                "imperial": show_with_half_width(row["value"], row["half_width"], "length", IMPERIAL),
            }
