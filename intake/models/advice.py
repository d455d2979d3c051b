"""What became of each change of a sheet, as the client says."""

from typing import ClassVar

from django.db import models

from intake.choices import Done
from intake.models.requests import Round


class Followed(models.Model):
    """The client's word on one change of the sheet before this round; no row: nothing was said of it.

    change: its key in ``Round.advised``. note: what was fitted or done instead, for a change without a number; where
    an adjuster was set otherwise stands with the settings.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="followed")
    change = models.CharField(max_length=120)
    done = models.CharField(max_length=10, choices=Done.choices)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "change"], name="one_word_per_change"),
        ]

    def __str__(self) -> str:
        return f"{self.change} {self.done}"
