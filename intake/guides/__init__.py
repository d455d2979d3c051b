"""The measuring guides: how each reading the form asks for is taken, with a drawing, and alone."""

from collections.abc import Mapping

from intake.guides.guide import Guide
from intake.guides.words import GUIDES

__all__ = ["BY_ID", "GUIDES", "Guide", "guide_for", "guide_of_name"]

BY_ID: Mapping[str, Guide] = {guide.id: guide for guide in GUIDES}


def guide_for(measured: str, end: str = "", approach: str = "as_is") -> Guide | None:
    """Return the guide of a quantity, a question or an adjuster kind at one end; None where there is none."""
    repeated = approach not in {"", "as_is"}
    for guide in GUIDES:
        if measured in guide.measures and guide.end in {"", end} and guide.repeated == repeated:
            return guide
    return None


def guide_of_name(name: str) -> Guide | None:
    """Return the guide of a field of the form by its name.

    Measurements are named quantity.end.leg.approach, settings end.kind.leg.what, questions question.end.
    """
    first, *rest = name.split(".")
    if first in {"front", "rear"} and rest:
        return guide_for(rest[0], first)
    end = next((part for part in rest if part in {"front", "rear"}), "")
    approach = next((part for part in rest if part in {"from_below", "from_above"}), "as_is")
    return guide_for(first, end, approach)
