from django.urls import URLPattern, path

from reports import views
from reports.own import views as own

app_name = "reports"
urlpatterns: list[URLPattern] = [
    path("requests/<str:reference>/", views.status, name="status"),
    path("requests/<str:reference>/sheets/<int:pk>/", views.download, name="download"),
    path("requests/<str:reference>/data/", own.download, name="own_data"),
    path("requests/<str:reference>/erase/", own.erase, name="erase"),
    path("requests/<str:reference>/links/", own.new_links, name="new_links"),
    path("guide/sheet/<slug:paper>.pdf", views.measuring_sheet, name="measuring_sheet"),
    path("desk/jobs/<int:pk>/retry/", views.retry, name="retry"),
    path("desk/sheets/<int:pk>/", views.desk_download, name="desk_download"),
]
