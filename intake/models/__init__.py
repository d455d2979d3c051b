"""The intake's records, one file a subject."""

from intake.models.advice import Followed
from intake.models.bike import Adjuster, Bike, Setting
from intake.models.catalogue import CatalogueBike, CatalogueChange
from intake.models.exchange import Event, Message, OutboxMail, Question
from intake.models.people import Client, User
from intake.models.photos import Photo
from intake.models.readings import Answer, Reading, StepDraft, Symptom
from intake.models.requests import Round, SetupRequest

__all__ = [
    "Adjuster",
    "Answer",
    "Bike",
    "CatalogueBike",
    "CatalogueChange",
    "Client",
    "Event",
    "Followed",
    "Message",
    "OutboxMail",
    "Photo",
    "Question",
    "Reading",
    "Round",
    "Setting",
    "SetupRequest",
    "StepDraft",
    "Symptom",
    "User",
]
