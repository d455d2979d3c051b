"""The API as the client and the public see it, with its description."""

from django.urls import path

from intake.api import photos, views
from intake.api.docs import DocsView, SchemaView

app_name = "api"
urlpatterns = [
    path("schema/", SchemaView.as_view(), name="schema"),
    path("docs/", DocsView.as_view(url_name="api:schema"), name="docs"),
    path("v1/requests/", views.RequestsView.as_view(), name="requests"),
    path("v1/requests/<str:reference>/", views.RequestView.as_view(), name="request"),
    path("v1/requests/<str:reference>/readings/", views.ReadingsView.as_view(), name="readings"),
    path("v1/requests/<str:reference>/send/", views.SendView.as_view(), name="send"),
    path("v1/requests/<str:reference>/photos/", photos.PhotosView.as_view(), name="photos"),
    path("v1/requests/<str:reference>/photos/<str:photo>/", photos.PhotoView.as_view(), name="photo"),
]
