"""Derived values held against their target bands."""

from math import erf, inf, sqrt

from tuning.engine.derivation import Derivation, Derived
from tuning.judgement.model import Finding, Target

#: Half-widths are 95 % intervals: coverage factor 2 (JCGM 100:2008, 6.2).
COVERAGE = 2.0


def interval(value: Derived) -> tuple[float, float] | None:
    """Return the 95 % interval in the value's unit, open to one side for a bound; None when there is no number."""
    if value.value is None or value.half_width is None or value.status in ("cannot_state", "refused"):
        return None
    low, high = value.value - value.half_width, value.value + value.half_width
    return (-inf if value.status == "at_most" else low, inf if value.status == "at_least" else high)


def _outside(value: float, half_width: float, target: Target) -> float:
    """Return the probability of the value being outside the band, by the normal distribution."""
    if half_width == 0:
        return 0.0 if target.low <= value <= target.high else 1.0
    spread = half_width / COVERAGE * sqrt(2)
    return 1 - (erf((target.high - value) / spread) - erf((target.low - value) / spread)) / 2


def _decide(value: Derived | None, key: str) -> str:
    return value.contributions[0][0] if value and value.contributions else key


def judge(value: Derived | None, target: Target) -> Finding:
    """Return the finding for one value. Outside by its best estimate: "below" or "above", certain only when the
    whole 95 % interval is; inside with the interval across an edge: "cannot_tell"."""
    span = interval(value) if value else None
    if value is None or span is None or value.value is None or value.half_width is None:
        return Finding(target.key, target, "cannot_tell", False, False, _decide(value, target.key))
    low, high = span
    if value.value < target.low:
        sure = high < target.low
        return Finding(target.key, target, "below", sure, True, "" if sure else _decide(value, target.key))
    if value.value > target.high:
        sure = low > target.high
        return Finding(target.key, target, "above", sure, True, "" if sure else _decide(value, target.key))
    if low >= target.low and high <= target.high:
        return Finding(target.key, target, "in_band", True, False)
    likely = _outside(value.value, value.half_width, target) > 0.5
    return Finding(target.key, target, "cannot_tell", False, likely, _decide(value, target.key))


def find_all(derivation: Derivation, targets: tuple[Target, ...]) -> tuple[Finding, ...]:
    """Return a finding for each target that has a number, and one without for each quantity that has none at all.

    Where a discipline gives a quantity in mm and as a share, the first that was derived stands for it.
    """
    found: dict[str, Finding] = {}
    for target in targets:
        about = target.key.replace("_share", "")
        value = derivation.get(target.key)
        numbered = value is not None and interval(value) is not None
        if about not in found or (numbered and found[about].decide == found[about].key):
            found[about] = judge(value, target)
    return tuple(found.values())
