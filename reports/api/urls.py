from django.urls import path

from reports.api import views

app_name = "reports-api"
urlpatterns = [
    path("requests/<str:reference>/sheet/", views.SheetView.as_view(), name="sheet"),
    path("desk/requests/<str:reference>/jobs/", views.JobsView.as_view(), name="jobs"),
    path("desk/jobs/<str:job>/retry/", views.RetryView.as_view(), name="retry"),
]
