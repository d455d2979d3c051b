from django.urls import path, register_converter
from django.urls.converters import IntConverter

from reports.api import views


class RowConverter(IntConverter):
    """A row's number as the database can hold it."""

    regex = "[0-9]{1,18}"


register_converter(RowConverter, "row")

app_name = "reports-api"
urlpatterns = [
    path("requests/<str:reference>/sheet/", views.SheetView.as_view(), name="sheet"),
    path("desk/requests/<str:reference>/jobs/", views.JobsView.as_view(), name="jobs"),
    path("desk/jobs/<row:pk>/retry/", views.RetryView.as_view(), name="retry"),
]
