"""From a dossier to an assessment and a proposed recommendation."""

from dataclasses import replace

from tuning.engine.case import Adjuster
from tuning.engine.quantities import ENDS
from tuning.judgement.facts import adjusters, compression_kinds, facts_of, finding, leverage
from tuning.judgement.findings import find_all
from tuning.judgement.follow import Following, follow, nothing_left
from tuning.judgement.foretelling import predict
from tuning.judgement.gates import firing, flagged_words, pass_gates, second_looks, stops
from tuning.judgement.making import change_of, with_companions
from tuning.judgement.model import Assessment, Change, Dossier, Draft, Finding, Gate, Prediction, Review, Said
from tuning.judgement.moves import damping_target, height_target, preload_target, step_of
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.reasons import axle_move, why
from tuning.judgement.roundbook import ROUND_RULES, RoundRule
from tuning.judgement.rounds import open_rules, review, stops_rule
from tuning.judgement.rulebook import RIDE_TEST, Rule, say
from tuning.judgement.targets import targets_for

#: Gates where both ends may be set in one round; elsewhere one end at a time, to learn from it.
BOTH_ENDS = ("sag",)


def assess(
    dossier: Dossier, practice: Practice = SHIPPED, round_rules: tuple[RoundRule, ...] = ROUND_RULES
) -> Assessment:
    """Return the gates and findings of a case by a practice, and what the rounds before it teach."""
    told = review(dossier, round_rules, practice)
    return _assessed(replace(dossier, symptoms=told.left), told, practice)


def _assessed(dossier: Dossier, told: Review, practice: Practice) -> Assessment:
    findings = find_all(dossier.derivation, targets_for(dossier.case, practice))
    rules = open_rules(practice.rules, told.barred)
    gates = pass_gates(dossier, findings, rules, told.questions)
    return Assessment(tuple(_explained(gate, dossier, findings, rules) for gate in gates), findings, told)


def _explained(gate: Gate, dossier: Dossier, findings: tuple[Finding, ...], rules: tuple[Rule, ...]) -> Gate:
    """Return a gate that stands open for its rules alone with what those rules say."""
    if gate.state != "stands_here" or gate.reasons:
        return gate
    said = [
        item for end, rule in firing(dossier, findings, gate.id, rules) for item in why(rule, dossier, findings, end)
    ]
    return replace(gate, reasons=once(said))


def draft(dossier: Dossier, practice: Practice = SHIPPED, round_rules: tuple[RoundRule, ...] = ROUND_RULES) -> Draft:
    """Return the proposed changes of the gate the case stands at, what they should show, and what to ask instead of
    guessing. Nothing is changed on a bike that must not be ridden or on numbers that cannot be trusted, but for what
    made it worse in the round before: that goes back. What follows from earlier rounds goes before anything new."""
    told = review(dossier, round_rules, practice)
    dossier = replace(dossier, symptoms=told.left)
    view = _assessed(dossier, told, practice)
    findings = view.findings
    gate = view.stands_at
    said = next((item.reasons for item in view.gates if item.id == gate), ())
    reasons = tuple(item for item in said if item.id.startswith(("ask_", "stop_")))
    questions = [*reasons, *flagged_words(dossier)] if gate != "safe" else [*reasons]
    questions = [item for item in questions if item.id.startswith("ask_")]
    stop = stops(dossier)
    if stop:
        return Draft((), (), stop, tuple(questions), (), ())
    questions += second_looks(dossier)
    after = follow(dossier, told, round_rules, gate)
    settled = nothing_left(dossier, view, after, round_rules)
    changes = list(after.changes)
    notes = list(after.notes)
    questions += after.questions
    notes += settled
    if not reasons and not changes and not settled:
        for end, rule in firing(dossier, findings, gate, open_rules(practice.rules, told.barred)):
            if changes and gate not in BOTH_ENDS:
                break
            changes += propose(rule, dossier, findings, end, after, practice, questions, notes)
    if not after.changes and not settled:
        notes += _kept_from(dossier, view, practice.rules)
    _remark(dossier, findings, gate, questions, notes)
    wanting = any(item.id == "spring_wanted_budget" for item in notes)
    if not (changes or questions or gate or settled or wanting or dossier.symptoms):
        notes.append(say("nothing_to_change"))
    predictions = predict(dossier, changes)
    _steering(predictions, dossier, changes, notes)
    if gate == "damping" and changes and dossier.case.answers.get("fluid_age", "unknown") == "unknown":
        questions.append(say("ask_fluid_age"))
    ride_test = RIDE_TEST if changes else ()
    return Draft(
        tuple(changes), predictions, (), once(questions), once(notes), ride_test, settled=once(list(settled))
    )


def _kept_from(dossier: Dossier, view: Assessment, rules: tuple[Rule, ...]) -> list[Said]:
    """Return why a rule that would speak was kept from it by what earlier rounds showed."""
    reached = [gate.id for gate in view.gates if gate.state != "waiting"]
    return [
        bar.said
        for gate in reached
        for end, rule in firing(dossier, view.findings, gate, rules)
        for bar in view.review.barred
        if stops_rule(bar, rule, end)
    ]


def once(items: list[Said]) -> tuple[Said, ...]:
    """Return the items in order, each said once (both legs may ask the same)."""
    return tuple(item for at, item in enumerate(items) if item not in items[:at])


def _steering(
    predictions: tuple[Prediction, ...], dossier: Dossier, changes: list[Change], notes: list[Said]
) -> None:
    """Say what a fork position does to trail and rake, where both can be told."""
    shifts = {}
    for item in predictions:
        before = dossier.derivation.get(item.key)
        if before is not None and before.value is not None:
            shifts[item.key] = item.value - before.value
    if {"rake", "ground_trail"} <= shifts.keys() and any(change.kind == "fork_position" for change in changes):
        notes.append(say("trail_change", trail_mm=shifts["ground_trail"], rake_deg=shifts["rake"]))


def _unsure(rule: Rule, dossier: Dossier, findings: tuple[Finding, ...], end: str) -> Finding | None:
    """Return the finding that is too uncertain for a rule that is costly or hard to undo; None when all are sure."""
    for fact, quantity in (("rider", "sag_rider_aboard"), ("reserve", "reserve_normal")):
        if fact in rule.when and "rate" not in {f for f in rule.when if rule.when[f] == ("soft",)}:
            item = finding(findings, quantity, end)
            bottomed = fact == "reserve" and facts_of(dossier, findings, end)["reserve"] == "bottomed"
            if item is not None and not item.certain and not bottomed:
                return item
    return None


def propose(
    rule: Rule,
    dossier: Dossier,
    findings: tuple[Finding, ...],
    end: str,
    after: Following,
    practice: Practice,
    questions: list[Said],
    notes: list[Said],
) -> list[Change]:
    """Return what a rule comes to at an end, in numbers; adds to the questions and notes what keeps it from it."""
    if rule.strength == "certain":
        doubt = _unsure(rule, dossier, findings, end)
        if doubt is not None:
            questions.append(say("ask_decide", finding=doubt.key, reading=doubt.decide))
            return []
    reasons = why(rule, dossier, findings, end)
    if rule.change in ("spring", "oil_level", "service"):
        if rule.change == "spring":
            rate = dossier.derivation.get("implied_fork_rate" if end == "front" else "implied_rear_wheel_rate")
            sure = rate is not None and rate.status == "ok" and rate.value is not None
            notes.append(
                say("implied_rate", end=end, rate_nmm=rate.value)
                if sure and rate is not None
                else say("spring_no_number", end=end)
            )
        return with_companions([change_of(rule, dossier, end, None, None, reasons)], dossier, end, rule.id)
    if rule.change == "legs_even":
        return _even(rule, dossier, reasons, questions)
    return _move(rule, dossier, findings, end, reasons, after, practice, questions, notes)


def _even(rule: Rule, dossier: Dossier, reasons: tuple[Said, ...], questions: list[Said]) -> list[Change]:
    """Set the leg that stands prouder down to the other: the lower reading is nearer the maker's mark for most forks,
    and never takes clearance away. A leg below the clamp's face is not held by all of it: that is read again."""
    rows = [row for row in adjusters(dossier.case, "front", "fork_position") if row.found is not None]
    sunk = [row for row in rows if (row.found or 0.0) < 0]
    questions += [say("ask_setting", adjuster=row.key) for row in sunk]
    if sunk:
        return []
    low = min((row.found for row in rows if row.found is not None), default=None)
    return [change_of(rule, dossier, "front", row, low, reasons) for row in rows if row.found != low]


def _move(
    rule: Rule,
    dossier: Dossier,
    findings: tuple[Finding, ...],
    end: str,
    reasons: tuple[Said, ...],
    after: Following,
    practice: Practice,
    questions: list[Said],
    notes: list[Said],
) -> list[Change]:
    kinds = compression_kinds(dossier, end) if rule.change == "compression" else (rule.change,)
    rows = adjusters(dossier.case, end, *kinds)
    if not rows:
        questions.append(say("ask_setting", adjuster=f"{end}.{rule.change}"))
    found: list[Change] = []
    for row in rows:
        if row.found is None:
            questions.append(say("ask_setting", adjuster=row.key))
            return []
        target = _target(rule, dossier, findings, row, practice, questions, notes)
        if rule.change == "fork_position" and target is not None:
            target = after.within(row, target, notes)
            if target is None:
                return []
        if target is None:
            share = dossier.derivation.get(f"clicker_position.{row.key}")
            if share is not None:
                notes.append(say("damper_out_of_range", end=end, adjuster=row.key, position_share=share.value))
            return []
        found.append(after.again(change_of(rule, dossier, end, row, target, reasons), row, rule.move))
    if found and rule.change == "fork_position":
        notes.append(say("height_not_travel"))
        if rule.move == "more" and not _clear(dossier, found[0], practice.clearance_mm, questions, notes):
            return []
    return with_companions(found, dossier, end, rule.id, rule.compromise)


def _target(
    rule: Rule,
    dossier: Dossier,
    findings: tuple[Finding, ...],
    row: Adjuster,
    practice: Practice,
    questions: list[Said],
    notes: list[Said],
) -> float | None:
    if rule.change == "preload":
        if step_of(row) is None:
            questions.append(say("ask_preload_step", adjuster=row.key))
            notes.append(say("preload_small_step", adjuster=row.key))
        ratio = leverage(dossier, row.end)
        if row.end == "rear" and ratio is None:
            questions.append(say("ask_reading", reading="leverage.rear"))
        return preload_target(row, rule.move, axle_move(dossier, findings, row.end), ratio)
    if rule.change in ("rebound", "compression"):
        if not row.range_counted:
            questions.append(say("ask_range", adjuster=row.key))
        return damping_target(row, rule.move, practice.damping_share)
    return height_target(row, rule.move, practice.height_mm)


def _clear(dossier: Dossier, change: Change, clearance: float, questions: list[Said], notes: list[Said]) -> bool:
    """Return whether the tyre clears the bodywork with the fork fully compressed and the legs moved up."""
    at = {r.quantity: r.value for r in dossier.case.readings if r.end == "front"}
    if "bodywork_gap" not in at or "stroke" not in at:
        questions.append(say("ask_clearance"))
        return True
    left = at["bodywork_gap"] - at["stroke"] - ((change.target or 0.0) - (change.start or 0.0))
    if left < clearance:
        notes.append(say("clearance_short", clearance_mm=left))
    return left >= clearance


def _remark(
    dossier: Dossier, findings: tuple[Finding, ...], gate: str, questions: list[Said], notes: list[Said]
) -> None:
    if gate in ("safe", "trust"):
        return
    for end in ENDS:
        facts = facts_of(dossier, findings, end)
        if facts["reserve"] == "bottomed":
            notes.append(say("bottomed", end=end))
        wound = facts["rider"] == "above" and facts["room_more"] == "no"
        if facts["springs"] == "no" and (facts["rate"] == "soft" or wound):
            notes.append(say("spring_wanted_budget", end=end))
        if facts["reserve"] == "above":
            value = dossier.derivation.get(f"reserve_normal.{end}")
            left = value.value if value else None
            if facts["rider"] == "below":
                notes.append(say("reserve_much_sag_little", end=end, reserve_mm=left))
            elif facts["rider"] == "in_band":
                questions.append(say("ask_gentle_ride", end=end, reserve_mm=left))
