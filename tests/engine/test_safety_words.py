"""Words that raise the flag, and the same words denied."""

import pytest

from tuning.engine.safety_words import found_in


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("The left seal LEAKS a little", ("leak",)),
        ("cracked subframe and a bent lever", ("damage",)),
        ("I crashed it in May. The bars wobble.", ("recent_crash", "wobble")),
        ("tank-slapper over the crest", ("wobble",)),
        ("It clunks", ("play",)),
        ("No leaks.", ()),
        ("doesn’t leak", ()),
        ("never crashed, no cracks", ()),
        ("No problem with the brakes. But it leaks.", ("leak",)),
        ("not sure whether the fork which was rebuilt last autumn leaks", ("leak",)),
        ("dives a lot, feels soft", ()),
        ("", ()),
    ],
)
def test_found_in(text: str, found: tuple[str, ...]) -> None:
    assert found_in(text) == found
