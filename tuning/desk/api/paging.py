"""Keyset paging of the queue."""

from typing import Any

from django.utils.dateparse import parse_datetime
from rest_framework.exceptions import NotFound
from rest_framework.pagination import Cursor, CursorPagination


class QueuePagination(CursorPagination):
    """Longest waiting first."""

    page_size = 50
    ordering = ("waiting_since", "id")

    def decode_cursor(self, request: Any) -> Cursor | None:
        """Return the place in the queue. Raises NotFound for anything this service did not write itself."""
        cursor = super().decode_cursor(request)
        if cursor is not None and cursor.position is not None:
            try:
                known = parse_datetime(str(cursor.position))
            except ValueError:
                known = None
            if known is None or known.tzinfo is None:
                raise NotFound(self.invalid_cursor_message)
        return cursor
