"""Derived values held against their targets, with *certain* and *worth acting on* kept apart."""

from collections.abc import Iterable, Mapping

from tuning.engine.derivation import Derived
from tuning.judgement.model import Dossier, Finding, Target
from tuning.judgement.targets import targets_for


def find(dossier: Dossier) -> tuple[Finding, ...]:
    """Return a finding for every target whose value was derived, in the targets' order."""
    found = []
    for target in targets_for(dossier.case):
        value = dossier.derivation.get(target.key)
        if value is not None:
            found.append(judge(value, target))
    return tuple(found)


def judge(value: Derived, target: Target) -> Finding:
    """Hold one value against its band.

    Certain: the whole 95 % interval lies inside, or outside on one side. Worth acting on: more likely than not
    outside, which for a symmetric distribution is a best value outside. In between: cannot tell, with the reading
    that contributes most as the one that would decide.
    """
    decide = value.contributions[0][0] if value.contributions else ""
    if value.value is None or value.half_width is None:
        return Finding(target.key, target, "cannot_tell", False, False, decide)
    low, high = value.value - value.half_width, value.value + value.half_width
    if value.status == "at_most":
        low = float("-inf")
    elif value.status == "at_least":
        high = float("inf")
    outside = not target.low <= value.value <= target.high
    if high < target.low:
        return Finding(target.key, target, "below", True, True)
    if low > target.high:
        return Finding(target.key, target, "above", True, True)
    if target.low <= low and high <= target.high:
        return Finding(target.key, target, "in_band", True, False)
    return Finding(target.key, target, "cannot_tell", False, outside, decide)


def lean(dossier: Dossier, finding: Finding) -> str:
    """Return the way a finding leans: below or above when it is certain or worth acting on, in_band when it is
    not, unknown when there is no number."""
    value = dossier.derivation.get(finding.key)
    if value is None or value.value is None:
        return "unknown"
    if value.value < finding.target.low:
        return "below"
    if value.value > finding.target.high:
        # A bound from above cannot say that there is too much.
        return "unknown" if value.status == "at_most" else "above"
    return "in_band"


def by_key(findings: Iterable[Finding]) -> Mapping[str, Finding]:
    return {finding.key: finding for finding in findings}
