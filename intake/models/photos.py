"""Photos and the short video that go with a round."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from intake.models.requests import Round


class Photo(models.Model):
    """One photo or video of a round, kept under a name of our own; nothing of the sender's name for it is known.

    A photo is the one we wrote ourselves (``intake.photos.reencode``); a video is kept as it was sent.
    """

    class Kind(models.TextChoices):
        PHOTO = "photo", _("photo")
        VIDEO = "video", _("video")

    class ContentType(models.TextChoices):
        JPEG = "image/jpeg"
        MP4 = "video/mp4"
        MOV = "video/quicktime"
        WEBM = "video/webm"

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="photos")
    kind = models.CharField(max_length=5, choices=Kind.choices)
    file = models.FileField(upload_to="photos/", max_length=120)
    content_type = models.CharField(max_length=15, choices=ContentType.choices)
    # Of the stored bytes: the same photo sent twice is kept once.
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    # What is to be seen, in the client's words: read out to whoever cannot see it.
    alt = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["kind", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["round", "sha256"], name="photo_kept_once"),
            models.CheckConstraint(condition=Q(size__gte=1), name="photo_not_empty"),
        ]

    def __str__(self) -> str:
        return f"{self.round} {self.kind} {self.pk}"

    @property
    def is_video(self) -> bool:
        return self.kind == self.Kind.VIDEO
