"""The shop's own practice as kept: versions that never change, the one that holds now, and what differs between two.

Version 0 is the data as shipped. Every save rests on the version it was made from (optimistic lock), is checked by
the loader of ``tuning.judgement.practice`` and makes a new version; going back to an earlier one does so, too.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils.translation import override

from intake.choices import Role
from intake.models import User
from tuning.desk import sentences
from tuning.desk.models import ApprovedDocument, PracticeVersion
from tuning.engine.errors import EngineInputError, Fault
from tuning.judgement.practice import SHIPPED, Practice, Wordings, faults_of, practice_of, tidied
from tuning.judgement.rulebook import SENTENCES

LONGEST_WHY = 500
#: A version number no larger than the database's integers.
MOST = 2_000_000_000
_PARAM = re.compile(r"%\((\w+)\)s")


class StalePractice(Exception):
    """Somebody saved the practice meanwhile; ``current`` is how it stands now, None for the data as shipped."""

    def __init__(self, current: PracticeVersion | None) -> None:
        super().__init__(f"the practice stands at version {number_of(current)}")
        self.current = current

    @property
    def who(self) -> str:
        return self.current.by.signature() if self.current and self.current.by else ""


class NothingNew(ValueError):
    """What was saved says the same as the version it rests on."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One entry that two versions say otherwise: its path, and what each says (None: as shipped)."""

    path: str
    before: Any
    after: Any


def may_set(user: User) -> bool:
    """Return whether a user may set the practice: lead tuners, and who looks after the installation."""
    return bool(user.is_active and (user.role == Role.LEAD or user.is_superuser))


@cache
def wordings() -> Wordings:
    """Return what the desk knows of sentences: a shop's own wording may leave out only what ours leaves out, too."""
    with override("en"):
        used = {name: frozenset(_PARAM.findall(str(sentences.SAID[name]))) for name in SENTENCES}
    return Wordings(tuple(code for code, _name in settings.LANGUAGES), used)


def current() -> PracticeVersion | None:
    """Return the version that holds now; None for the data as shipped."""
    return PracticeVersion.objects.select_related("by").order_by("-number").first()


def number_of(version: PracticeVersion | None) -> int:
    return version.number if version else 0


def content_of(version: PracticeVersion | None) -> dict[str, Any]:
    """Return all that a version says otherwise than the shipped data."""
    return dict(version.content) if version else {}


def by_number(number: int) -> PracticeVersion | None:
    """Return a version; None for 0. Raises PracticeVersion.DoesNotExist."""
    return PracticeVersion.objects.select_related("by").get(number=number) if number else None


def built(version: PracticeVersion | None) -> Practice:
    """Return a version as the judgement takes it."""
    if version is None:
        return SHIPPED
    return _built(ApprovedDocument.canonical(version.content), version.number)


@lru_cache(maxsize=8)
def _built(text: str, number: int) -> Practice:
    return practice_of(json.loads(text), number, wordings())


def words_of(version: PracticeVersion | None, language: str) -> Mapping[str, str]:
    """Return the shop's own sentences in a language, by id."""
    texts = version.content.get("texts", {}) if version else {}
    found: Mapping[str, str] = texts.get(language) or texts.get(language.partition("-")[0]) or {}
    return found


def save(content: object, base: int, why: str, by: User, restores: int | None = None) -> PracticeVersion:
    """Make a new version on top of version ``base``.

    Raises EngineInputError with every fault, NothingNew, and StalePractice when ``base`` is no longer the last one.
    """
    faults = list(faults_of(content, wordings()))
    faults += why_faults(why)
    if faults:
        raise EngineInputError(faults)
    assert isinstance(content, Mapping)  # noqa: S101  (a fault otherwise)
    last = current()
    if number_of(last) != base:
        raise StalePractice(last)
    tidy = tidied(content)
    if tidy == content_of(last):
        raise NothingNew
    try:
        with transaction.atomic():
            return PracticeVersion.objects.create(
                number=base + 1, content=tidy, why=why.strip(), by=by, restores=restores
            )
    except IntegrityError as error:
        raise StalePractice(current()) from error


def why_faults(why: str) -> list[Fault]:
    if not why.strip():
        return [Fault("why", why, "why_missing")]
    if len(why) > LONGEST_WHY:
        return [Fault("why", why, "too_long", {"longest": LONGEST_WHY})]
    return []


def restore(number: int, base: int, why: str, by: User) -> PracticeVersion:
    """Go back to what version ``number`` said, as a new version. Raises what ``save`` does, and DoesNotExist."""
    return save(content_of(by_number(number)), base, why, by, restores=number)


def flat(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return a content by path, one entry for each band, step, rule and sentence."""
    found: dict[str, Any] = {}
    for discipline, bands in content.get("targets", {}).items():
        found |= {f"targets.{discipline}.{key}": row for key, row in bands.items()}
    found |= {f"steps.{name}": value for name, value in content.get("steps", {}).items()}
    found |= {f"rules.{key}": row for key, row in content.get("rules", {}).items()}
    for language, texts in content.get("texts", {}).items():
        found |= {f"texts.{language}.{name}": text for name, text in texts.items()}
    return found


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """Return what two contents say otherwise, in the order of their paths' tables."""
    old, new = flat(before), flat(after)
    paths = list(dict.fromkeys([*old, *new]))
    return [Difference(path, old.get(path), new.get(path)) for path in paths if old.get(path) != new.get(path)]


def history() -> list[PracticeVersion]:
    """Return all versions, last one first."""
    return list(PracticeVersion.objects.select_related("by").order_by("-number"))


def exported(version: PracticeVersion | None) -> dict[str, Any]:
    """Return a version as the file that another shop's desk can take in."""
    return {"schema": SCHEMA, "version": number_of(version), "practice": content_of(version)}


SCHEMA = 1


def imported(text: str) -> Any:
    """Return the content of an exported file. Raises EngineInputError for what is not one."""
    try:
        loaded = json.loads(text, parse_constant=_refuse)
    except (ValueError, RecursionError) as error:
        raise EngineInputError([Fault("", text[:40], "not_json", {"why": str(error)})]) from error
    if not isinstance(loaded, dict) or "practice" not in loaded:
        raise EngineInputError([Fault("practice", None, "missing_field")])
    if loaded.get("schema") != SCHEMA:
        raise EngineInputError([Fault("schema", loaded.get("schema"), "unknown_schema", {"known": (str(SCHEMA),)})])
    return loaded["practice"]


def _refuse(constant: str) -> float:
    raise ValueError(f"{constant} is no number")
