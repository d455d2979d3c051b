"""The sweeper is on the beat, under the name it is registered by."""

from django.conf import settings

from config.celery import app
from reports import tasks


def test_the_sweeper_runs_on_the_beat() -> None:
    entries = [entry for entry in settings.CELERY_BEAT_SCHEDULE.values() if entry["task"] == tasks.sweep.name]
    assert [entry["schedule"] for entry in entries] == [settings.SWEEP_SECONDS]
    app.loader.import_default_modules()
    assert {tasks.sweep.name, tasks.render_sheet.name} <= set(app.tasks)
