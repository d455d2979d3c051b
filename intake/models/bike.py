"""The client's bike, its adjusters and where each of them stands."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from intake.choices import FrontArchitecture, RearArchitecture, SettingKind
from intake.models.catalogue import CatalogueBike
from intake.models.requests import Round, SetupRequest


class Bike(models.Model):
    """The bike a request is about. Its numbers (rake, stroke, masses …) are readings."""

    request = models.OneToOneField(SetupRequest, on_delete=models.CASCADE, related_name="bike")
    name = models.CharField(max_length=80, blank=True)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    front = models.CharField(max_length=14, choices=FrontArchitecture.choices, default=FrontArchitecture.COIL)
    rear = models.CharField(max_length=14, choices=RearArchitecture.choices, default=RearArchitecture.LINKAGE)
    front_tyre = models.CharField(max_length=40, blank=True)
    rear_tyre = models.CharField(max_length=40, blank=True)
    service = models.TextField(blank=True, max_length=1000)
    modifications = models.TextField(blank=True, max_length=1000)
    # Which bike of the catalogue the client chose, when, and what it said then (``intake.catalogue.prefill.Facts``).
    catalogue = models.ForeignKey(CatalogueBike, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    catalogue_at = models.DateTimeField(null=True, blank=True)
    from_catalogue = models.JSONField(default=dict, blank=True)

    def __str__(self) -> str:
        return self.name or f"bike of {self.request_id}"


class Adjuster(models.Model):
    """One adjuster of the bike; ``key`` is ``end.kind`` or ``end.kind.leg`` as the engine names it.

    ``counted_from``: "closed" (turned in, clockwise, then counted out) or "open". ``range_counted``: stops
    from end to end as the client counted them. ``step_mm``: what one unit moves, where known.
    """

    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="adjusters")
    key = models.CharField(max_length=40)
    kind = models.CharField(max_length=20)
    end = models.CharField(max_length=5)
    leg = models.CharField(max_length=5, blank=True)
    place = models.CharField(max_length=20, blank=True)
    unit = models.CharField(max_length=6)
    counted_from = models.CharField(max_length=6, default="closed")
    range_counted = models.FloatField(null=True, blank=True)
    step_mm = models.FloatField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["bike", "key"], name="one_adjuster_per_key"),
            models.CheckConstraint(condition=Q(end__in=["front", "rear"]), name="adjuster_has_an_end"),
        ]

    def __str__(self) -> str:
        return self.key


class Setting(models.Model):
    """Where an adjuster stood, should stand, or was put, in one round. Append-only like a reading."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="settings")
    adjuster = models.ForeignKey(Adjuster, on_delete=models.PROTECT, related_name="settings")
    kind = models.CharField(max_length=12, choices=SettingKind.choices)
    value = models.FloatField(null=True, blank=True)
    # A mode's name where the adjuster has no number.
    mode = models.CharField(max_length=40, blank=True)
    text = models.CharField(max_length=60, blank=True)
    superseded_by = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    is_current = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["round", "adjuster", "kind"], condition=Q(is_current=True), name="one_current_setting"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.adjuster} {self.kind} {self.mode or self.value}"
