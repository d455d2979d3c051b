"""The sentences that say why a rule proposes what it does, filled with the case's own numbers."""

from tuning.engine.derivation import Derived
from tuning.judgement.facts import adjusters, compression_kinds, finding
from tuning.judgement.facts import position as damper_at
from tuning.judgement.model import Dossier, Finding, Said
from tuning.judgement.rulebook import SENTENCES, Rule, say


def _number(value: Derived | None) -> float | None:
    return value.value if value is not None else None


def _sag_band(dossier: Dossier, findings: tuple[Finding, ...], end: str) -> dict[str, object]:
    """Return the rider's sag with its band, both in mm (a share is taken of the stroke)."""
    sag = _number(dossier.derivation.get(f"sag_rider_aboard.{end}"))
    item = finding(findings, "sag_rider_aboard", end)
    if item is None:
        return {"sag_mm": sag, "low_mm": None, "high_mm": None}
    scale = 1.0
    if item.target.unit == "1":
        share = _number(dossier.derivation.get(item.key))
        scale = sag / share if sag and share else 0.0
    return {"sag_mm": sag, "low_mm": item.target.low * scale, "high_mm": item.target.high * scale}


def axle_move(dossier: Dossier, findings: tuple[Finding, ...], end: str) -> float:
    """Return how far the sag is from the middle of its band, mm, positive when it is too much."""
    band = _sag_band(dossier, findings, end)
    sag, low, high = band["sag_mm"], band["low_mm"], band["high_mm"]
    if isinstance(sag, float | int) and isinstance(low, float) and isinstance(high, float):
        return sag - (low + high) / 2
    return 0.0


def _parameters(dossier: Dossier, findings: tuple[Finding, ...], end: str) -> dict[str, object]:
    derivation = dossier.derivation
    rows = adjusters(dossier.case, end, "preload")
    rebound = adjusters(dossier.case, end, "rebound")
    legs = {a.leg: a.found for a in dossier.case.adjusters if a.kind == "fork_position" and a.found is not None}
    left, right = legs.get("left", 0.0), legs.get("right", 0.0)
    position = derivation.get(f"clicker_position.{rebound[0].key}") if rebound else None
    return _sag_band(dossier, findings, end) | {
        "end": end,
        "alone_mm": _number(derivation.get(f"sag_bike_alone.{end}")),
        "rider_mm": _number(derivation.get(f"sag_rider_aboard.{end}")),
        "reserve_mm": _number(derivation.get(f"reserve_normal.{end}") or derivation.get(f"reserve_hardest.{end}")),
        "apart_mm": abs(left - right),
        "left_mm": left,
        "right_mm": right,
        "position_share": _number(position),
        "compression_share": damper_at(dossier, end, *compression_kinds(dossier, end))[1],
        "adjuster": (rebound if position is not None and not rows else rows or rebound)[0].key
        if rows or rebound
        else "",
    }


def why(rule: Rule, dossier: Dossier, findings: tuple[Finding, ...], end: str) -> tuple[Said, ...]:
    """Return the rule's sentences with their numbers."""
    known = _parameters(dossier, findings, end)
    if rule.gate == "damping":
        rows = adjusters(dossier.case, end, "rebound")
        known["adjuster"] = rows[0].key if rows else ""
    return tuple(
        say(name, **{param: known[param] for param in SENTENCES[name]}) for name in _felt(rule, dossier, end)
    )


def _felt(rule: Rule, dossier: Dossier, end: str) -> tuple[str, ...]:
    """Return the rule's sentences, with what the settle test showed ahead of what the rider felt."""
    settled = {"many_bounces": "settles_bouncing", "slow": "settles_slowly"}
    shown = settled.get(dossier.case.answers.get(f"settle.{end}", ""))
    if rule.change != "rebound" or shown is None:
        return rule.says
    return (shown, *rule.says) if dossier.symptoms else (shown,)
