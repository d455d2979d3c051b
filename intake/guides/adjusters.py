"""Drawings of what is turned, moved or chosen by hand."""

from django.utils.translation import gettext as _

from intake.guides import things
from intake.guides.svg import SMALL, Pen, add, on_circle


def clickers() -> Pen:
    """The adjuster from above with its two directions, and a count laid out in a row."""
    pen = Pen(height=252)
    c = (180.0, 84.0)
    pen.rounded([on_circle(c, 46, 60 * n) for n in range(6)], 4)
    pen.circle(c, 25)
    pen.shape(*(add(c, p) for p in ((-17.0, -3.0), (17.0, -3.0), (17.0, 3.0), (-17.0, 3.0))))
    pen.swing(c, 62, -60, 60)
    pen.swing(c, 62, -120, -240, cls="mark")
    pen.text((254, 80), _("in, to the stop:"), size=SMALL)
    pen.text((254, 96), _("clockwise"), size=SMALL)
    pen.text((106, 80), _("out, counting:"), anchor="end", size=SMALL, bold=True)
    pen.text((106, 96), _("anticlockwise"), anchor="end", size=SMALL)
    left, pitch, base = 54.0, 11.6, 196.0
    pen.line((left, base), (left + 22 * pitch, base), cls="outline")
    for n in range(23):
        pen.line((left + n * pitch, base), (left + n * pitch, base - (12 if n % 5 == 0 else 7)), cls="fine")
    pen.line((left, base), (left, base - 18), cls="outline")
    pen.circle((left + 9 * pitch, base), 5.5, cls="ink")
    pen.dim((left, base - 8), (left + 9 * pitch, base - 8), _("as found: 9 out"), off=-24, gap=12)
    pen.dim((left, base), (left + 22 * pitch, base), _("whole range: 22"), off=20, measured=False, gap=4)
    pen.text((left - 6, base + 4), _("closed"), anchor="end", size=SMALL)
    pen.text((left + 22 * pitch + 6, base + 4), _("open"), size=SMALL)
    return pen


def turning() -> Pen:
    """An adjuster from above, twice: turned in, and turned out."""
    pen = Pen(height=150)
    for x, start, end, words, more in (
        (96.0, -150.0, -30.0, _("turn in"), _("clockwise")),
        (264.0, -30.0, -150.0, _("turn out"), _("anticlockwise")),
    ):
        c = (x, 66.0)
        pen.rounded([on_circle(c, 34, 60 * n) for n in range(6)], 4)
        pen.circle(c, 19)
        pen.shape(*(add(c, p) for p in ((-13.0, -2.5), (13.0, -2.5), (13.0, 2.5), (-13.0, 2.5))))
        pen.swing(c, 48, start, end, cls="mark")
        pen.text((x, 122), words, anchor="middle", bold=True)
        pen.text((x, 140), more, anchor="middle", size=SMALL)
    return pen


def preload() -> Pen:
    """Three sorts: turns of a nut on the fork cap, lines above it, a stepped collar on the shock."""
    pen = Pen(height=206)
    # Turns: the cap from above.
    c = (62.0, 78.0)
    pen.circle(c, 40)
    pen.rounded([on_circle(c, 26, 60 * n + 30) for n in range(6)], 3)
    pen.circle(c, 9)
    pen.swing(c, 50, -210, -20, cls="mark")
    # Lines: the cap from the side.
    x = 180.0
    pen.box(x - 13, 24, 26, 60)
    for n in range(5):
        pen.line((x - 13, 34 + n * 9), (x + 13, 34 + n * 9), cls="mark" if n < 4 else "fine")
    pen.box(x - 24, 66, 48, 24, radius=3)
    for dx in (-10, 10):
        pen.line((x + dx, 66), (x + dx, 90))
    pen.box(x - 30, 90, 60, 54)
    pen.text((x + 20, 40), "4", bold=True)
    # Steps: the collar's stairs bear on a peg of the body, the spring pushes from below.
    x, wide, rise = 300.0, 13.6, 8.0
    pen.box(x - 16, 16, 32, 132)
    stairs = [(x - 34, 100.0)]
    for n in range(5):
        left, level = x - 34 + n * wide, 84.0 - n * rise
        stairs += [(left, level), (left + wide, level)]
    pen.shape(*stairs, (x + 34, 100.0))
    for n in range(5):
        pen.text((x - 27.2 + n * wide, 97 - n * rise), str(n + 1), anchor="middle", size=11, bold=n == 2)
    pen.circle((x - 27.2 + 2 * wide, 84 - 2 * rise - 5.5), 4.8, cls="ink")
    pen.line((x - 34 + 2 * wide, 84 - 2 * rise), (x - 34 + 3 * wide, 84 - 2 * rise), cls="mark")
    things.coil(pen, x, 100, 148, 28, 3)
    for x, words, more in (
        (62, _("turns"), _("from fully soft")),
        (180, _("lines"), _("above the nut")),
        (300, _("steps"), _("1 is the softest")),
    ):
        pen.text((x, 176), words, anchor="middle", bold=True)
        pen.text((x, 194), more, anchor="middle", size=SMALL)
    return pen


def fork_position() -> Pen:
    """The upper clamp with both legs: from its upper face to the flat top edge of each tube."""
    pen = Pen(height=188)
    face = 112.0
    pen.capsule((40, 60), (124, 66), 7, 7)
    pen.capsule((236, 66), (320, 60), 7, 7)
    for x in (110.0, 250.0):
        pen.box(x - 21, 78, 42, 110)
        pen.rounded([(x - 13, 58), (x + 13, 58), (x + 16, 78), (x - 16, 78)], 3)
        pen.line((x - 6, 58), (x - 6, 78), cls="fine")
        pen.line((x + 6, 58), (x + 6, 78), cls="fine")
    pen.rounded([(62, face), (298, face), (290, 148), (204, 148), (196, 156), (164, 156), (156, 148), (70, 148)], 6)
    pen.circle((180, 130), 13)
    pen.circle((180, 130), 6)
    for x, side in ((110.0, -1), (250.0, 1)):
        pen.dim((x + side * 21, 78), (x + side * 21, face), off=side * -24.0, gap=1)
    pen.text((52, 36), _("left leg"), anchor="middle", size=SMALL)
    pen.text((308, 36), _("right leg"), anchor="middle", size=SMALL)
    pen.note((180, 24), _("the cap does not count"), (123, 60), anchor="middle")
    pen.line((180, 28), (237, 60), cls="fine")
    pen.circle((237, 60), 1.6, cls="ink")
    pen.note((180, 96), _("flat top edge"), (131, 80), anchor="middle")
    pen.line((180, 83), (229, 80), cls="fine")
    pen.circle((229, 80), 1.6, cls="ink")
    pen.text((180, 180), _("upper clamp"), anchor="middle", size=SMALL)
    return pen


def ride_height() -> Pen:
    """The shock's upper mount with a threaded height adjuster: the thread that shows is the setting."""
    pen = Pen(height=206)
    x = 130.0
    pen.rounded([(60, 8), (200, 8), (200, 30), (60, 30)], 4)
    pen.rounded([(x - 20, 30), (x + 20, 30), (x + 16, 56), (x - 16, 56)], 4)
    things.threads(pen, x, 56, 104, 9)
    pen.box(x - 17, 92, 34, 12, radius=2)
    pen.rounded([(x - 20, 104), (x + 20, 104), (x + 17, 140), (x - 17, 140)], 5)
    pen.circle((x, 124), 6)
    pen.box(x - 13, 140, 26, 20)
    pen.box(x - 25, 160, 50, 9, radius=2)
    things.coil(pen, x, 170, 206, 24, 2)
    pen.dim((x + 16, 56), (x + 16, 92), off=-34, gap=3)
    pen.text((x + 58, 70), _("thread that shows,"), size=SMALL)
    pen.text((x + 58, 86), _("or the shims"), size=SMALL)
    pen.note((x + 58, 128), _("lock nut"), (x + 14, 99))
    pen.text((214, 24), _("frame"), size=SMALL)
    return pen


def display() -> Pen:
    """A dash display with the modes an electronic suspension is set by."""
    pen = Pen(height=170)
    pen.rounded([(48, 14), (312, 14), (296, 150), (64, 150)], 18)
    pen.rounded([(68, 30), (292, 30), (282, 134), (78, 134)], 6, cls="pale")
    for n, (words, level) in enumerate(((_("front"), 3), (_("rear"), 4))):
        y = 56 + n * 28
        pen.text((92, y + 5), words, size=SMALL)
        for k in range(6):
            pen.box(156 + k * 20, y - 7, 14, 14, cls="ink" if k < level else "fine")
    pen.line((156, 116), (216, 116), cls="mark")
    pen.text((92, 120), _("mode"), size=SMALL, bold=True)
    pen.circle((330, 60), 7)
    pen.circle((330, 90), 7)
    return pen
