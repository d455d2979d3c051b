"""The tuner's queue: what waits for the shop, longest first and stop gates before all, in pages by key."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core import signing
from django.db.models import Q, QuerySet
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from intake.choices import RequestState
from intake.models import SetupRequest, User

PAGE = 25
SALT = "desk.queue"
WAITING = "waiting"
WAITING_ORDER = ("-flag_stop", "waiting_since", "id")
#: Flag's filter id → column, chip shape and words, the gravest first.
FLAGS = {
    "stop": ("flag_stop", "stop", gettext_lazy("do not ride")),
    "blocked": ("flag_blocked", "ask", gettext_lazy("readings blocked")),
    "bottomed": ("flag_bottomed", "doing", gettext_lazy("bottomed")),
    "words": ("flag_words", "doing", gettext_lazy("safety words")),
}


class BadPlace(ValueError):
    """A page token that this queue did not write."""


@dataclass(frozen=True, slots=True)
class Filters:
    """What is shown: a state of ``RequestState``, ``waiting`` or ``""`` (all sent), flag, mine only, search text."""

    state: str = WAITING
    flag: str = ""
    mine: bool = False
    search: str = ""

    @classmethod
    def of(cls, given: Mapping[str, str]) -> "Filters":
        """Return the filters of a query string; what is unknown falls back to what is usual."""
        search = given.get("q", "").replace("\x00", "").strip()[:80]
        state = given.get("state", "" if search else WAITING)
        known = {WAITING, "", *RequestState.values} - {RequestState.DRAFT.value}
        flag = given.get("flag", "")
        return cls(
            state if state in known else WAITING, flag if flag in FLAGS else "", given.get("mine") == "1", search
        )

    @property
    def by_waiting(self) -> bool:
        return self.state == WAITING


@dataclass(frozen=True, slots=True)
class Row:
    """One line: the request, its flags as (shape, words), and how its waiting stands against the promise."""

    request: SetupRequest
    state: str
    flags: tuple[tuple[str, str], ...]
    waiting: str
    due: str
    late: bool


@dataclass(frozen=True, slots=True)
class Page:
    rows: tuple[Row, ...]
    next: str


def page(filters: Filters, by: User, token: str, now: datetime) -> Page:
    """Return one page. Raises BadPlace for a token that is not ours."""
    query = _filtered(filters, by).select_related("client", "bike", "tuner")
    query = query.order_by(*(WAITING_ORDER if filters.by_waiting else ("-id",)))
    if token:
        query = query.filter(_after(filters, token))
    found = list(query[: PAGE + 1])
    more = found[PAGE - 1] if len(found) > PAGE else None
    return Page(tuple(_row(one, now) for one in found[:PAGE]), _token(filters, more) if more else "")


def _filtered(filters: Filters, by: User) -> QuerySet[SetupRequest]:
    query = SetupRequest.objects.exclude(state=RequestState.DRAFT)
    if filters.by_waiting:
        query = query.filter(waiting_since__isnull=False)
    elif filters.state:
        query = query.filter(state=filters.state)
    if filters.flag:
        query = query.filter(**{FLAGS[filters.flag][0]: True})
    if filters.mine:
        query = query.filter(tuner=by)
    if filters.search:
        text = filters.search
        query = query.filter(
            Q(reference__icontains=text) | Q(bike__name__icontains=text) | Q(client__name__icontains=text)
        )
    return query


def _token(filters: Filters, last: SetupRequest) -> str:
    since = last.waiting_since.isoformat() if filters.by_waiting and last.waiting_since else ""
    return signing.dumps([last.flag_stop, since, last.pk], salt=SALT)


def _after(filters: Filters, token: str) -> Q:
    try:
        stop, since, pk = signing.loads(token, salt=SALT)
    except signing.BadSignature as error:
        raise BadPlace(token) from error
    if not filters.by_waiting:
        return Q(pk__lt=pk)
    moment = parse_datetime(since) if since else None
    if moment is None:
        raise BadPlace(token)
    later = Q(waiting_since__gt=moment) | Q(waiting_since=moment, pk__gt=pk)
    return (Q(flag_stop=True) & later) | Q(flag_stop=False) if stop else Q(flag_stop=False) & later


def state_name(state: str) -> str:
    """Return a state as the shop says it; the state's own label speaks to the client."""
    return _("question to the client") if state == RequestState.QUESTION else str(RequestState(state).label)


def flags_of(request: SetupRequest) -> tuple[tuple[str, str], ...]:
    """Return the request's flags as (chip shape, words), the gravest first."""
    return tuple((shape, str(words)) for column, shape, words in FLAGS.values() if getattr(request, column))


def _row(request: SetupRequest, now: datetime) -> Row:
    if request.waiting_since is None:
        return Row(request, state_name(request.state), flags_of(request), "", "", False)
    waited = now - request.waiting_since
    left = timedelta(hours=settings.PROMISED_REPLY_HOURS) - waited
    late = left < timedelta(0)
    due = _("%(time)s late") if late else _("due in %(time)s")
    return Row(
        request, state_name(request.state), flags_of(request), span(waited), due % {"time": span(abs(left))}, late
    )


def span(time: timedelta) -> str:
    """Return a length of time in one short unit: minutes, hours, or days from two days on."""
    minutes = int(time.total_seconds() // 60)
    if minutes < 60:
        return _("%(count)d min") % {"count": max(0, minutes)}
    if minutes < 48 * 60:
        return _("%(count)d h") % {"count": minutes // 60}
    return _("%(count)d days") % {"count": minutes // (24 * 60)}
