from django.urls import URLPattern, path

from intake.views import doors, form, guides, live, pages, photos, talk

app_name = "intake"
urlpatterns: list[URLPattern] = [
    path("", pages.home, name="home"),
    path("start/", pages.start, name="start"),
    path("r/<str:reference>/<str:mac>/", doors.open_full, name="open"),
    path("report/<str:reference>/<str:mac>/", doors.open_report, name="open_report"),
    path("lost-link/", doors.lost_link, name="lost_link"),
    path("requests/<str:reference>/round/<int:n>/photos/", photos.page, name="photos"),
    path("requests/<str:reference>/round/<int:n>/<str:step>/", form.step, name="step"),
    path("requests/<str:reference>/round/<int:n>/<str:step>/look/", live.look, name="look"),
    path("requests/<str:reference>/forget/", live.forget, name="forget"),
    path("worker.js", live.worker, name="worker"),
    path("requests/<str:reference>/photos/<int:pk>/", photos.fetch, name="photo"),
    path("desk/photos/<int:pk>/", photos.desk_fetch, name="desk_photo"),
    path("requests/<str:reference>/messages/", talk.message, name="message"),
    path("requests/<str:reference>/sent/", pages.sent, name="sent"),
    path("guide/", guides.index, name="guides"),
    path("guide/sheet/", guides.sheet, name="guide_sheet"),
    path("guide/<slug:name>/", guides.guide, name="guide"),
    path("demo/mail/", pages.demo_mail, name="demo_mail"),
]
