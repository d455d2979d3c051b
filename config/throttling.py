"""Counts per window, kept in the cache that all web processes share."""

from typing import Any

from django.conf import settings
from rest_framework.throttling import SimpleRateThrottle


class SharedThrottle(SimpleRateThrottle):
    """A throttle whose rate is read from ``settings.THROTTLE_RATES`` by its scope."""

    def get_rate(self) -> str:
        return str(settings.THROTTLE_RATES[str(self.scope)])

    def get_cache_key(self, request: Any, view: Any) -> str:
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}


class ApiThrottle(SharedThrottle):
    scope = "api"
