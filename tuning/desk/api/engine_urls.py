from django.urls import path

from tuning.desk.api import engine

app_name = "engine-api"
urlpatterns = [
    path("engine/derive/", engine.DeriveView.as_view(), name="derive"),
    path("engine/whatif/", engine.WhatIfView.as_view(), name="whatif"),
    path("engine/solve/", engine.SolveView.as_view(), name="solve"),
    path("engine/learn/", engine.LearnView.as_view(), name="learn"),
    path("engine/curve/", engine.CurveView.as_view(), name="curve"),
    path("schemas/", engine.SchemasView.as_view(), name="schemas"),
    path("schemas/<str:name>.json", engine.SchemaView.as_view(), name="schema"),
]
