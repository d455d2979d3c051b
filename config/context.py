"""What every template may show."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse


def shop(request: HttpRequest) -> dict[str, object]:
    return {"shop_name": settings.SHOP_NAME, "demo": settings.DEMO}


def language(request: HttpRequest) -> dict[str, object]:
    """Where a choice of language is sent: on a client's own pages it is kept with the client as well."""
    own = getattr(request, "own_request", None)
    action = reverse("intake:own_language", args=[own.reference]) if own else reverse("intake:language")
    return {"spoken_languages": settings.LANGUAGES, "language_action": action, "language_is_kept": own is not None}
