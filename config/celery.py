"""The Celery application. The job and outbox tables, not the broker, say what is still to be done."""

import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
TRANSPORT_ALIASES["farpaddock-files"] = "config.filebroker:Transport"

app = Celery("farpaddock")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
