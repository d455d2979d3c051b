from django.urls import path

from tuning.desk.api import practice, views

app_name = "desk-api"
urlpatterns = [
    path("requests/", views.QueueView.as_view(), name="queue"),
    path("practice/", practice.PracticeView.as_view(), name="practice"),
    path("practice/versions/", practice.VersionsView.as_view(), name="practice_versions"),
    path("requests/<str:reference>/derivation/", views.DerivationView.as_view(), name="derivation"),
    path("requests/<str:reference>/causes/", views.CausesView.as_view(), name="causes"),
    path("requests/<str:reference>/take/", views.TakeView.as_view(), name="take"),
    path("requests/<str:reference>/draft/", views.DraftView.as_view(), name="draft"),
    path("requests/<str:reference>/approve/", views.ApproveView.as_view(), name="approve"),
]
