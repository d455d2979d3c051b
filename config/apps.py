from django.apps import AppConfig


class FarpaddockConfig(AppConfig):
    name = "config"
    label = "farpaddock"

    def ready(self) -> None:
        from config import checks  # noqa: F401  (registers the numbered system checks)
