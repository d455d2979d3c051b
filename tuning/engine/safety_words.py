"""Words in a client's own text that a tuner must see first. They raise a flag; they never decide alone.

English, German and Spanish are searched at once, since nobody says which language a note is in. A word that is denied
("no leak", "kein Spiel", "sin holgura") is left out; a denial that itself is in doubt ("not sure whether it leaks",
"nicht stark undicht") is none.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

#: Language → stop question → stems, bare of accents. ``*`` before a stem finds it inside a word, too; ``$`` behind it
#: asks for the word's end.
STEMS: Mapping[str, Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "en": {
            "warning_lamp": ("warning l", "abs light", "abs lamp", "engine light", "recall"),
            "leak": ("leak", "oil on", "oily", "seep", "weep", "drip", "blown seal"),
            "play": ("knock", "clunk", "loose", "play$", "rattl", "notchy"),
            "damage": ("crack", "bent", "broke", "snapped", "fractur", "damage"),
            "recent_crash": (
                "crash",
                "accident",
                "fell over",
                "fell off",
                "dropped it",
                "dropped the bike",
                "lowside",
                "low side",
                "highside",
                "high side",
            ),
            "tyres": ("bald", "worn tyre", "worn tire", "old tyre", "old tire", "squared off", "perished"),
            "overload": ("overload", "over the limit"),
            "brakes": (
                "brake fade",
                "brakes fade",
                "brakes pull",
                "brake pull",
                "brake drag",
                "brakes drag",
                "brake stick",
                "brakes stick",
                "spongy",
            ),
            "wobble": (
                "tank slap",
                "tankslap",
                "head shake",
                "headshake",
                "shakes its head",
                "bars shake",
                "wobbl",
                "weave",
                "weaving",
                "shimmy",
            ),
        },
        "de": {
            "warning_lamp": ("warnl", "kontrolll", "fehlerlampe", "ruckruf", "rueckruf"),
            "leak": (
                "*leck$",
                "leck",
                "undicht",
                "*olverlust",
                "*oelverlust",
                "verliert ol",
                "verliert oel",
                "olt$",
                "oelt$",
                "olig",
                "oelig",
                "siff",
                "schwitz",
                "tropf",
            ),
            "play": (
                "spiel$",
                "lagerspiel",
                "*kopfspiel",
                "klapper",
                "klack",
                "knack",
                "polter",
                "locker",
                "wackel",
            ),
            "damage": (
                "*riss$",
                "*risse",
                "gerissen",
                "verbogen",
                "krumm",
                "gebrochen",
                "*bruch$",
                "beschadig",
                "beschaedig",
            ),
            "recent_crash": (
                "*sturz",
                "gesturz",
                "gestuerz",
                "unfall",
                "umgefallen",
                "umgekippt",
                "hingefallen",
                "hingelegt",
            ),
            "tyres": ("abgefahren", "profillos", "reifen alt", "alte reifen", "poros", "poroes"),
            "overload": ("uberlad", "ueberlad", "uberlast", "ueberlast", "zu schwer"),
            "brakes": (
                "bremsfading",
                "bremse zieht",
                "bremsen ziehen",
                "bremse schleift",
                "bremsen schleifen",
                "bremse klemmt",
                "bremse lasst nach",
                "bremse laesst nach",
            ),
            "wobble": ("flattern", "flattert", "*lenkerflatter", "pendel", "*lenkerschlag", "shimmy", "kickback"),
        },
        "es": {
            "warning_lamp": ("testigo", "luz de aviso", "luz de averia", "luz del abs", "llamada a revision"),
            "leak": ("fuga", "pierde aceite", "perdida de aceite", "perdidas de aceite", "gotea", "rezum", "suda$"),
            "play": ("holgura", "juego", "suelto", "suelta", "golpete", "traquete", "flojo", "floja"),
            "damage": ("grieta", "agrietad", "fisura", "doblad", "torcid", "roto$", "rota$", "rotura", "danad"),
            "recent_crash": ("caida", "me cai$", "se cayo", "accidente", "choque", "choco$"),
            "tyres": (
                "neumatico liso",
                "neumaticos lisos",
                "rueda lisa",
                "neumatico gastad",
                "neumaticos gastad",
                "neumaticos viejos",
                "neumatico viejo",
                "cuartead",
            ),
            "overload": ("sobrecarg", "demasiado peso"),
            "brakes": ("freno esponjoso", "frenos esponjosos", "frena mal", "pierde freno", "freno agarrotado"),
            "wobble": ("shimmy", "serpente", "bandazo", "cabece", "tambale", "vibra el manillar"),
        },
    }
)
_DENIAL = re.compile(
    r"\b(?:no|not|never|without|none|neither|nor|cannot|free of|free from"
    r"|(?:is|are|was|were|do|does|did|have|has|had|ca|wo|would|could)n'?t"
    r"|kein\w{0,2}|nicht|nichts|nie|niemals|ohne|weder|sin|nunca|ni|ningun[oa]?|tampoco|jamas)\b"
)
#: How many words may stand between a denial and what it denies.
_REACH = 4
#: What makes a denial none: not sure, not looked, not much; and what ends its reach.
_DOUBTS = frozenset(
    "if whether sure certain know doubt only just checked looked inspected tested rule idea question wonder "
    "big bad badly much major serious very really too great large more quite "
    "ob sicher weiss zweifel nur gepruft geprueft nachgesehen geschaut kontrolliert "
    "stark sehr viel gross grosse grosser grosses schlimm so ganz mehr immer "
    "si seguro segura duda solo mirado revisado comprobado mucho mucha muy grande gran grave mas "
    "but however although except and aber doch sondern trotzdem ausser und pero aunque sino salvo y".split()
)
_WORDS = re.compile(r"[\w' /]*")
#: In German a verb is denied behind it, and lists say it behind a colon.
_BEHIND = re.compile(
    r"\w*(?: [\w']+){0,2}? (?:nicht|keins|keiner|keine|keinen|nirgends)(?= *(?:[.;,!?)]|$| oder ))"
    r"|\w* ?: ?(?:no|none|nein|keine|keins|ninguno|ninguna)\b"
)
_DEGREE = re.compile(r"\w*(?: [\w']+)?? (?:much|badly|a lot|very|viel|stark|sehr|mucho|muy)\b")


def plain(text: str) -> str:
    """Return the text in small letters without accents, one space between words."""
    lowered = text.lower().replace("ß", "ss").replace("’", "'")
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", lowered) if not unicodedata.combining(sign))
    return re.sub(r"[\s\-]+", " ", bare)


def _pattern(stem: str) -> re.Pattern[str]:
    inside, whole = stem.startswith("*"), stem.endswith("$")
    return re.compile(("" if inside else r"\b") + re.escape(stem.strip("*$")) + (r"\b" if whole else ""))


_PATTERNS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (_pattern(stem), question)
    for language in STEMS.values()
    for question, stems in language.items()
    for stem in stems
)


def _denied(text: str, start: int, end: int) -> bool:
    """Return whether the word at ``start`` is plainly denied."""
    before, behind = text[:start], text[end:]
    # The beginning of the word that a stem was found inside belongs to it.
    before = before.rstrip("abcdefghijklmnopqrstuvwxyz")
    if _DEGREE.match(behind):
        return False
    for denial in _DENIAL.finditer(before):
        between = before[denial.end() :]
        words = between.split()
        if _WORDS.fullmatch(between) and len(words) <= _REACH and not _DOUBTS & set(words):
            return True
    return _BEHIND.match(behind) is not None


def _questions(text: str) -> Iterator[str]:
    for pattern, question in _PATTERNS:
        if any(not _denied(text, match.start(), match.end()) for match in pattern.finditer(text)):
            yield question


def found_in(text: str) -> tuple[str, ...]:
    """Return the stop questions that the text speaks to, sorted; a word that is plainly denied is left out, and when
    in doubt it is kept."""
    found: Iterable[str] = _questions(plain(text))
    return tuple(sorted(set(found)))
