"""What every template may show."""

from django.conf import settings
from django.http import HttpRequest


def shop(request: HttpRequest) -> dict[str, object]:
    return {"shop_name": settings.SHOP_NAME, "demo": settings.DEMO}
