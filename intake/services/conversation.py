"""The conversation between shop and client."""

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from intake import links
from intake.choices import Purpose, RequestState
from intake.mailbox import queue_mail
from intake.models import Event, Message, SetupRequest, User


@transaction.atomic
def post_message(
    request: SetupRequest, *, body: str, author: User | None = None, step: str = "", question: bool = False
) -> Message:
    """Add a line to the conversation; from the client when there is no author.

    A tuner's question moves the request to ``question`` and may lead to one step of the form; a client's line
    answers an open question, which puts the request back in the queue. The client is told by mail.
    """
    message = Message.objects.create(
        request=request, author=author, from_client=author is None, body=body.strip(), step=step
    )
    Event.objects.create(request=request, kind="question" if question else "message", actor=author,
                         params={"step": step})  # fmt: skip
    if author is None:
        if request.state == RequestState.QUESTION:
            request.move_to(RequestState.RECEIVED)
        return message
    if question:
        request.move_to(RequestState.QUESTION)
    with translation.override(request.client.language):
        subject = _("A question about %(reference)s") if question else _("A message about %(reference)s")
        text = _("%(tuner)s writes:\n\n%(body)s\n\nAnswer on your private page:\n%(link)s\n\n%(shop)s") % {
            "tuner": author.signature(),
            "body": message.body,
            "link": links.link(request, Purpose.FULL),
            "shop": settings.SHOP_NAME,
        }
        queue_mail(request, "message", subject % {"reference": request.reference}, text)
    return message
