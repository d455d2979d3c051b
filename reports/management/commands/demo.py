"""``manage.py demo``: builds the invented scenario; running it again changes nothing."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from intake import links
from intake.choices import Purpose
from intake.models import SetupRequest
from reports.demo import dirt_and_old, road, rounds
from reports.demo.build import PASSWORD, build
from reports.demo.stories import TUNERS


class Command(BaseCommand):
    help = "Build the demo: an invented shop with riders in different disciplines and states. Idempotent."

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("the demo's accounts have a known pass phrase; it runs only with FARPADDOCK_DEMO=1")
        made, found = build([*road.STORIES, *dirt_and_old.STORIES, *rounds.STORIES])
        self.stdout.write(f"Demo: {made} requests made, {found} already there.")
        for username, name, role in TUNERS:
            self.stdout.write(f"  tuner's desk  {username:6} {PASSWORD}   ({name}, {role})")
        for request in SetupRequest.objects.select_related("client").order_by("id")[:3]:
            self.stdout.write(f"  {request.client.name:18} {links.link(request, Purpose.FULL)}")
