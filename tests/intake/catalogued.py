"""Invented bikes for the tests of the catalogue."""

from intake.models import CatalogueBike

KESTWICK = {
    "make": "Ostrell",
    "model": "Kestwick 450",
    "year_from": 2014,
    "year_to": 2019,
    "front": "coil",
    "rear": "direct",
    "values": {
        "bike_mass": {"value": 182.0, "half_width": 3.0, "source": "maker's data sheet"},
        "stroke.front": {"value": 210.0, "half_width": 2.0, "source": "maker's data sheet"},
        "stroke.rear": {"value": 200.0, "half_width": 2.0, "source": ""},
        "rake": {"value": 25.5, "half_width": 0.1, "source": ""},
        "tyre_pressure_manual.front": {"value": 220.0, "half_width": 5.0, "source": "manual"},
    },
    "adjusters": {
        "front.preload.left": {"unit": "turn", "counted_from": "open", "range": 12.0, "step_mm": 1.0, "place": "cap"},
        "front.preload.right": {
            "unit": "turn",
            "counted_from": "open",
            "range": 12.0,
            "step_mm": 1.0,
            "place": "cap",
        },
        "front.rebound.right": {
            "unit": "click",
            "counted_from": "closed",
            "range": 24.0,
            "step_mm": None,
            "place": "",
        },
        "rear.preload": {"unit": "step", "counted_from": "open", "range": 7.0, "step_mm": 2.5, "place": "body"},
    },
    "note": "",
}


def bike(**other) -> CatalogueBike:
    """Put a bike into the catalogue: the Kestwick, but for ``other``."""
    return CatalogueBike.objects.create(**{**KESTWICK, **other})
