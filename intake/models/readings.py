"""Readings, answers, symptoms, and the raw text of every step as it was typed."""

from typing import Any, ClassVar

from django.db import models
from django.db.models import Q

from intake.choices import ShortStep, Step
from intake.models.requests import Round

#: The fields that say what a reading is of; one current reading per combination.
KEY_FIELDS = ("round", "quantity", "end", "leg", "load_state", "approach", "repeat")


class Immutable(Exception):
    """An append-only or frozen record was to be changed."""


class Reading(models.Model):
    """One measured number, append-only: a correction is a new row that supersedes the old.

    ``text`` and ``unit`` are as typed; ``value`` and ``half_width`` (rectangular) are canonical.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="readings")
    quantity = models.CharField(max_length=32)
    end = models.CharField(max_length=5, blank=True)
    leg = models.CharField(max_length=5, blank=True)
    load_state = models.CharField(max_length=16, blank=True)
    approach = models.CharField(max_length=12, default="as_is")
    repeat = models.PositiveSmallIntegerField(default=1)
    text = models.CharField(max_length=60)
    unit = models.CharField(max_length=10)
    value = models.FloatField()
    half_width = models.FloatField()
    method = models.CharField(max_length=12, blank=True)
    parser_version = models.CharField(max_length=8)
    superseded_by = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    is_current = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=list(KEY_FIELDS), condition=Q(is_current=True), name="one_current_reading"
            ),
            models.CheckConstraint(condition=Q(half_width__gte=0), name="half_width_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.key()} {self.text} {self.unit}"

    def key(self) -> str:
        """Return the engine's name for what this is of, e.g. ``length_topped_out.front``."""
        return ".".join(part for part in (self.quantity, self.end, self.leg) if part)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Only an insert, or the marking as superseded, is allowed."""
        if self.pk is not None and set(kwargs.get("update_fields") or ["value"]) - {
            "superseded_by",
            "is_current",
        }:
            raise Immutable("a reading is never changed; record a new one that supersedes it")
        super().save(*args, **kwargs)


class Answer(models.Model):
    """A question of the form answered by choice: stop gate, bottoming, hardness of the ride, settle test."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="answers")
    question = models.CharField(max_length=40)
    end = models.CharField(max_length=5, blank=True)
    value = models.CharField(max_length=40)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "question", "end"], name="one_answer_per_question"),
        ]

    def __str__(self) -> str:
        return f"{self.question} {self.end} {self.value}".replace("  ", " ")


class Symptom(models.Model):
    """A complaint out of the vocabulary; in later rounds ``change`` says how it has gone since."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="symptoms")
    symptom = models.CharField(max_length=40)
    end = models.CharField(max_length=5, blank=True)
    severity = models.PositiveSmallIntegerField(default=2)
    change = models.CharField(max_length=8, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "symptom", "end"], name="one_row_per_symptom"),
            models.CheckConstraint(condition=Q(severity__gte=1) & Q(severity__lte=3), name="severity_one_to_three"),
        ]

    def __str__(self) -> str:
        return f"{self.symptom} {self.end} {self.severity}"


class StepDraft(models.Model):
    """A step's fields exactly as typed. Every save is a new version: nothing typed is ever lost."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="drafts")
    step = models.CharField(max_length=12, choices=[*Step.choices, *ShortStep.choices])
    version = models.PositiveIntegerField()
    fields = models.JSONField()
    # Whether the step could be read into records; otherwise the form shows it again with its questions.
    complete = models.BooleanField(default=False)
    # Typed in a tab that another had overtaken: kept and shown beside what stands, but not what stands.
    aside = models.BooleanField(default=False)
    saved_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "step", "version"], name="one_draft_per_version"),
        ]

    def __str__(self) -> str:
        return f"{self.round} {self.step} v{self.version}"
