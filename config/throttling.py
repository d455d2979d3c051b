"""Counts per window, kept in the cache that all web processes share.

A window is fixed (it starts on the clock, not on the first call), so that one counter per window is enough and
counting is one atomic step on Redis. On the database cache two calls at the very same moment may count as one: the
embedded set-up lets a few more through, never fewer.
"""

import functools
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render
from rest_framework.throttling import BaseThrottle

_SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86400}
View = Callable[..., HttpResponseBase]


def rate(scope: str) -> tuple[int, int]:
    """Return (count, seconds) of a scope in ``settings.THROTTLE_RATES``. Raises ImproperlyConfigured."""
    text = settings.THROTTLE_RATES[scope]
    count, _, window = text.partition("/")
    if not count.isdigit() or int(count) < 1 or window not in _SECONDS:
        raise ImproperlyConfigured(f"throttle rate {scope}={text!r}: write it like 30/minute ({', '.join(_SECONDS)})")
    return int(count), _SECONDS[window]


def address(request: Any) -> str:
    """Return who calls: the address before our own proxies, as many as ``NUM_PROXIES`` says."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    if settings.NUM_PROXIES and forwarded:
        hops = [hop.strip() for hop in forwarded.split(",")]
        return str(hops[-min(settings.NUM_PROXIES, len(hops))])
    return str(request.META.get("REMOTE_ADDR", ""))


def wait_after_counting(scope: str, who: str) -> int:
    """Count one call; return 0 when it is within the rate, else the seconds until the window ends."""
    limit, seconds = rate(scope)
    now = int(time.time())
    key = f"throttle:{scope}:{now // seconds}:{who}".replace(" ", "_")[:230]
    cache.add(key, 0, timeout=seconds + 5)
    try:
        count = cache.incr(key)
    except ValueError:  # the window ended between the two calls
        return 0
    return 0 if count <= limit else seconds - now % seconds


class SharedThrottle(BaseThrottle):
    """A DRF throttle counted by address; its scope names the rate."""

    scope = ""

    def allow_request(self, request: Any, view: Any) -> bool:
        self._wait = wait_after_counting(self.scope, address(request))
        return not self._wait

    def wait(self) -> float:
        return float(self._wait)


class ApiThrottle(SharedThrottle):
    scope = "api"


class ApiCreateThrottle(SharedThrottle):
    scope = "api-create"


def throttled(scope: str, methods: tuple[str, ...] = ("POST",)) -> Callable[[View], View]:
    """Answer 429, with a page and Retry-After, to callers of a view beyond the scope's rate."""

    def decorate(view: View) -> View:
        @functools.wraps(view)
        def counted(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if request.method in methods:
                wait = wait_after_counting(scope, address(request))
                if wait:
                    answer = render(request, "429.html", {"wait": wait, "language_next": "/"}, status=429)
                    answer["Retry-After"] = str(wait)
                    return answer
            return view(request, *args, **kwargs)

        return counted

    return decorate
