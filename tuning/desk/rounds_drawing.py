"""The history picture: per end a column a round, from topped out at the top down to the end of the stroke.

Shapes tell the lengths apart, never colour alone; every mark carries its number, and the wanted band is hatched.
"""

from collections.abc import Sequence
from itertools import pairwise

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from intake.guides.svg import SMALL, WIDTH, Pen
from tuning.desk.over_rounds import ALONE, DEEPEST, RIDER, STROKE, EndOver, Point, Track

#: Rounds drawn at most, the last ones: more columns would leave no room for their numbers. The table has them all.
MOST = 5
LEFT, RIGHT, PANEL = 14.0, WIDTH - 8.0, 210.0
HEAD, LEGEND, GAP = 44.0, 22.0, 26.0
#: A number's line, so that two near each other do not run into one.
LINE = 14.5
#: A figure's width, nearly.
DIGIT = 6.6


def rounds_picture(ends: Sequence[EndOver], uid: str = "rounds") -> SafeString:
    """Return all ends in one drawing; an empty text when there are none."""
    if not ends:
        return SafeString("")
    legend = _legend_rows(ends)
    pen = Pen(height=len(ends) * (HEAD + PANEL + GAP) + legend * LEGEND + 6)
    y = 0.0
    for end in ends:
        _panel(pen, end, y)
        y += HEAD + PANEL + GAP
    _legend(pen, ends, y + 4)
    title = _("Travel over the rounds, from topped out at the top down to the end of the stroke")
    return pen.svg(uid, title, " ".join(told(end) for end in ends))


def told(end: EndOver) -> str:
    """Return one end's lengths over the rounds in words, for whoever does not see the drawing."""
    tracks = "; ".join(
        _("%(name)s: %(values)s") % {"name": track.name, "values": ", ".join(_value(point) for point in track.points)}
        for track in end.tracks
    )
    return _("%(end)s: %(tracks)s.") % {"end": end.name, "tracks": tracks}


def _value(point: Point) -> str:
    return _("round %(round)s %(length)s") % {"round": point.round, "length": point.text}


def _panel(pen: Pen, end: EndOver, top: float) -> None:
    rounds = end.rounds[-MOST:]
    longest = max(point.value for track in end.tracks for point in track.points if point.round in rounds)
    longest = max([longest, 1.0, *(track.band[1] for track in end.tracks if track.band)])
    base = top + HEAD
    scale = PANEL / longest
    pitch = (RIGHT - LEFT) / len(rounds)
    pen.text((LEFT, top + 18), end.name[:1].upper() + end.name[1:], bold=True)
    for track in end.tracks:
        if track.kind == RIDER and track.band:
            _hatch(pen, base + track.band[0] * scale, base + track.band[1] * scale)
        elif track.band:
            for edge in track.band:
                pen.line((LEFT, base + edge * scale), (RIGHT, base + edge * scale), cls="ghost")
    columns = {number: LEFT + pitch * (place + 0.3) for place, number in enumerate(rounds)}
    for track in end.tracks:
        shown = [point for point in track.points if point.round in columns]
        for first, then in pairwise(shown):
            if track.kind != STROKE:
                start = (columns[first.round] + 7, base + first.value * scale)
                pen.line(start, (columns[then.round] - 7, base + then.value * scale), cls="fine")
    for number, x in columns.items():
        pen.text((x, top + HEAD - 8), _("round %(n)s") % {"n": number}, anchor="middle", size=SMALL)
        _column(pen, end, number, x, base, scale)


def _hatch(pen: Pen, low: float, high: float) -> None:
    """Draw the band that the rider's sag is wanted in."""
    pen.box(LEFT, low, RIGHT - LEFT, high - low, cls="ghost")
    step = 9.0
    data = ""
    x = LEFT - (high - low)
    while x < RIGHT:
        start = max(x, LEFT)
        end = min(x + (high - low), RIGHT)
        if end > start:
            data += f"M{start:.1f} {high - (start - x):.1f}L{end:.1f} {high - (end - x):.1f}"
        x += step
    pen.path(data, "fine")


def _column(pen: Pen, end: EndOver, number: int, x: float, base: float, scale: float) -> None:
    stroke = end.track(STROKE)
    bottom = stroke.at(number) if stroke else None
    known = [point for track in end.tracks if (point := track.at(number))]
    deepest = max((point.value for point in known), default=0.0)
    pen.line((x, base), (x, base + deepest * scale), cls="outline")
    pen.line((x - 6, base), (x + 6, base), cls="outline")
    labels: list[tuple[float, Point]] = []
    for track in end.tracks:
        point = track.at(number)
        if point is None:
            continue
        y = base + point.value * scale
        if point is bottom:
            pen.line((x - 9, y), (x + 9, y), cls="outline")
        else:
            _mark(pen, track.kind, x, y)
        labels.append((y, point))
    at = -1e9
    for y, point in sorted(labels, key=lambda row: row[0]):
        at = max(y + 4.8, at + LINE)
        _clear(pen, x + 9, at - 11, len(point.text) * DIGIT + 4)
        pen.text((x + 11, at), point.text, size=SMALL)


def _clear(pen: Pen, x: float, y: float, width: float) -> None:
    """Clear the ground for a number, so that no line of a band runs through it."""
    part = '<rect class="ground" x="{}" y="{}" width="{}" height="{}" fill="#fff" stroke="none"/>'
    pen.parts.append(format_html(part, f"{x:.1f}", f"{y:.1f}", f"{width:.1f}", LINE))


def _mark(pen: Pen, kind: str, x: float, y: float) -> None:
    if kind == ALONE:
        pen.circle((x, y), 4.5, cls="solid")
    elif kind == RIDER:
        pen.circle((x, y), 5.0, cls="ink")
    elif kind == DEEPEST:
        pen.shape((x - 6, y - 9), (x + 6, y - 9), (x, y), cls="solid")


def _legend_rows(ends: Sequence[EndOver]) -> int:
    tracks = _kinds(ends)
    return len(tracks) + _hatched(tracks) + _broken(tracks)


def _kinds(ends: Sequence[EndOver]) -> list[Track]:
    found: dict[str, Track] = {}
    for end in ends:
        for track in end.tracks:
            if track.kind not in found or (track.band and not found[track.kind].band):
                found[track.kind] = track
    return list(found.values())


def _legend(pen: Pen, ends: Sequence[EndOver], top: float) -> None:
    tracks = _kinds(ends)
    y = top
    for track in tracks:
        if track.kind == STROKE:
            pen.line((LEFT, y + 8), (LEFT + 16, y + 8), cls="outline")
        else:
            _mark(pen, track.kind, LEFT + 8, y + (12 if track.kind == DEEPEST else 8))
        pen.text((LEFT + 26, y + 13), track.name, size=SMALL)
        y += LEGEND
    if _hatched(tracks):
        pen.box(LEFT, y + 2, 16, 12, cls="ghost")
        pen.path(f"M{LEFT} {y + 14}l12 -12M{LEFT + 7} {y + 14}l9 -9", "fine")
        pen.text((LEFT + 26, y + 13), _("wanted, rider aboard"), size=SMALL)
        y += LEGEND
    if _broken(tracks):
        pen.line((LEFT, y + 5), (LEFT + 16, y + 5), cls="ghost")
        pen.line((LEFT, y + 12), (LEFT + 16, y + 12), cls="ghost")
        pen.text((LEFT + 26, y + 13), _("between broken lines: wanted of the others"), size=SMALL)


def _hatched(tracks: Sequence[Track]) -> bool:
    return any(track.kind == RIDER and track.band for track in tracks)


def _broken(tracks: Sequence[Track]) -> bool:
    return any(track.kind != RIDER and track.band for track in tracks)
