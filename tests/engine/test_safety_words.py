"""Words that raise the flag, and the same words denied, in the three languages that notes come in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine.safety_words import STEMS, found_in
from tuning.engine.vocabulary import STOP_QUESTIONS


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("The left seal LEAKS a little", ("leak",)),
        ("cracked subframe and a bent lever", ("damage",)),
        ("I crashed it in May. The bars wobble.", ("recent_crash", "wobble")),
        ("tank-slapper over the crest", ("wobble",)),
        ("It clunks", ("play",)),
        ("some play in the head", ("play",)),
        ("the rear tyre is bald", ("tyres",)),
        ("ABS light stays on", ("warning_lamp",)),
        ("brakes fade downhill", ("brakes",)),
        ("two up it is overloaded", ("overload",)),
        ("dives a lot, feels soft", ()),
        ("The front went light; I want it lower", ()),
        ("", ()),
    ],
)
def test_english(text: str, found: tuple[str, ...]) -> None:
    assert found_in(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Der Simmerring ist undicht", ("leak",)),
        ("Gabel verliert Öl", ("leak",)),
        ("Oelverlust am Federbein", ("leak",)),
        ("Haarriss im Rahmen", ("damage",)),
        ("Ich bin im Mai gestürzt, seither ist der Lenker krumm", ("damage", "recent_crash")),
        ("Lenkkopfspiel, es klackt beim Bremsen", ("play",)),
        ("Lenkerflattern ab 80", ("wobble",)),
        ("Die Warnleuchte brennt", ("warning_lamp",)),
        ("Reifen abgefahren", ("tyres",)),
        ("mit Gepäck überladen", ("overload",)),
        ("Die Bremse schleift", ("brakes",)),
        ("zum Beispiel taucht sie stark ein", ()),
    ],
)
def test_german(text: str, found: tuple[str, ...]) -> None:
    assert found_in(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("La horquilla pierde aceite", ("leak",)),
        ("hay una fuga en el retén", ("leak",)),
        ("Tiene holgura en la dirección", ("play",)),
        ("una grieta en el chasis", ("damage",)),
        ("Tuve una caída en mayo", ("recent_crash",)),
        ("hace shimmy y serpentea", ("wobble",)),
        ("el testigo del ABS está encendido", ("warning_lamp",)),
        ("el neumático liso", ("tyres",)),
        ("va sobrecargada", ("overload",)),
        ("frena mal en frío", ("brakes",)),
        ("se hunde mucho de delante", ()),
    ],
)
def test_spanish(text: str, found: tuple[str, ...]) -> None:
    assert found_in(text) == found


@pytest.mark.parametrize(
    "text",
    [
        "No leaks.",
        "doesn’t leak",
        "doesnt leak",
        "never crashed, no cracks",
        "There is no sign of a leak",
        "I don't think there are any leaks",
        "no leaks or cracks",
        "without play in the bearings",
        "leaks: none",
        "kein Ölverlust",
        "Keine Risse, kein Spiel",
        "Die Gabel ist nicht undicht",
        "Die Gabel leckt nicht.",
        "Es klappert die Verkleidung nicht.",
        "weder Spiel noch Risse",
        "nie gestürzt",
        "ohne Lenkerflattern",
        "Spiel: keins",
        "No pierde aceite",
        "sin holgura",
        "no tiene fugas ni grietas",
        "nunca tuvo una caída",
        "fugas: ninguna",
    ],
)
def test_what_is_plainly_denied_is_left_out(text: str) -> None:
    assert found_in(text) == ()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("No problem with the brakes. But it leaks.", "leak"),
        ("no problem but it leaks", "leak"),
        ("I am not happy and it leaks", "leak"),
        ("not sure whether the fork which was rebuilt last autumn leaks", "leak"),
        ("not sure if it leaks", "leak"),
        ("haven't checked for cracks", "damage"),
        ("no doubt it leaks", "leak"),
        ("can't rule out a leak", "leak"),
        ("it does not leak much", "leak"),
        ("no big leak", "leak"),
        ("not badly cracked", "damage"),
        ("it leaks no matter what", "leak"),
        ("not only wobbles", "wobble"),
        ("No leaks, cracked subframe", "damage"),
        ("please look for any leak", "leak"),
        ("bent crack", "damage"),
        ("weiß nicht, ob sie leckt", "leak"),
        ("nicht sicher ob Spiel da ist", "play"),
        ("nicht stark undicht", "leak"),
        ("leckt nicht viel", "leak"),
        ("leckt nicht nur links", "leak"),
        ("keine Ahnung, aber es klackt", "play"),
        ("noch undicht", "leak"),
        ("no sé si pierde aceite", "leak"),
        ("no estoy seguro de que tenga holgura", "play"),
        ("no pierde mucho aceite, pero gotea", "leak"),
        ("sin frenos buenos, tiene holgura", "play"),
    ],
)
def test_what_is_in_doubt_is_kept(text: str, found: str) -> None:
    assert found in found_in(text)


def test_every_stop_question_has_words_in_every_language() -> None:
    for language, rows in STEMS.items():
        assert set(rows) == set(STOP_QUESTIONS), language


@given(st.text(max_size=200))
def test_any_text_is_read(text: str) -> None:
    found = found_in(text)
    assert set(found) <= set(STOP_QUESTIONS)
    assert found_in(f"{text}. It leaks!") == tuple(sorted({*found, "leak"}))
