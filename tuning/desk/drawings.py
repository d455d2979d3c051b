"""Drawings made on the server, for page and paper alike: SVG with classes and presentation attributes only."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from intake import words
from intake.models import Reading
from intake.presentation import UnitPrefs, show
from tuning.engine.derivation import Derivation

WIDTH, LEFT, RIGHT = 420.0, 8.0, 412.0
ROW, TOP, BAR = 46.0, 28.0, 12.0


@dataclass(frozen=True, slots=True)
class Strip:
    """Travel of one end in mm from topped out; None where it is not known. ``bottomed``: the reserve is used up."""

    end: str
    stroke: float | None
    bike_alone: float | None
    rider: float | None
    normal: float | None
    hardest: float | None
    bottomed: bool = False


def strip_of(end: str, derivation: Derivation, readings: Iterable[Reading]) -> Strip:
    """Return an end's strip from what was read and derived."""
    read = {row.quantity: row.value for row in readings if row.end == end}

    def value(key: str) -> float | None:
        derived = derivation.get(f"{key}.{end}")
        return derived.value if derived else None

    reserves = (derivation.get(f"reserve_{ride}.{end}") for ride in ("normal", "hardest"))
    return Strip(
        end,
        read.get("stroke"),
        value("sag_bike_alone"),
        value("sag_rider_aboard"),
        read.get("deepest_normal"),
        read.get("deepest_hardest"),
        any(row is not None and row.status == "at_most" for row in reserves),
    )


def travel_strip(strip: Strip, prefs: UnitPrefs) -> SafeString:
    """Return the travel of one end as an SVG figure: a bar per state from topped out at the left, on one scale."""
    rows = [
        (_("static, bike alone"), strip.bike_alone),
        (_("rider aboard"), strip.rider),
        (_("deepest, normal hard ride"), strip.normal),
        (_("deepest, hardest event"), strip.hardest),
        (_("stroke"), strip.stroke),
    ]
    known = [(name, value) for name, value in rows if value is not None]
    title = _("Travel, %(end)s") % {"end": words.ENDS[strip.end]}
    if not known:
        return format_html('<p class="quiet">{}: {}</p>', title, _("nothing measured yet"))
    longest = max(value for _name, value in known) or 1.0
    scale = (RIGHT - LEFT) / max(longest, 1.0)
    lines = [(name, show(value, "length", prefs), LEFT + max(0.0, value) * scale) for name, value in known]
    reserve = _reserve(strip, prefs, scale, TOP + ROW * len(lines))
    height = TOP + ROW * len(lines) + (ROW if reserve else 0) + 6
    told = "; ".join(f"{name} {text}" for name, text, _end in lines)
    bars = format_html_join(
        "\n",
        '<text class="label" x="{}" y="{}">{} {}</text>'
        '<line class="fine" x1="{}" y1="{}" x2="{}" y2="{}"/>'
        '<path class="outline" d="M{} {}H{}v{}H{}z" fill="none" stroke="currentColor"/>',
        (
            (LEFT, y + 14, name, text, LEFT, y + 26, RIGHT, y + 26, LEFT, y + 20, round(x, 1), BAR, LEFT)
            for y, (name, text, x) in zip((TOP + ROW * at for at in range(len(lines))), lines, strict=True)
        ),
    )
    return format_html(
        '<svg class="drawing strip" viewBox="0 0 {} {}" role="img" aria-labelledby="strip-{}" xmlns="http://www.w3.org/2000/svg">'
        '<title id="strip-{}">{}</title><desc>{}</desc>'
        '<text class="label" x="{}" y="14" font-weight="600">{}</text>'
        '<path class="fine" d="M{} {}V{}" fill="none" stroke="currentColor"/>\n{}{}</svg>',
        WIDTH, height, strip.end, strip.end, f"{title}: {told}", told,
        LEFT, _("%(title)s: topped out at the left") % {"title": title},
        LEFT, TOP + 14, height - 4, bars, reserve,
    )  # fmt: skip


def _reserve(strip: Strip, prefs: UnitPrefs, scale: float, y: float) -> SafeString:
    used = strip.hardest if strip.hardest is not None else strip.normal
    if strip.stroke is None or used is None:
        return SafeString("")
    left = strip.stroke - used
    start, end = LEFT + used * scale, LEFT + strip.stroke * scale
    name = (
        _("reserve: none, it bottomed")
        if strip.bottomed
        else _("reserve %(left)s") % {"left": show(left, "length", prefs)}
    )
    return format_html(
        '<text class="label" x="{}" y="{}" text-anchor="end">{}</text>'
        '<path class="mark" d="M{} {}H{}M{} {}v{}M{} {}v{}" fill="none" stroke="currentColor"/>',
        RIGHT, y + 14, name, round(start, 1), y + 26, round(end, 1),
        round(start, 1), y + 20, BAR, round(end, 1), y + 20, BAR,
    )  # fmt: skip
