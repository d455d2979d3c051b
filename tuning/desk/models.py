"""What a tuner makes of a round: the derivation, drafts of a recommendation, and the approved document."""

import hashlib
import json
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from intake.choices import Discipline, FrontArchitecture, RearArchitecture
from intake.models import Round, SetupRequest

DOCUMENT_SCHEMA = 2


class Frozen(Exception):
    """An approved document, or a version of the shop's practice, was to be changed or deleted."""


class Derivation(models.Model):
    """What the engine said of a round's readings; kept by input and engine version, never recomputed in place."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="derivations")
    input_hash = models.CharField(max_length=64)
    engine_version = models.CharField(max_length=16)
    result = models.JSONField()
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["round", "input_hash", "engine_version"], name="one_derivation_per_input"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.round} by engine {self.engine_version}"


class PracticeVersion(models.Model):
    """One version of the shop's practice: who set it, when and why, and all that differs from the data as shipped, in
    the shape of ``tuning.judgement.practice``. Never changes: each save is a new version."""

    number = models.PositiveIntegerField(unique=True)
    content = models.JSONField(default=dict)
    why = models.TextField(max_length=500)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # Number of the version that was gone back to, 0 for the data as shipped; None for one of its own.
    restores = models.PositiveIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return f"practice {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise Frozen("a version of the practice never changes; a change is a new version")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise Frozen("a version of the practice is kept; recommendations rest on it")


class Recommendation(models.Model):
    """A version of a round's recommendation: a draft that tuners edit until one of them approves it.

    ``lock`` counts the saves (optimistic lock); a correction after approval is a new row with the next version.
    """

    class State(models.TextChoices):
        DRAFT = "draft"
        APPROVED = "approved"
        DROPPED = "dropped"

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="recommendations")
    version = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=8, choices=State.choices, default=State.DRAFT)
    lock = models.PositiveIntegerField(default=1)
    derivation = models.ForeignKey(Derivation, on_delete=models.PROTECT, related_name="+")
    judgement_version = models.CharField(max_length=16)
    # The shop's practice it was drafted by; None for the data as shipped.
    practice = models.ForeignKey(PracticeVersion, on_delete=models.PROTECT, null=True, related_name="+")
    # The draft as judged, and as the tuner has it now: the shape is told in tuning.desk.drafting.
    proposed = models.JSONField()
    content = models.JSONField()
    # Ids of the cause rules that held when it was drafted: for the tally of rules.
    causes = models.JSONField(default=list)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    # Who saved last, and when: told to whoever saves after them without having read it.
    changed_at = models.DateTimeField(auto_now=True)
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "version"], name="one_recommendation_per_version"),
            models.UniqueConstraint(fields=["round"], condition=Q(state="draft"), name="one_open_draft_per_round"),
        ]

    def __str__(self) -> str:
        return f"{self.round} recommendation {self.version}"


class RuleTally(models.Model):
    """How often a rule held, and what tuners made of what it proposed; each round counts once. Kept in
    ``tuning.desk.tallies``."""

    rule = models.CharField(max_length=80, unique=True)
    fired = models.PositiveIntegerField(default=0)
    kept = models.PositiveIntegerField(default=0)
    edited = models.PositiveIntegerField(default=0)
    dropped = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.rule} fired {self.fired}"


class ApprovedDocument(models.Model):
    """The frozen recommendation: canonical JSON text, its SHA-256, who approved it and when. Never changes."""

    recommendation = models.OneToOneField(Recommendation, on_delete=models.PROTECT, related_name="document")
    schema_version = models.PositiveSmallIntegerField(default=1)
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    approved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    approved_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.recommendation} {self.sha256[:12]}"

    @staticmethod
    def canonical(content: dict[str, Any]) -> str:
        """Return the one text of a document: sorted keys, no spare space, no NaN, UTF-8 kept."""
        return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise Frozen("an approved document never changes; a correction is a new version")
        self.sha256 = hashlib.sha256(self.text.encode()).hexdigest()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise Frozen("an approved document is kept; the sheet and its reprints rest on it")

    def content(self) -> dict[str, Any]:
        """Return the document. Raises Frozen when the stored text no longer matches its hash."""
        if hashlib.sha256(self.text.encode()).hexdigest() != self.sha256:
            raise Frozen(f"the document of {self.recommendation} does not match its hash")
        loaded: dict[str, Any] = json.loads(self.text)
        return loaded


class SettledCase(models.Model):
    """What a settled request teaches the next one: a class of bike, numbers and complaints, nothing of anybody. Kept
    in ``tuning.desk.similar``; it stays when the request is erased, then without a way back to it."""

    request = models.OneToOneField(SetupRequest, on_delete=models.SET_NULL, null=True, related_name="settled_case")
    settled_on = models.DateField()
    discipline = models.CharField(max_length=12, choices=Discipline.choices)
    front = models.CharField(max_length=14, choices=FrontArchitecture.choices)
    rear = models.CharField(max_length=14, choices=RearArchitecture.choices)
    # Digest of the model's name, so that the same model is found and nothing typed can be read; "" without a name.
    model_key = models.CharField(max_length=64, blank=True)
    # Front stroke in steps of 20 mm, 0 when it is not known.
    travel_band = models.PositiveSmallIntegerField(default=0)
    load_state = models.CharField(max_length=20)
    figures = models.JSONField(default=dict)
    symptoms = models.JSONField(default=list)
    # Derived key → value of the first and of the last round.
    start = models.JSONField(default=dict)
    end = models.JSONField(default=dict)
    rounds = models.PositiveSmallIntegerField()
    outcome = models.CharField(max_length=20, blank=True)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["model_key", "-settled_on", "-id"], name="settled_by_model"),
            models.Index(
                fields=["discipline", "front", "rear", "travel_band", "-settled_on", "-id"], name="settled_by_class"
            ),
        ]

    def __str__(self) -> str:
        return f"settled case {self.pk}"
