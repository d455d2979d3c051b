"""Tuners, who log in, and clients, who do not."""

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models

from intake.choices import LengthUnit, MassUnit, Paper, PressureUnit, RateUnit, Role, TorqueUnit


class User(AbstractUser):
    """A tuner of the shop. ``display_name`` is what stands on the sheet."""

    role = models.CharField(max_length=10, choices=Role.choices, default=Role.TUNER)
    display_name = models.CharField(max_length=80, blank=True)

    def signature(self) -> str:
        return self.display_name or self.get_full_name() or self.username


class Client(models.Model):
    """A rider who sent a request: how to reach them, in which language and units they read and write."""

    name = models.CharField(max_length=80, blank=True)
    email = models.EmailField(blank=True)
    language = models.CharField(max_length=10, default="en")
    length_unit = models.CharField(max_length=4, choices=LengthUnit.choices, default=LengthUnit.MM)
    mass_unit = models.CharField(max_length=4, choices=MassUnit.choices, default=MassUnit.KG)
    pressure_unit = models.CharField(max_length=6, choices=PressureUnit.choices, default=PressureUnit.BAR)
    rate_unit = models.CharField(max_length=8, choices=RateUnit.choices, default=RateUnit.N_MM)
    torque_unit = models.CharField(max_length=8, choices=TorqueUnit.choices, default=TorqueUnit.NM)
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.A4)
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name or self.email or f"client {self.pk}"

    def speaks(self) -> str:
        """Return the name of the client's language, in itself; its code where the pages do not speak it."""
        known = dict(settings.LANGUAGES)
        return str(known.get(self.language) or known.get(self.language.partition("-")[0]) or self.language)

    def unit_of(self, dimension: str) -> str:
        """Return the id of the unit this client uses for a dimension of ``tuning.engine.units``."""
        chosen = {
            "length": self.length_unit,
            "mass": self.mass_unit,
            "pressure": self.pressure_unit,
            "rate": self.rate_unit,
            "torque": self.torque_unit,
        }
        return str(chosen.get(dimension, {"angle": "deg", "ratio": "1", "count": "1"}.get(dimension, "1")))
