"""Words in a client's own text that a tuner must see first. They raise a flag; they never decide alone."""

import re

#: Word stems → the stop question they belong to (English; each language shipped brings its own table).
_STEMS = {
    "leak": "leak",
    "oil on": "leak",
    "crack": "damage",
    "bent": "damage",
    "broken": "damage",
    "crash": "recent_crash",
    "accident": "recent_crash",
    "fell over": "recent_crash",
    "knock": "play",
    "clunk": "play",
    "loose": "play",
    "tank slap": "wobble",
    "tankslap": "wobble",
    "head shake": "wobble",
    "headshake": "wobble",
    "wobbl": "wobble",
    "weave": "wobble",
    "warning l": "warning_lamp",
    "recall": "warning_lamp",
    "brake fade": "brakes",
    "brakes fade": "brakes",
    "bald": "tyres",
}
_NEGATION = re.compile(r"\b(no|not|never|without|any|isn't|doesn't|don't|neither|nor)\b[^.;,!?]{0,25}$")


def found_in(text: str) -> tuple[str, ...]:
    """Return the stop questions that the text speaks to, sorted; a word negated just before it ("no leaks") is
    left out, and when in doubt it is kept."""
    lowered = re.sub(r"\s+", " ", text.lower().replace("’", "'").replace("-", " "))
    found = set()
    for stem, question in _STEMS.items():
        for match in re.finditer(rf"\b{re.escape(stem)}", lowered):
            if not _NEGATION.search(lowered[: match.start()]):
                found.add(question)
    return tuple(sorted(found))
