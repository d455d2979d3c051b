"""Keep anew what every settled request teaches the next one like it: after an upgrade, or what was settled before."""

from typing import Any

from django.core.management.base import BaseCommand

from tuning.desk import similar


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{similar.rebuild()} settled cases kept")
