from django.urls import URLPattern, path

from intake.views import answers, doors, form, guides, language, live, pages, photos, talk

app_name = "intake"
urlpatterns: list[URLPattern] = [
    path("", pages.home, name="home"),
    path("start/", pages.start, name="start"),
    path("r/<str:reference>/<str:mac>/", doors.open_full, name="open"),
    path("report/<str:reference>/<str:mac>/", doors.open_report, name="open_report"),
    path("language/", language.choose, name="language"),
    path("requests/<str:reference>/language/", language.choose_own, name="own_language"),
    path("lost-link/", doors.lost_link, name="lost_link"),
    path("requests/<str:reference>/round/<int:n>/photos/", photos.page, name="photos"),
    path("requests/<str:reference>/round/<int:n>/<str:step>/", form.step, name="step"),
    path("requests/<str:reference>/more/", form.more, name="more"),
    path("requests/<str:reference>/round/<int:n>/<str:step>/look/", live.look, name="look"),
    path("requests/<str:reference>/forget/", live.forget, name="forget"),
    path("worker.js", live.worker, name="worker"),
    path("requests/<str:reference>/photos/<int:pk>/", photos.fetch, name="photo"),
    path("desk/photos/<int:pk>/", photos.desk_fetch, name="desk_photo"),
    path("requests/<str:reference>/messages/", talk.message, name="message"),
    path("requests/<str:reference>/questions/<int:pk>/", answers.answer, name="answer"),
    path("requests/<str:reference>/questions/<int:pk>/beyond/", answers.beyond, name="beyond"),
    path("requests/<str:reference>/answers/", answers.send, name="send_answers"),
    path("requests/<str:reference>/again/", answers.come_back, name="come_back"),
    path("requests/<str:reference>/sent/", pages.sent, name="sent"),
    path("guide/", guides.index, name="guides"),
    path("guide/sheet/", guides.sheet, name="guide_sheet"),
    path("guide/<slug:name>/", guides.guide, name="guide"),
    path("demo/mail/", pages.demo_mail, name="demo_mail"),
]
