from django.urls import URLPattern, path

from reports import views

app_name = "reports"
urlpatterns: list[URLPattern] = [
    path("requests/<str:reference>/", views.status, name="status"),
    path("requests/<str:reference>/sheets/<int:pk>/", views.download, name="download"),
    path("guide/sheet/<slug:paper>.pdf", views.measuring_sheet, name="measuring_sheet"),
    path("desk/jobs/<int:pk>/retry/", views.retry, name="retry"),
    path("desk/sheets/<int:pk>/", views.desk_download, name="desk_download"),
]
