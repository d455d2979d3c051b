"""One line language for every drawing: a pen that knows three line weights, one accent, and dimension lines.

Everything is drawn with classes, for the page's stylesheet, and with presentation attributes, for paper and for any
viewer that has no stylesheet; no inline style, no script. Units are the drawing's own: 360 across, so that on a phone
one unit is about one CSS pixel. The y axis points down, as in SVG.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

Point = tuple[float, float]
WIDTH = 360.0
#: Line weights: fine for what only supports, outline for what is, bold for the one length that is measured.
FINE, OUTLINE, BOLD = 0.75, 1.5, 2.5
TEXT, SMALL = 14.5, 13.0

#: What a class is drawn with where no stylesheet reaches: fill, stroke width, and a dash pattern.
_CLASSES: dict[str, tuple[str, float, str]] = {
    "outline": ("none", OUTLINE, ""),
    "solid": ("#fff", OUTLINE, ""),
    "fine": ("none", FINE, ""),
    "pale": ("#fff", FINE, ""),
    "ghost": ("none", FINE, "4 3"),
    "mark": ("none", BOLD, ""),
    "ink": ("currentColor", FINE, ""),
}


def add(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def sub(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1]


def times(a: Point, factor: float) -> Point:
    return a[0] * factor, a[1] * factor


def unit(a: Point) -> Point:
    length = math.hypot(*a) or 1.0
    return a[0] / length, a[1] / length


def turned(a: Point) -> Point:
    """Return ``a`` turned by a quarter, clockwise on the page."""
    return -a[1], a[0]


def along(a: Point, b: Point, share: float) -> Point:
    """Return the point ``share`` of the way from ``a`` to ``b``."""
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


@dataclass(frozen=True)
class Label:
    """A text as placed, for the tests: where it starts, its size and weight."""

    text: str
    x: float
    y: float
    size: float
    anchor: str
    bold: bool


@dataclass
class Pen:
    """Collects the parts of one drawing, in the order in which they cover each other."""

    width: float = WIDTH
    height: float = 200.0
    parts: list[SafeString] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    # --- Shapes ---------------------------------------------------------------------------------------------------

    def path(self, data: str, cls: str) -> None:
        fill, weight, dashes = _CLASSES[cls]
        self.parts.append(
            format_html(
                '<path class="{}" d="{}" fill="{}" stroke-width="{}"{}/>',
                cls, data, fill, weight, format_html(' stroke-dasharray="{}"', dashes) if dashes else "",
            )
        )  # fmt: skip

    def line(self, *points: Point, cls: str = "outline") -> None:
        self.path(_polyline(points), cls)

    def shape(self, *points: Point, cls: str = "solid") -> None:
        self.path(_polyline(points) + "Z", cls)

    def curve(self, *points: Point, cls: str = "outline", closed: bool = False) -> None:
        """Draw a smooth line through the points."""
        self.path(smooth(points, closed), cls)

    def rounded(self, points: Sequence[Point], radius: float, cls: str = "solid") -> None:
        """Draw a closed shape with its corners rounded off."""
        data = ""
        for before, here, after in zip([points[-1], *points[:-1]], points, [*points[1:], points[0]], strict=True):
            start = add(here, times(unit(sub(before, here)), min(radius, math.dist(before, here) / 2)))
            end = add(here, times(unit(sub(after, here)), min(radius, math.dist(after, here) / 2)))
            data += f"{'L' if data else 'M'}{_at(start)}Q{_at(here)} {_at(end)}"
        self.path(data + "Z", cls)

    def box(self, x: float, y: float, width: float, height: float, cls: str = "solid", radius: float = 0.0) -> None:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        if radius:
            self.rounded(corners, radius, cls)
        else:
            self.shape(*corners, cls=cls)

    def circle(self, centre: Point, radius: float, cls: str = "solid") -> None:
        fill, weight, dashes = _CLASSES[cls]
        self.parts.append(
            format_html(
                '<circle class="{}" cx="{}" cy="{}" r="{}" fill="{}" stroke-width="{}"{}/>',
                cls, _n(centre[0]), _n(centre[1]), _n(radius), fill, weight,
                format_html(' stroke-dasharray="{}"', dashes) if dashes else "",
            )
        )  # fmt: skip

    def arc(self, centre: Point, radius: float, start: float, end: float, cls: str = "outline") -> None:
        """Draw an arc; angles in degrees, 0 to the right, growing clockwise on the page."""
        self.path(_arc(centre, radius, start, end), cls)

    def capsule(self, a: Point, b: Point, ra: float, rb: float, cls: str = "solid") -> None:
        """Draw a tapered limb with round ends from ``a`` to ``b``."""
        n = turned(unit(sub(b, a)))
        data = (
            f"M{_at(add(a, times(n, ra)))}L{_at(add(b, times(n, rb)))}"
            f"A{_n(rb)} {_n(rb)} 0 0 0 {_at(add(b, times(n, -rb)))}L{_at(add(a, times(n, -ra)))}"
            f"A{_n(ra)} {_n(ra)} 0 0 0 {_at(add(a, times(n, ra)))}Z"
        )
        self.path(data, cls)

    # --- Words ----------------------------------------------------------------------------------------------------

    def text(
        self, at: Point, words: object, *, anchor: str = "start", size: float = TEXT, bold: bool = False
    ) -> None:
        """Write one line; ``at`` is on its baseline. ``anchor``: start, middle or end."""
        told = str(words)
        self.labels.append(Label(told, at[0], at[1], size, anchor, bold))
        self.parts.append(
            format_html(
                '<text class="label" x="{}" y="{}" font-size="{}"{}{} fill="currentColor" stroke="none">{}</text>',
                _n(at[0]), _n(at[1]), _n(size),
                format_html(' text-anchor="{}"', anchor) if anchor != "start" else "",
                mark_safe(' font-weight="600"') if bold else "",
                told,
            )
        )  # fmt: skip

    def note(self, at: Point, words: object, to: Point, *, anchor: str = "start") -> None:
        """Write a word with a fine line from it to what it names; the line ends in a dot on the part."""
        shift = {"start": -4.0, "end": 4.0, "middle": 0.0}[anchor]
        start = (at[0] + shift, at[1] - 4.5)
        if anchor == "middle":
            start = (at[0], at[1] + 4 if to[1] > at[1] else at[1] - 13)
        self.line(start, to, cls="fine")
        self.circle(to, 1.6, cls="ink")
        self.text(at, words, anchor=anchor, size=SMALL)

    # --- Dimensions and arrows ------------------------------------------------------------------------------------

    def dim(
        self, a: Point, b: Point, words: object = "", *, off: float = 20.0, measured: bool = True,
        label: str = "", gap: float = 2.0, shift: float = 0.0,
    ) -> None:  # fmt: skip
        """Draw a dimension from ``a`` to ``b``, set off to the side by ``off`` (left of the way there when negative).

        ``measured`` dimensions are bold and in the accent; others are fine. ``label`` anchors the words when the
        side they fall on is not clear. ``shift`` slides the words along the line.
        """
        way = unit(sub(b, a))
        side = times(turned(way), 1.0 if off >= 0 else -1.0)
        far = abs(off)
        start, end = add(a, times(side, far)), add(b, times(side, far))
        if far > gap + 1:
            for point in (a, b):
                self.line(add(point, times(side, gap)), add(point, times(side, far + 4)), cls="fine")
        cls = "mark" if measured else "fine"
        head = 9.0 if measured else 7.0
        if math.dist(start, end) < 2.4 * head:  # too short for its arrows: they point in from outside
            tail = times(way, head * 2.0)
            self.line(sub(start, tail), sub(start, times(way, head * 0.7)), cls=cls)
            self.line(add(end, tail), add(end, times(way, head * 0.7)), cls=cls)
            self._head(start, way, head, measured)
            self._head(end, times(way, -1), head, measured)
        else:
            self.line(add(start, times(way, head * 0.7)), sub(end, times(way, head * 0.7)), cls=cls)
            self._head(start, times(way, -1), head, measured)
            self._head(end, way, head, measured)
        if str(words):
            middle = add(along(start, end, 0.5), times(way, shift))
            anchor = label or ("start" if side[0] > 0.5 else "end" if side[0] < -0.5 else "middle")
            if anchor == "middle":
                at = add(middle, times(side, 15.0 if side[1] > 0 else 6.0))
            else:
                # A dimension that stands upright has its words level beside it.
                out = side if abs(side[0]) < 0.98 and far > 1 else (1.0 if anchor == "start" else -1.0, 0.0)
                at = add(add(middle, times(out, 7.0 + 6.0 * abs(out[1]))), (0.0, 4.8))
            self.text(at, words, anchor=anchor, bold=measured)

    def _head(self, tip: Point, way: Point, length: float, measured: bool = True) -> None:
        back = sub(tip, times(way, length))
        wing = times(turned(way), length * 0.32)
        self.parts.append(
            format_html(
                '<path class="{}" d="{}Z" fill="currentColor" stroke="none"/>',
                "tip" if measured else "tip plain",
                _polyline((tip, add(back, wing), sub(back, wing))),
            )
        )

    def push(self, start: Point, end: Point, *, wide: float = 5.0) -> None:
        """Draw a hand's push or pull as a broad arrow from ``start`` to ``end``."""
        way = unit(sub(end, start))
        n = turned(way)
        neck = sub(end, times(way, wide * 2.2))
        self.shape(
            add(start, times(n, wide * 0.7)), add(neck, times(n, wide * 0.7)), add(neck, times(n, wide * 1.7)), end,
            sub(neck, times(n, wide * 1.7)), sub(neck, times(n, wide * 0.7)), sub(start, times(n, wide * 0.7)),
        )  # fmt: skip

    def swing(self, centre: Point, radius: float, start: float, end: float, *, cls: str = "outline") -> None:
        """Draw a turning arrow along an arc, from ``start`` to ``end`` degrees."""
        head = 9.0 if cls == "mark" else 8.0
        sense = 1.0 if end > start else -1.0
        # The head stands on the chord of the last bit of the arc, so that the line runs into its middle.
        self.arc(centre, radius, start, end - sense * math.degrees(head * 0.8 / radius), cls=cls)
        tip = on_circle(centre, radius, end)
        back = on_circle(centre, radius, end - sense * math.degrees(head / radius))
        self._head(tip, unit(sub(tip, back)), head, cls == "mark")

    def ground(self, y: float, left: float = 6.0, right: float = 0.0) -> None:
        """Draw the floor with its hatching."""
        right = right or self.width - 6.0
        self.line((left, y), (right, y), cls="outline")
        count = int((right - left) // 12)
        self.path("".join(f"M{_n(left + 12 * n + 10)} {_n(y)}l-6 6" for n in range(count)), "fine")

    # --- The whole ------------------------------------------------------------------------------------------------

    def svg(self, uid: str, title: object, described: object) -> SafeString:
        """Return the drawing as an SVG element with its name and description."""
        return format_html(
            '<svg class="drawing" viewBox="0 0 {} {}" role="img" aria-labelledby="{}-t" aria-describedby="{}-d"'
            ' fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round"'
            ' font-family="Barlow, DejaVu Sans, sans-serif" xmlns="http://www.w3.org/2000/svg">'
            '<title id="{}-t">{}</title><desc id="{}-d">{}</desc>{}</svg>',
            _n(self.width), _n(self.height), uid, uid, uid, title, uid, described,
            format_html_join("", "{}", ((part,) for part in self.parts)),
        )  # fmt: skip


def on_circle(centre: Point, radius: float, degrees: float) -> Point:
    angle = math.radians(degrees)
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def _n(value: float) -> str:
    """Return a coordinate with one decimal at most."""
    return f"{round(value, 1):g}"


def _at(point: Point) -> str:
    return f"{_n(point[0])} {_n(point[1])}"


def _polyline(points: Sequence[Point]) -> str:
    return "M" + "L".join(_at(point) for point in points)


def _arc(centre: Point, radius: float, start: float, end: float) -> str:
    large, sweep = int(abs(end - start) > 180), int(end > start)
    a, b = on_circle(centre, radius, start), on_circle(centre, radius, end)
    return f"M{_at(a)}A{_n(radius)} {_n(radius)} 0 {large} {sweep} {_at(b)}"


def smooth(points: Sequence[Point], closed: bool = False) -> str:
    """Return a path through the points: Catmull-Rom, written as cubic Béziers."""
    count = len(points)
    data = "M" + _at(points[0])
    for n in range(count if closed else count - 1):
        p1, p2 = points[n], points[(n + 1) % count]
        p0 = points[(n - 1) % count] if closed or n else p1
        p3 = points[(n + 2) % count] if closed or n + 2 < count else p2
        c1, c2 = add(p1, times(sub(p2, p0), 1 / 6)), sub(p2, times(sub(p3, p1), 1 / 6))
        data += f"C{_at(c1)} {_at(c2)} {_at(p2)}"
    return data + ("Z" if closed else "")
