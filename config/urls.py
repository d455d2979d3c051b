from django.urls import URLPattern, URLResolver, include, path

from config.health import health

handler400 = "config.errors.bad_request"
handler404 = "config.errors.not_found"
handler500 = "config.errors.server_error"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("reports.urls")),
    path("", include("intake.urls")),
    path("desk/", include("tuning.desk.urls")),
    path("api/v1/desk/", include("tuning.desk.api.urls")),
    path("api/v1/", include("tuning.desk.api.engine_urls")),
    path("api/v1/", include("reports.api.urls")),
    path("api/", include("intake.api.urls")),
    path("healthz", health, name="health"),
]
