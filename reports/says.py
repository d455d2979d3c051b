"""What an approved document says, for the words around it: not to ride, changes to make, or nothing to change."""

from collections.abc import Mapping
from typing import Any

STOP, CHANGES, NO_CHANGE = "stop", "changes", "no_change"


def what_it_says(content: Mapping[str, Any]) -> str:
    """Return STOP, CHANGES or NO_CHANGE."""
    if content.get("stop"):
        return STOP
    return CHANGES if content.get("changes") else NO_CHANGE
