from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "intake"

    def ready(self) -> None:
        from intake import personal  # noqa: F401  (registers the check of the personal-data register)
