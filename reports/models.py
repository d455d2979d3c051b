"""Jobs that render sheets, and the sheets."""

from typing import ClassVar

from django.db import models
from django.utils import timezone

from intake.choices import Paper
from tuning.desk.models import ApprovedDocument


class Job(models.Model):
    """One sheet to render: unique by approved document, variant, language and paper.

    State:  queued → rendering (claimed: token, lease) → done
            rendering → queued (transient error, or the lease ran out and the sweeper took it back)
            rendering → failed (attempts used up, or an error that no retry mends) → queued (tuner's retry)
    """

    class State(models.TextChoices):
        QUEUED = "queued"
        RENDERING = "rendering"
        DONE = "done"
        FAILED = "failed"

    class Variant(models.TextChoices):
        SHEET = "sheet"

    document = models.ForeignKey(ApprovedDocument, on_delete=models.PROTECT, related_name="jobs")
    variant = models.CharField(max_length=12, choices=Variant.choices, default=Variant.SHEET)
    language = models.CharField(max_length=10, default="en")
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.A4)
    state = models.CharField(max_length=10, choices=State.choices, default=State.QUEUED)
    attempt = models.PositiveSmallIntegerField(default=0)
    claim_token = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    not_before = models.DateTimeField(default=timezone.now)
    dispatched_at = models.DateTimeField(null=True, blank=True)
    error_code = models.CharField(max_length=40, blank=True)
    error = models.CharField(max_length=500, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["document", "variant", "language", "paper"], name="one_job_per_sheet"),
        ]
        indexes: ClassVar = [models.Index(fields=["state", "lease_until"], name="job_sweep")]

    def __str__(self) -> str:
        return f"job {self.pk}: {self.state}"


class Sheet(models.Model):
    """The PDF a job made. The file's name carries its hash, so that storing never overwrites."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="sheet")
    file = models.FileField(upload_to="sheets/", max_length=200)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    pages = models.PositiveSmallIntegerField()
    created_at = models.DateTimeField(auto_now_add=True)

    #: Set by ``reports.services.sheets_of``: a later version of the same round's sheet is there.
    replaced: bool = False

    def __str__(self) -> str:
        return str(self.file)

    def number(self) -> str:
        """Return the number printed on the sheet, e.g. ``FP-7K3M-2Q/1.1``."""
        return str(self.job.document.content()["number"])
