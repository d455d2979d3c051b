"""Why a file is not taken, in words that name the limit and the way out."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.photos import limits, reencode

REFUSALS: Mapping[str, Any] = {
    "empty": _("The file is empty. Choose it again."),
    "unknown_kind": _(
        "This is neither a photo (JPEG, PNG, WebP, HEIC) nor a video (MP4, MOV, WebM). Take a photo or a screenshot "
        "of it and send that."
    ),
    "not_readable": _("This photo cannot be read; it may be damaged. Take it again, or send a screenshot of it."),
    "photo_too_large": _(
        "This photo is larger than %(photo_mb)d MB. Set the camera to a smaller picture, or send a screenshot of it."
    ),
    "too_many_pixels": _(
        "This photo has more than %(megapixels)d million pixels or a side of more than %(side)d. Set the camera to a "
        "smaller picture, or send a screenshot of it."
    ),
    "video_too_large": _(
        "This video is larger than %(video_mb)d MB. Cut it to the few seconds that show the settle test, or film it "
        "again at 720p."
    ),
    "too_many_photos": _("There are %(photos)d photos already, which is the most. Remove one to add another."),
    "too_many_videos": _("There is a video already. Remove it to send another."),
    "form_too_large": _(
        "That was more than %(form_mb)d MB at once, and nothing of it was kept. Send fewer files at a time."
    ),
    "out_of_time": _("There was no time left for this one. Choose it again and send it by itself."),
    "interrupted": _("The file did not arrive whole. Choose it again."),
}


class Refused(Exception):
    """A file is not taken; ``reason`` is the id of the refusal."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def words(self) -> str:
        return str(REFUSALS[self.reason]) % {
            "photos": limits.MOST_PHOTOS,
            "photo_mb": limits.PHOTO_BYTES // limits.MEGABYTE,
            "video_mb": limits.VIDEO_BYTES // limits.MEGABYTE,
            "form_mb": limits.FORM_BYTES // limits.MEGABYTE,
            "megapixels": reencode.MOST_PIXELS // 1_000_000,
            "side": reencode.MOST_SIDE,
        }
