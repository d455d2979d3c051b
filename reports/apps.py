from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"

    def ready(self) -> None:
        from reports import receivers  # noqa: F401  (follows the desk's approvals)
