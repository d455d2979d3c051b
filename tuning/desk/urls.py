from django.urls import URLPattern, path

from tuning.desk.views import asking, case, catalogue, door, draft, practice, queue, rules

app_name = "desk"
urlpatterns: list[URLPattern] = [
    path("", queue.show, name="queue"),
    path("rules/", rules.show, name="rules"),
    path("practice/", practice.overview, name="practice"),
    path("practice/history/", practice.history, name="practice_history"),
    path("practice/history/<int:number>/", practice.version, name="practice_version"),
    path("practice/history/<int:number>/back/", practice.go_back, name="practice_back"),
    path("practice/export.json", practice.export, name="practice_export"),
    path("practice/import/", practice.take_in, name="practice_import"),
    path("practice/<slug:table>/", practice.table, name="practice_table"),
    path("catalogue/", catalogue.listed, name="catalogue"),
    path("catalogue/add/", catalogue.add, name="catalogue_add"),
    path("catalogue/import/", catalogue.take_in, name="catalogue_import"),
    path("catalogue/trail/", catalogue.trail, name="catalogue_trail"),
    path("catalogue/export.csv", catalogue.export, {"form": "csv"}, name="catalogue_csv"),
    path("catalogue/export.json", catalogue.export, {"form": "json"}, name="catalogue_json"),
    path("catalogue/<int:pk>/", catalogue.one, name="catalogue_bike"),
    path("catalogue/<int:pk>/remove/", catalogue.remove, name="catalogue_remove"),
    path("login/", door.Login.as_view(), name="login"),
    path("logout/", door.Logout.as_view(), name="logout"),
    path("requests/<str:reference>/", case.show, name="case"),
    path("requests/<str:reference>/take/", case.take, name="take"),
    path("requests/<str:reference>/take-over/", case.take_over, name="take_over"),
    path("requests/<str:reference>/release/", case.release, name="release"),
    path("requests/<str:reference>/settle/", case.settle, name="settle"),
    path("requests/<str:reference>/message/", case.say, name="say"),
    path("requests/<str:reference>/ask/", asking.ask, name="ask"),
    path("requests/<str:reference>/draft/", case.start_draft, name="start_draft"),
    path("requests/<str:reference>/draft/<int:pk>/", draft.edit, name="draft"),
    path("requests/<str:reference>/draft/<int:pk>/approve/", draft.approve, name="approve"),
    path("requests/<str:reference>/draft/<int:pk>/anew/", draft.anew, name="anew"),
    path("requests/<str:reference>/draft/<int:pk>/correct/", draft.correct, name="correct"),
]
