"""References such as ``FP-7K3M-2Q``: short enough to read out, without letters that are taken for figures."""

import re
import secrets

#: Crockford's base 32 alphabet: no I, L, O, U.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
PATTERN = re.compile(rf"^FP-[{ALPHABET}]{{4}}-[{ALPHABET}]{{2}}$")
_LOOKALIKE = str.maketrans({"I": "1", "L": "1", "O": "0"})


def new_reference() -> str:
    """Return a random reference (2**30 of them; the database's unique constraint settles a clash)."""
    body = "".join(secrets.choice(ALPHABET) for _ in range(6))
    return f"FP-{body[:4]}-{body[4:]}"


def tidy_reference(text: str) -> str:
    """Return a reference as typed or read out, with case, spaces and look-alikes put right."""
    kept = re.sub(r"[^0-9A-Z]", "", text.upper())
    body = (kept[2:] if kept.startswith("FP") else kept).translate(_LOOKALIKE)
    return f"FP-{body[:4]}-{body[4:]}"
