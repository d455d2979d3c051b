"""Whether this process can do its work, for the proxy and for whoever starts it."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe


@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """Answer 200 when the database answers, 503 when it does not."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"database": "away"}, status=503)
    return JsonResponse({"database": "answers"})
