"""The shop's catalogue of bikes, and who changed what in it."""

import unicodedata
from typing import Any, ClassVar

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from intake.catalogue.keys import LONGEST_MAKE, LONGEST_MODEL, LONGEST_NOTE
from intake.choices import FrontArchitecture, RearArchitecture


def searchable(text: str) -> str:
    """Return a text as it is searched: no marks over letters, no capitals, no punctuation, single spaces."""
    letters = unicodedata.normalize("NFKD", text).casefold()
    kept = "".join(c if c.isalnum() else " " for c in letters if not unicodedata.combining(c))
    return " ".join(kept.split())


class CatalogueBike(models.Model):
    """One model of bike, over the years it was built alike. All numbers are canonical.

    values: by key of ``intake.catalogue.keys.VALUES``: ``{"value", "half_width", "source"}``.
    adjusters: by key of ``ADJUSTERS``: ``{"unit", "place", "counted_from", "range", "step_mm"}``, None where unknown.
    """

    make = models.CharField(max_length=LONGEST_MAKE)
    model = models.CharField(max_length=LONGEST_MODEL)
    year_from = models.PositiveSmallIntegerField(null=True, blank=True)
    year_to = models.PositiveSmallIntegerField(null=True, blank=True)
    front = models.CharField(max_length=14, choices=FrontArchitecture.choices)
    rear = models.CharField(max_length=14, choices=RearArchitecture.choices)
    adjusters = models.JSONField(default=dict, blank=True)
    values = models.JSONField(default=dict, blank=True)
    note = models.TextField(max_length=LONGEST_NOTE, blank=True)
    # Make and model as they are searched.
    search = models.CharField(max_length=120, editable=False, db_index=True)
    # Raised with every change: two tuners editing at once are told of each other.
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(auto_now=True)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["make", "model", "year_from", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["make", "model", "year_from"], name="catalogue_bike_once"),
            models.UniqueConstraint(
                fields=["make", "model"], condition=Q(year_from=None), name="catalogue_bike_once_without_year"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        """Make and model, as the client's bike is named after it."""
        return f"{self.make} {self.model}"

    @property
    def years(self) -> str:
        """The years it was built, as far as they are known: ``2014–2019``, ``2014–``, ``–2019``, or nothing."""
        if self.year_from is None and self.year_to is None:
            return ""
        if self.year_from == self.year_to:
            return str(self.year_from)
        return f"{self.year_from or ''}–{self.year_to or ''}"

    def clean(self) -> None:
        """Refuse what the engine or the form would not know, or that lies beyond what is possible at all."""
        from intake.catalogue.rules import faults_of, words_for

        found = faults_of(self)
        if found:
            raise ValidationError([words_for(fault) for fault in found])

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save. Raises ValidationError: nothing gets into the catalogue that the engine would refuse."""
        self.search = searchable(self.name)[:120]
        self.clean()
        super().save(*args, **kwargs)


class CatalogueChange(models.Model):
    """Who changed a bike of the catalogue, when, and what: by column, what stood and what stands. Append-only."""

    class Kind(models.TextChoices):
        ADDED = "added"
        CHANGED = "changed"
        REMOVED = "removed"

    bike = models.ForeignKey(CatalogueBike, on_delete=models.SET_NULL, null=True, related_name="changes")
    name = models.CharField(max_length=90)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    imported = models.BooleanField(default=False)
    columns = models.JSONField(default=dict)
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-id"]

    def __str__(self) -> str:
        return f"{self.name} {self.kind}"
