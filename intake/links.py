"""Private links: an HMAC over request, purpose and generation, so that a link can be mailed again and printed, and
every copy of it revoked by raising the generation."""

import base64
import hashlib
import hmac

from django.conf import settings
from django.db.models import F

from intake.choices import Purpose
from intake.models import SetupRequest
from intake.reference import PATTERN

_BYTES = 18  # 144 bits: beyond guessing, short enough for a QR code


def mac(reference: str, purpose: str, generation: int) -> str:
    """Return the token of a link: 24 URL-safe characters."""
    said = f"farpaddock-link|{purpose}|{reference}|{generation}".encode()
    digest = hmac.new(settings.LINK_KEY.encode(), said, hashlib.sha256).digest()
    return base64.urlsafe_b64encode(digest[:_BYTES]).decode()


def generation(request: SetupRequest, purpose: str) -> int:
    return request.report_generation if purpose == Purpose.REPORT else request.link_generation


def token(request: SetupRequest, purpose: str) -> str:
    """Return the token that is good for this request and purpose now."""
    return mac(request.reference, purpose, generation(request, purpose))


def link(request: SetupRequest, purpose: str) -> str:
    """Return the absolute address of the private link."""
    place = "report" if purpose == Purpose.REPORT else "r"
    return f"{settings.PUBLIC_URL}/{place}/{request.reference}/{token(request, purpose)}/"


def verify(reference: str, given: str, purpose: str) -> SetupRequest | None:
    """Return the request a link opens, or None. An unknown reference costs the same comparison as a wrong token."""
    request = None
    if PATTERN.match(reference):
        request = SetupRequest.objects.select_related("client").filter(reference=reference).first()
    wanted = token(request, purpose) if request else mac(reference, purpose, 0)
    fits = hmac.compare_digest(wanted.encode(), given.encode("utf-8", "surrogatepass"))
    return request if fits and request and request.erase_asked_at is None else None


def revoke_all(request: SetupRequest) -> None:
    """Make every link that was ever given out useless, the ones printed on sheets with them."""
    for purpose in Purpose.values:
        revoke(request, purpose)


def revoke(request: SetupRequest, purpose: str) -> None:
    """Make every link of this purpose that was ever given out useless."""
    field = "report_generation" if purpose == Purpose.REPORT else "link_generation"
    SetupRequest.objects.filter(pk=request.pk).update(**{field: F(field) + 1})
    request.refresh_from_db(fields=[field])
