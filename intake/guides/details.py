"""Drawings of one part at a time."""

from itertools import pairwise

from django.utils.translation import gettext as _

from intake.guides import parts, things
from intake.guides.parts import Bike, Leg
from intake.guides.svg import SMALL, Pen, Point, add, on_circle, smooth, sub, times, unit


def sag_front() -> Pen:
    """Three legs side by side: topped out, bike alone, rider aboard."""
    pen = Pen(height=212)
    for x, bare, top, name, words in (
        (46, 92, 10, "L0", _("topped out")),
        (166, 70, 32, "L1", _("bike alone")),
        (286, 50, 52, "L2", _("rider aboard")),
    ):
        it = Leg(x, top, 186, bare)
        parts.leg(pen, it)
        pen.dim(it.seal, it.end, name, off=-32, gap=12)
        pen.text((x + 4, 206), words, anchor="middle", size=SMALL)
    return pen


def sag_rear() -> Pen:
    """The rear end: from the axle straight up to a mark on the tail."""
    pen = Pen(height=216)
    bike = Bike((122, 200), 0.19, front=28, rear=14)
    pen.ground(200)
    parts.tyre(pen, bike.rear_axle, bike, disc=115)
    parts.subframe(pen, bike)
    parts.swingarm(pen, bike)
    parts.suspension(pen, bike)
    parts.tail(pen, bike)
    pen.circle(bike.at(parts.PIVOT), bike.mm(30))
    top = bike.tail_mark
    pen.dim(bike.rear_axle, top, "L0, L1, L2", off=0.001, label="end", shift=34)
    for lean in (-1, 1):
        pen.line(add(top, (-4.0, -4.0 * lean)), add(top, (4.0, 4.0 * lean)))
    pen.note((256, 26), _("mark on the tail"), add(top, (3.0, 0.0)))
    pen.note((256, 178), _("axle"), add(bike.rear_axle, (4.0, 2.0)))
    return pen


def ring() -> Pen:
    """A leg before the ride with the tie at the seal, and after it, topped out, with the tie pushed away."""
    pen = Pen(height=250)
    before, after = Leg(62, 8, 224, 120), Leg(206, 8, 224, 120)
    for it in (before, after):
        parts.leg(pen, it)
    things.tie(pen, 62, before.seal[1] + 4)
    deepest = (206.0, after.seal[1] + 84)
    things.tie(pen, *deepest)
    end = after.end[1] - 6
    pen.line((190, end), (266, end), cls="ghost")
    pen.dim(after.seal, deepest, _("deepest"), off=-46, gap=12)
    pen.dim((206, deepest[1]), (206, end), _("left over"), off=-46, measured=False, gap=24)
    pen.note((102, before.seal[1] + 44), _("tie"), (82, before.seal[1] + 6))
    pen.note((102, before.seal[1] - 18), _("seal"), (74, before.seal[1] - 4))
    pen.text((62, 244), _("before the ride"), anchor="middle", size=SMALL)
    pen.text((216, 244), _("after it, wheel free"), anchor="middle", size=SMALL)
    return pen


def ring_rear() -> Pen:
    pen = Pen(height=236)
    x = 150.0
    shock(pen, x, 20, 206)
    things.tie(pen, x, 162, half=5)
    pen.dim((x, 116), (x, 162), _("deepest"), off=-62, gap=8)
    pen.text((20, 166), _("tie on"), size=SMALL)
    pen.text((20, 182), _("the shaft"), size=SMALL)
    pen.line((74, 165), (x - 7, 162), cls="fine")
    pen.text((20, 112), _("end of"), size=SMALL)
    pen.text((20, 128), _("the body"), size=SMALL)
    pen.line((76, 116), (x - 13, 115), cls="fine")
    return pen


def shock(pen: Pen, x: float, top: float, bottom: float) -> None:
    """Draw a coil-over shock upright: eye, threaded body with its two collars, spring, shaft, eye."""
    pen.circle((x, top), 11)
    pen.circle((x, top), 5)
    things.threads(pen, x, top + 10, top + 54, 15)
    body = top + 96
    pen.box(x - 12, top + 54, 24, body - top - 54)
    pen.box(x - 4, body, 8, bottom - 26 - body)
    pen.circle((x, bottom), 11)
    pen.circle((x, bottom), 5)
    pen.rounded([(x - 24, bottom - 26), (x + 24, bottom - 26), (x + 9, bottom - 9), (x - 9, bottom - 9)], 2)
    things.coil(pen, x, top + 54, bottom - 26, 26, 5)
    pen.box(x - 29, top + 34, 58, 9, radius=2)
    pen.box(x - 29, top + 45, 58, 9, radius=2)


def stroke() -> Pen:
    """A leg topped out beside the same leg pushed home: the seal has moved by the stroke."""
    pen = Pen(height=252)
    out, home = Leg(70, 6, 226, 132), Leg(196, 112, 226, 26)
    for it in (out, home):
        parts.leg(pen, it)
    y1, y2 = out.seal[1], home.seal[1]
    pen.line((86, y1), (268, y1), cls="fine")
    pen.line((212, y2), (268, y2), cls="fine")
    pen.dim((258, y1), (258, y2), _("stroke"), off=-0.001, label="start")
    pen.text((70, 246), _("wheel free"), anchor="middle", size=SMALL)
    pen.text((206, 246), _("pushed home, spring out"), anchor="middle", size=SMALL)
    return pen


def pressure() -> Pen:
    pen = Pen(height=196)
    c = (104.0, 98.0)
    pen.circle(c, 88)
    pen.circle(c, 62)
    pen.circle(c, 58, cls="fine")
    for n in range(5):
        for lean in (-7, 7):
            pen.line(on_circle(c, 15, 72 * n - 54 + lean * 2.4), on_circle(c, 58, 72 * n - 54 + lean), cls="fine")
    pen.circle(c, 14)
    pen.circle(c, 6)
    valve = on_circle(c, 58, 0)
    inner = on_circle(c, 44, 0)
    pen.capsule(valve, inner, 3.4, 2.6)
    pen.curve(sub(inner, (2.0, 0.0)), (134, 118), (176, 176), (250, 182), (288, 148))
    _gauge(pen, (288.0, 92.0))
    pen.note((206, 60), _("valve"), add(inner, (4.0, -3.0)), anchor="start")
    return pen


def _gauge(pen: Pen, g: Point) -> None:
    """Draw a pressure gauge; its hose ends 56 below its middle."""
    pen.box(g[0] - 6, g[1] + 40, 12, 18, radius=2)
    pen.circle(g, 44)
    pen.circle(g, 38, cls="fine")
    for n in range(11):
        d = 135 + n * 27
        pen.line(on_circle(g, 38, d), on_circle(g, 30 if n % 5 == 0 else 33, d), cls="fine")
    pen.line(g, on_circle(g, 31, 245), cls="mark")
    pen.circle(g, 4, cls="ink")
    pen.text((g[0], g[1] + 26), _("cold"), anchor="middle", bold=True)


def air_pressure() -> Pen:
    """An air fork's leg with the wheel free and a fork pump on its valve."""
    pen = Pen(height=226)
    parts.leg(pen, Leg(96, 40, 196, 78))
    pen.rounded([(87, 26), (105, 26), (108, 40), (84, 40)], 3)
    pen.box(93, 12, 6, 14, radius=1)
    pen.curve((96, 12), (120, 2), (176, 40), (196, 120), (212, 182), (250, 184), (270, 150))
    _gauge(pen, (270.0, 94.0))
    pen.note((66, 24), _("valve"), (93, 18), anchor="end")
    pen.text((96, 219), _("wheel free, fork topped out"), anchor="middle", size=SMALL)
    return pen


def bodywork_gap() -> Pen:
    """Tyre, leg and what stands above the tyre: the gap is taken along the fork."""
    pen = Pen(height=236)
    axle = (196.0, 222.0)
    up = unit((-0.4226, -0.9063))
    pen.circle(axle, 92)
    pen.circle(axle, 66, cls="fine")
    n = (up[1], -up[0])

    def across(at: float, half: float) -> list[Point]:
        place = add(axle, times(up, at))
        return [add(place, times(n, half)), sub(place, times(n, half))]

    # A mudguard that is fixed to the lower clamp, and the radiator behind it.
    guard_top = [
        add(add(axle, times(up, 150)), p)
        for p in ((-34.0, 22.0), (0.0, 0.0), (86.0, -12.0), (164.0, 22.0), (206.0, 58.0))
    ]
    guard_low = [add(p, (-2.0, 7.0)) for p in guard_top]
    pen.rounded([(36, 92), (58, 86), (88, 176), (66, 182)], 3)
    for k in range(1, 6):
        pen.line((36 + 5 * k, 92 + 15 * k), (58 + 5 * k, 86 + 15 * k), cls="fine")
    a, b = across(0, 7), across(128, 7)
    pen.shape(a[0], a[1], b[1], b[0])
    a, b = across(122, 10), across(236, 10)
    pen.shape(a[0], a[1], b[1], b[0])
    pen.path(_band(guard_top, guard_low), "solid")
    a, b = across(156, 17), across(174, 17)
    pen.shape(a[0], a[1], b[1], b[0])
    pen.circle(axle, 6)
    # Along the fork, from the tyre to the mudguard above it.
    start = add(add(axle, times(n, -40)), times(up, (92**2 - 40**2) ** 0.5))
    end = add(start, times(up, _until(guard_low, start, up)))
    pen.dim(start, end, _("gap"), off=-0.001, label="start")
    pen.note((232, 34), _("bodywork"), add(guard_top[2], (6.0, 2.0)))
    pen.text((212, 204), _("tyre"), size=SMALL)
    pen.note((40, 44), _("radiator"), (48, 96), anchor="middle")
    return pen


def _band(high: list[Point], low: list[Point]) -> str:
    return smooth(high) + "L" + smooth(list(reversed(low)))[1:] + "Z"


def _until(line: list[Point], start: Point, way: Point) -> float:
    """Return how far from ``start`` along ``way`` a broken line is met."""
    for p, q in pairwise(line):
        d = sub(q, p)
        det = way[0] * -d[1] + d[0] * way[1]
        s = ((p[0] - start[0]) * -d[1] + d[0] * (p[1] - start[1])) / det
        t = (way[0] * (p[1] - start[1]) - way[1] * (p[0] - start[0])) / det
        if 0 <= t <= 1 and s > 0:
            return s
    return 40.0


def date_code() -> Pen:
    pen = Pen(height=190)
    c = (180.0, 330.0)
    for radius, cls in ((312, "outline"), (300, "fine"), (196, "fine"), (188, "outline")):
        pen.arc(c, radius, -122, -58, cls=cls)
    for n in range(17):
        d = -121 + n * 3.9
        pen.line(on_circle(c, 312, d), on_circle(c, 301, d + 1.6), cls="fine")
    pen.rounded([(142, 58), (246, 58), (246, 90), (142, 90)], 16)
    pen.text((194, 81), "23 19", anchor="middle", size=21, bold=True)
    pen.text((92, 83), "DOT", size=16)
    pen.line((176, 92), (156, 108), cls="mark")
    pen.line((212, 92), (232, 108), cls="mark")
    pen.text((148, 123), _("week 23"), anchor="middle", bold=True)
    pen.text((242, 123), _("of 2019"), anchor="middle", bold=True)
    pen.text((180, 182), _("last four digits, on one side only"), anchor="middle", size=SMALL)
    return pen


def weigh() -> Pen:
    pen = Pen(height=200)
    pen.ground(186)
    for x in (94.0, 250.0):
        things.scale(pen, x, 186, 30)
        pen.line((x - 30, 175), (x + 30, 175), cls="mark")
    things.person(pen, 94, 175, 158)
    things.person(pen, 250, 175, 158)
    for dx in (-44.0, 26.0):
        pen.box(250 + dx, 96, 20, 32, radius=4)
        pen.line((250 + dx + 5, 96), (250 + dx + 5, 91), (250 + dx + 15, 91), (250 + dx + 15, 96))
    pen.text((118, 26), _("in full kit"), size=SMALL)
    pen.text((276, 26), _("holding"), size=SMALL)
    pen.text((276, 42), _("the luggage"), size=SMALL)
    return pen


def papers() -> Pen:
    """Where a maker's figures stand: the manual, the plate on the frame, the spring."""
    pen = Pen(height=176)
    # The manual, open.
    pen.shape((16, 40), (64, 48), (112, 40), (112, 122), (64, 130), (16, 122))
    pen.line((64, 48), (64, 130))
    for n in range(5):
        pen.line((24, 58 + n * 12), (56, 63 + n * 12), cls="fine")
        pen.line((72, 63 + n * 12), (104, 58 + n * 12), cls="mark" if n == 2 else "fine")
    # The plate.
    pen.rounded([(136, 48), (240, 48), (240, 122), (136, 122)], 5)
    for left, top in ((143, 55), (233, 55), (143, 115), (233, 115)):
        pen.circle((left, top), 2.2)
    for n in range(3):
        pen.line((154, 68 + n * 17), (182, 68 + n * 17), cls="fine")
        pen.line((190, 68 + n * 17), (222, 68 + n * 17), cls="mark" if n == 1 else "fine")
    # The spring with its stamp.
    x = 304.0
    things.coil(pen, x, 32, 136, 30, 6)
    pen.circle((x + 4, 82), 17)
    pen.text((x + 4, 87), "9.5", anchor="middle", bold=True)
    for x, words in ((64, _("manual")), (188, _("maker's plate")), (304, _("spring"))):
        pen.text((x, 164), words, anchor="middle", size=SMALL)
    return pen
