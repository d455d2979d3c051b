from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("reports.urls")),
    path("", include("intake.urls")),
    path("desk/", include("tuning.desk.urls")),
    path("api/", include("intake.api.urls")),
]
