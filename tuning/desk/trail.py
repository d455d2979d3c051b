"""The trail of a request's events, as the tuner reads it on the case page."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.models import Event

#: Event kind → its sentence.
EVENTS: Mapping[str, Any] = {
    "sent": _("Round %(round)s sent by the client"),
    "stop_told": _("Round %(round)s, stop gate: the client tells of %(stops)s"),
    "stop_cleared": _("Round %(round)s, stop gate: put right since, says the client: %(stops)s"),
    "taken": _("Taken by %(who)s"),
    "taken_over": _("Taken over by %(who)s from %(former)s"),
    "released": _("Put back in the queue by %(who)s"),
    "drafted": _("Draft for round %(round)s begun by %(who)s"),
    "approved": _("%(number)s approved by %(who)s"),
    "question": _("Question asked by %(who)s"),
    "question_beyond": _("The client says that a question cannot be answered"),
    "message": _("Message from %(who)s"),
    "sheet_ready": _("Sheet %(number)s printed, the client told"),
    "sheet_downloaded": _("Sheet downloaded by the client"),
    "sheet_retried": _("Printing tried again by %(who)s"),
    "settled": _("Settled by %(who)s"),
    "links_renewed": _("All links ended by the client, a new one made"),
    "erased": _("Everything erased by the client"),
}


def event_text(event: Event) -> str:
    """Return an event in one sentence."""
    told = {
        "who": event.actor.signature() if event.actor else _nobody(event.kind),
        "round": event.params.get("round", ""),
        "number": event.params.get("number", ""),
        "former": event.params.get("from", ""),
        "stops": ", ".join(str(words.STOP_REASONS[one]) for one in event.params.get("questions", ())),
    }
    return str(EVENTS[event.kind]) % told


def _nobody(kind: str) -> str:
    """Return who acted where no tuner is named: the client writes messages; else the tuner has left the shop."""
    return now("the client") if kind == "message" else now("a former tuner")
