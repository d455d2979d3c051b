"""The Redis cache, for a service that can do without it.

Only counters of the throttles live in it. When Redis is away, pages must go on: nothing is counted, and each miss is
logged. (Cache calls of this project: ``add``, ``get``, ``incr``.)
"""

import logging
from typing import Any

from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError

logger = logging.getLogger(__name__)


class ForgivingRedisCache(RedisCache):
    """Redis's cache; while it is away everything looks as if it had just run out."""

    def add(self, key: Any, value: Any, *args: Any, **kwargs: Any) -> bool:
        try:
            return super().add(key, value, *args, **kwargs)
        except RedisError as error:
            logger.warning("the cache is away, nothing is counted: %s", error)
            return True

    def get(self, key: Any, default: Any = None, *args: Any, **kwargs: Any) -> Any:
        try:
            return super().get(key, default, *args, **kwargs)
        except RedisError as error:
            logger.warning("the cache is away, nothing is counted: %s", error)
            return default

    def incr(self, key: Any, *args: Any, **kwargs: Any) -> int:
        """Return the new count. Raises ValueError, as for a key that ran out, when Redis is away."""
        try:
            return super().incr(key, *args, **kwargs)
        except RedisError as error:
            raise ValueError(f"the cache is away: {error}") from error
