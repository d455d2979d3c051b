from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "tuning.desk"
    label = "desk"

    def ready(self) -> None:
        from tuning.desk import receivers  # noqa: F401  (follows the intake's settlings)
