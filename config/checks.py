"""Numbered system checks: what must hold before the service may run."""

import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.core.exceptions import ImproperlyConfigured

SHORTEST_KEY = 50
FONT_FOLDER = Path(settings.BASE_DIR) / "reports" / "fonts"
FONTS = ("Barlow-Regular.ttf", "Barlow-SemiBold.ttf", "Barlow-Bold.ttf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
PLACEHOLDERS = ("changeme", "change-me", "secret", "insecure", "example")


@register(Tags.security)
def secret_key_is_a_secret(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E001: the secret key is short or a placeholder."""
    key = settings.SECRET_KEY.lower()
    if len(key) >= SHORTEST_KEY and not any(word in key for word in PLACEHOLDERS):
        return []
    return [
        Error(
            f"FARPADDOCK_SECRET_KEY is shorter than {SHORTEST_KEY} characters or a placeholder",
            hint="python3 -c 'import secrets; print(secrets.token_urlsafe(50))' makes one.",
            id="farpaddock.E001",
        )
    ]


@register(Tags.security)
def no_debug_in_public(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E002: debug pages or demo accounts at a public address."""
    found: list[CheckMessage] = []
    for name in ("DEBUG", "DEMO"):
        if getattr(settings, name) and settings.HTTPS:
            found.append(
                Error(f"FARPADDOCK_{name} is on while FARPADDOCK_PUBLIC_URL is public (https)", id="farpaddock.E002")
            )
    return found


@register(Tags.files)
def media_folder_is_writable(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E004: the sheets have nowhere to go."""
    folder = Path(settings.MEDIA_ROOT)
    nearest = next(path for path in (folder, *folder.parents) if path.exists())
    if nearest.is_dir() and os.access(nearest, os.W_OK):
        return []
    return [Error(f"{folder} cannot be written to", hint="Set FARPADDOCK_MEDIA_DIR.", id="farpaddock.E004")]


@register(Tags.files)
def fonts_are_there(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E005: without the shipped fonts a sheet would come out in whatever the machine has."""
    lacking = [name for name in FONTS if not (FONT_FOLDER / name).is_file()]
    if not lacking:
        return []
    return [Error(f"fonts are missing from reports/fonts: {', '.join(lacking)}", id="farpaddock.E005")]


@register(Tags.caches)
def throttle_rates_can_be_read(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E006: a throttle rate is not of the form count/window."""
    from config.throttling import rate

    found: list[CheckMessage] = []
    for scope in settings.THROTTLE_RATES:
        try:
            rate(scope)
        except ImproperlyConfigured as error:
            found.append(Error(str(error), id="farpaddock.E006"))
    return found


@register(Tags.caches)
def broker_is_shared(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.W003: PostgreSQL with a broker made of files: right on one machine only."""
    postgres = "postgresql" in settings.DATABASES["default"]["ENGINE"]
    if postgres and settings.CELERY_BROKER_URL.startswith("farpaddock-files:"):
        return [
            Warning(
                "the broker is a folder; worker and web must share this machine",
                hint="Set FARPADDOCK_REDIS_URL.",
                id="farpaddock.W003",
            )
        ]
    return []
