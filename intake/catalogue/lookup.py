"""Finding a bike of the catalogue by what somebody typed."""

from typing import Any

from django.db.models import Case, IntegerField, Q, Value, When
from django.db.models.functions import Coalesce

from intake.catalogue.keys import FIRST_YEAR, LAST_YEAR
from intake.models.catalogue import CatalogueBike, searchable

#: As many as a phone shows without scrolling far.
MOST_MATCHES = 10
#: So many names go with the page as suggestions; with more of them the page would grow heavy.
MOST_SUGGESTED = 200
#: More words than this name no bike.
_MOST_WORDS = 8
_SHORTEST_STEM, _STEM = 5, 4


def suggestions() -> list[str]:
    """Return every name in the catalogue, once each; one more than ``MOST_SUGGESTED`` tells that they are too many.
    One query."""
    rows = CatalogueBike.objects.order_by("make", "model").values_list("make", "model").distinct()
    return [f"{make} {model}" for make, model in rows[: MOST_SUGGESTED + 1]]


def words_of(text: str) -> list[str]:
    """Return the words a text is searched by."""
    return list(dict.fromkeys(searchable(text[:120]).split()))[:_MOST_WORDS]


def matches(text: str, most: int = MOST_MATCHES) -> list[CatalogueBike]:
    """Return the bikes that most of the words fit, best first; a year typed counts. At most two queries.

    Where no word fits as it stands, the beginnings of long ones are tried: it is the end that is misspelt.
    """
    words = words_of(text)
    return _best(words, most) or _best([w[:_STEM] for w in words if len(w) >= _SHORTEST_STEM], most)


def _best(words: list[str], most: int) -> list[CatalogueBike]:
    if not words:
        return []
    score: Any = Value(0)
    any_of = Q()
    for word in words:
        fits = Q(search__contains=word)
        year = int(word) if word.isascii() and word.isdigit() and len(word) == 4 else 0
        if FIRST_YEAR <= year <= LAST_YEAR:
            built = (Q(year_from__lte=year) | Q(year_from=None)) & (Q(year_to__gte=year) | Q(year_to=None))
            known = Q(year_from__isnull=False) | Q(year_to__isnull=False)
            score = score + _points(built & known, 2)
        else:
            any_of |= fits
        # A whole word says more than a part of one.
        score = score + _points(fits, 2) + _points(_whole(word), 1)
    if not any_of:
        # Nothing but years: they may be a model's name.
        any_of = Q(*(Q(search__contains=word) for word in words), _connector=Q.OR)
    rows = CatalogueBike.objects.filter(any_of).annotate(score=Coalesce(score, Value(0)))
    return list(rows.order_by("-score", "make", "model", "year_from", "pk")[:most])


def _whole(word: str) -> Q:
    return (
        Q(search=word)
        | Q(search__startswith=f"{word} ")
        | Q(search__endswith=f" {word}")
        | Q(search__contains=f" {word} ")
    )


def _points(where: Q, points: int) -> Case:
    return Case(When(where, then=Value(points)), default=Value(0), output_field=IntegerField())
