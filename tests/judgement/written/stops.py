"""What stops a ride, what is asked first, and words in a client's own text."""

from tests.judgement.written.sent import COMMON, Written, document, reading

_SOFT = document(rear=(500, 486, 460))
_PRELOAD = ("preload rear.preload more 6→8.75",)


def says(name: str, words: str, *asks: str, why: str) -> Written:
    """Return a case whose text speaks; the rear sag is too much, and that may still be said."""
    return Written(id=name, source=COMMON, why=why, sent=_SOFT, gate="sag", first=_PRELOAD, words=words, asks=asks)


CASES = (
    Written(
        id="warning_lamp",
        source=COMMON,
        why="A lamp stops advice, whatever the sags say.",
        sent=document("touring", fork="semi_active", shock="semi_active", rear=(520, 503, 476)),
        gate="safe",
        stop_answers={"warning_lamp": "yes"},
        stop=("stop_warning_lamp",),
        never=("*",),
    ),
    Written(
        id="leaking_fork",
        source="published guides (2)",
        why="A leaking fork is not ridden and not tuned.",
        sent=document("naked"),
        gate="safe",
        complaints=("brake_dive",),
        stop_answers={"leak": "yes"},
        stop=("stop_leak",),
        never=("*",),
    ),
    Written(
        id="tyres_eleven_years_old",
        source=COMMON,
        why="Past ten years a tyre is replaced first.",
        sent=document("classic", shock="twin_shock", more=(reading("tyre_age", 11.5, "front", "1"),)),
        gate="safe",
        complaints=("nervous_turn_in",),
        stop=("stop_tyres",),
        never=("*",),
    ),
    Written(
        id="headshake_on_exit",
        source="published guides (5)",
        why="Bearings and tyres are looked at before any click, whatever was ticked at the gate.",
        sent=document("track"),
        gate="safe",
        complaints=("headshake_exit",),
        stop=("stop_wobble",),
        never=("*",),
    ),
    Written(
        id="weaves_at_speed",
        source="published guides (1)",
        why="A weave on the straight is not ridden on.",
        sent=document("touring"),
        gate="safe",
        complaints=("weaves:3",),
        stop=("stop_wobble",),
        never=("*",),
    ),
    Written(
        id="wobble_answered_yes",
        source="published guides (5)",
        why="The gate's own answer stops it.",
        sent=_SOFT,
        gate="safe",
        stop_answers={"wobble": "yes", "play": "yes"},
        stop=("stop_play", "stop_wobble"),
        never=("*",),
    ),
    Written(
        id="not_sure_about_the_bearings",
        source=COMMON,
        why="Unsure is not a no: asked, and nothing moves.",
        sent=_SOFT,
        gate="safe",
        stop_answers={"play": "unsure"},
        asks=("ask_unsure play",),
        never=("*",),
    ),
    Written(
        id="leak_not_answered",
        source=COMMON,
        why="No answer is not a no.",
        sent=_SOFT,
        gate="safe",
        stop_answers={"leak": ""},
        asks=("ask_unanswered leak",),
        never=("*",),
    ),
    says("text_leaks", "The left fork seal leaks a little.", "ask_words leak", why="Ticked no, written yes."),
    says("text_no_leak", "No leak, never crashed, no play in the head.", why="All denied: nothing to ask."),
    says("text_undicht", "Der Gabelsimmerring ist undicht.", "ask_words leak", why="The same in German."),
    says("text_nicht_undicht", "Gabel nicht undicht, kein Ölverlust, kein Spiel.", why="Denied in German."),
    says("text_pierde", "La horquilla pierde aceite.", "ask_words leak", why="The same in Spanish."),
    says("text_no_pierde", "No pierde aceite y no tiene holgura.", why="Denied in Spanish."),
)
