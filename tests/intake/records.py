"""A round fit to be sent, recorded through the services. Lengths in mm, worked so that the sags are round numbers."""

from django.utils import timezone

from intake.models import Round, SetupRequest, User
from intake.services import readings, requests
from tuning.engine.vocabulary import STOP_QUESTIONS

#: Front: topped out 600, bike alone 570 (sag 30), rider aboard 560 (sag 40).
LENGTHS = {
    "length_topped_out": ("bike_alone", "600"),
    "length_bike_alone": ("bike_alone", "570"),
    "length_rider_aboard": ("solo", "560"),
}


def begun(**preferences: str) -> Round:
    """Return the open first round of a new request."""
    made = requests.start_request(name="Nell Arkwright", email="nell@riders.example", **preferences)
    round_ = made.round()
    round_.request = made
    return round_


def read(round_: Round, quantity: str, text: str, unit: str = "mm", end: str = "", **more: object) -> None:
    readings.record_reading(round_, quantity=quantity, end=end, text=text, unit=unit, **more)  # type: ignore[arg-type]


def measured(round_: Round, end: str = "front") -> None:
    """Give a round the three lengths of one end and the rider's mass."""
    for quantity, (load_state, text) in LENGTHS.items():
        read(round_, quantity, text, end=end, load_state=load_state)
    read(round_, "rider_mass", "85", "kg")


def ready() -> Round:
    """Return a first round that may be sent."""
    round_ = begun()
    for question in STOP_QUESTIONS:
        readings.answer(round_, question, "", "no")
    requests.describe_aim(round_.request, discipline="road_sport")
    request = round_.request
    request.consent_at = timezone.now()
    request.save(update_fields=["consent_at"])
    measured(round_)
    return round_


def tuner(name: str = "sanne") -> User:
    return User.objects.create_user(name, password="a-long-pass-phrase", display_name=name.title())


def again(request: SetupRequest) -> SetupRequest:
    """Return the request as the database has it now, as another person would read it."""
    return SetupRequest.objects.select_related("client", "bike").get(pk=request.pk)
