"""Count anew how often each rule fired and was kept, edited or dropped: after an upgrade, or a rule's new name."""

from typing import Any

from django.core.management.base import BaseCommand

from tuning.desk import tallies


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        rounds = tallies.recount()
        self.stdout.write(f"{rounds} rounds counted")
