"""The conversation between shop and client."""

from collections.abc import Sequence

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from intake import links
from intake.choices import Purpose, RequestState
from intake.mailbox import queue_mail, queue_word_to_tuner
from intake.models import Event, Message, SetupRequest, User
from intake.services import asking
from intake.services.asking import Ask


@transaction.atomic
def post_message(
    request: SetupRequest,
    *,
    body: str,
    author: User | None = None,
    step: str = "",
    question: bool = False,
    asks: Sequence[Ask] = (),
) -> Message:
    """Add a line to the conversation; from the client when there is no author.

    A tuner's question moves the request to ``question``. What it asks for is in ``asks``, each with the step of the
    form that answers it; without any it is the body itself, which may lead to one ``step``. A client's line answers
    what no step does, and puts the request back in the queue. Whoever is written to is told by mail, once.
    """
    # Whoever sends a report at this moment goes first or second, never at once.
    held = SetupRequest.objects.select_for_update(of=("self",)).only("state", "waiting_since", "current_round")
    now = held.get(pk=request.pk)
    request.state, request.waiting_since, request.current_round = now.state, now.waiting_since, now.current_round
    body = body.strip()
    asks = (tuple(asks) or (Ask(body, step),)) if question else ()
    message = Message.objects.create(
        request=request,
        author=author,
        from_client=author is None,
        body=body,
        step=step or next((ask.step for ask in asks if ask.step), ""),
    )
    if asks:
        asking.put(message, asks, request.round())
    Event.objects.create(
        request=request, kind="question" if question else "message", actor=author, params={"step": message.step}
    )
    if author is None:
        asking.answered_by_message(request)
        if request.state == RequestState.QUESTION:
            request.move_to(RequestState.RECEIVED)
        queue_word_to_tuner(request, "message")
        return message
    if question:
        request.move_to(RequestState.QUESTION)
    _mail_client(request, message, author, asks)
    return message


def _mail_client(request: SetupRequest, message: Message, author: User, asks: Sequence[Ask]) -> None:
    """Tell the client by mail what a tuner writes, and each thing that is asked for."""
    with translation.override(request.client.language):
        subject = _("A question about %(reference)s") if asks else _("A message about %(reference)s")
        listed = "\n".join(f"- {ask.text}" for ask in asks if ask.text != message.body)
        said = "\n\n".join(part for part in (message.body, listed) if part)
        text = (
            _(
                "%(tuner)s asks:\n\n%(body)s\n\nYour private page lists what is asked for, each with a link to the "
                "place where it is answered:\n%(link)s\n\n%(shop)s"
            )
            if any(ask.step for ask in asks)
            else _("%(tuner)s writes:\n\n%(body)s\n\nAnswer on your private page:\n%(link)s\n\n%(shop)s")
        ) % {
            "tuner": author.signature(),
            "body": said,
            "link": links.link(request, Purpose.FULL),
            "shop": settings.SHOP_NAME,
        }
        queue_mail(request, "message", subject % {"reference": request.reference}, text)
