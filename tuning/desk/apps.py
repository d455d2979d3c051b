from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "tuning.desk"
    label = "desk"
