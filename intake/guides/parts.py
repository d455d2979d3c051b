"""The motorcycle in the drawings, in a plain schematic of our own, and its parts by themselves.

The motorcycle is built from points in millimetres (x forward, y up, the origin on the ground under the rear axle) and
stands as its two ends are compressed: the lengths that a drawing measures are those the points have.
"""

import math
from dataclasses import dataclass

from intake.guides.svg import Pen, Point, add, along, on_circle, sub, times, turned, unit

#: Steering axis 25° from the vertical; the wheels' outer and rim radii.
RAKE = math.radians(25.0)
TYRE, RIM = 300.0, 215.0
UP_THE_FORK = (-math.sin(RAKE), math.cos(RAKE))
#: Topped out, the front axle lies this far below the upper clamp's top along the leg, the swingarm this far down.
LEG = 745.0
PIVOT = (560.0, 395.0)
SWINGARM = 572.0
HEAD = (1137.0, 945.0)
#: Along the leg, from its top: the upper clamp, the lower clamp, the end of the outer tube (where the seal sits).
CLAMP_HIGH, CLAMP_LOW, SEAL = (18.0, 62.0), (205.0, 255.0), 480.0
#: The casting that holds the axle, above the axle's middle.
CASTING = 42.0


@dataclass(frozen=True)
class Bike:
    """The motorcycle at one place on the page.

    front, rear: how far each end is compressed, mm from topped out, along the fork and at the axle. lift_front,
    lift_rear: how high each wheel hangs above the ground. origin: where the ground lies under the rear axle.
    """

    origin: Point
    scale: float
    front: float = 28.0
    rear: float = 12.0
    lift_front: float = 0.0
    lift_rear: float = 0.0

    def _axles(self) -> tuple[Point, Point]:
        """Return the axles in the chassis's own coordinates: rear, front."""
        front = add(HEAD, times(UP_THE_FORK, -(LEG - self.front)))
        drop = math.asin((PIVOT[1] - TYRE + 62.0 - self.rear) / SWINGARM)
        return sub(PIVOT, (SWINGARM * math.cos(drop), SWINGARM * math.sin(drop))), front

    def at(self, point: Point) -> Point:
        """Return where a point of the chassis, in mm, lies on the page."""
        rear, front = self._axles()
        reach = math.dist(rear, front)
        way = sub(front, rear)
        pitch = math.asin((self.lift_front - self.lift_rear) / reach) - math.atan2(way[1], way[0])
        x, y = sub(point, rear)
        x, y = x * math.cos(pitch) - y * math.sin(pitch), x * math.sin(pitch) + y * math.cos(pitch)
        y += TYRE + self.lift_rear
        return self.origin[0] + x * self.scale, self.origin[1] - y * self.scale

    @property
    def rear_axle(self) -> Point:
        return self.at(self._axles()[0])

    @property
    def front_axle(self) -> Point:
        return self.at(self._axles()[1])

    def on_leg(self, down: float) -> Point:
        """Return the point of the fork leg ``down`` mm below its top; negative beyond the axle is not checked."""
        return self.at(add(HEAD, times(UP_THE_FORK, -down)))

    @property
    def seal(self) -> Point:
        return self.on_leg(SEAL)

    @property
    def casting(self) -> Point:
        return self.on_leg(LEG - self.front - CASTING)

    @property
    def tail_mark(self) -> Point:
        """Return the mark on the tail, straight above the rear axle as the bike stands."""
        low, high = self.at((-60.0, 872.0)), self.at((200.0, 838.0))
        share = (self.rear_axle[0] - low[0]) / (high[0] - low[0])
        return along(low, high, share)

    def mm(self, length: float) -> float:
        return length * self.scale


def motorcycle(pen: Pen, bike: Bike, *, simple: bool = False) -> None:
    """Draw the whole motorcycle from its right side."""
    at = bike.at
    tyre(pen, bike.rear_axle, bike, disc=115.0, simple=simple)
    tyre(pen, bike.front_axle, bike, disc=155.0, simple=simple)
    subframe(pen, bike)
    swingarm(pen, bike)
    suspension(pen, bike)
    pen.rounded(
        [
            at(p)
            for p in (
                (545, 560),
                (655, 705),
                (1010, 770),
                (1085, 700),
                (1040, 400),
                (960, 250),
                (640, 215),
                (540, 330),
            )
        ],
        bike.mm(60),
    )
    if not simple:
        for n in range(4):
            pen.line(at((745 + 9 * n, 500 + 42 * n)), at((1040 + 2 * n, 510 + 42 * n)), cls="fine")
        pen.circle(at((700, 345)), bike.mm(78), cls="pale")
        pen.circle(at((895, 365)), bike.mm(58), cls="pale")
        pen.curve(at((1035, 600)), at((1105, 520)), at((1075, 330)), at((950, 225)), at((800, 195)), cls="fine")
    # Main spar: head to pivot.
    pen.rounded(
        [
            at(p)
            for p in (
                (1085, 905),
                (1150, 760),
                (1010, 690),
                (690, 480),
                (610, 340),
                (520, 350),
                (545, 480),
                (770, 745),
            )
        ],
        bike.mm(45),
    )
    pen.circle(at(PIVOT), bike.mm(24))
    fork(pen, bike)
    mudguard(pen, bike)
    # Tank, seat, tail: one flowing line each.
    pen.curve(
        *(
            at(p)
            for p in (
                (1098, 930),
                (1060, 1010),
                (960, 1045),
                (820, 1010),
                (705, 905),
                (660, 835),
                (800, 790),
                (1000, 830),
            )
        ),
        cls="solid",
        closed=True,
    )
    tail(pen, bike)
    if not simple:
        pen.curve(at((455, 826)), at((420, 800)), at((432, 770)), cls="fine")
        pen.curve(at((880, 1028)), at((905, 930)), at((860, 815)), cls="fine")
    # Bars, lamp, mirror stalk left out: they hide what is measured.
    pen.curve(
        at((1205, 985)), at((1262, 905)), at((1235, 830)), at((1170, 830)), at((1150, 900)), cls="solid", closed=True
    )
    pen.line(at((1120, 965)), at((1075, 1065)), cls="outline")
    pen.capsule(at((1085, 1060)), at((975, 1078)), bike.mm(16), bike.mm(18))
    # Foot peg.
    pen.capsule(at((640, 395)), at((700, 392)), bike.mm(11), bike.mm(11))


def subframe(pen: Pen, bike: Bike) -> None:
    outline = ((520, 470), (420, 760), (205, 835), (190, 862), (500, 842), (640, 770), (640, 470))
    pen.rounded([bike.at(p) for p in outline], 5)


def suspension(pen: Pen, bike: Bike) -> None:
    """Draw the shock between swingarm and frame."""
    spring(pen, bike.at((470, 455)), bike.at((560, 735)), bike.mm(38), 7)


def tail(pen: Pen, bike: Bike) -> None:
    """Draw seat and tail, one line from the tank to the end."""
    outline = (
        (668, 842), (560, 800), (420, 838), (250, 915), (60, 955), (-62, 948),
        (-72, 905), (60, 868), (230, 838), (430, 768), (620, 772),
    )  # fmt: skip
    pen.curve(*(bike.at(p) for p in outline), cls="solid", closed=True)


def tyre(pen: Pen, axle: Point, bike: Bike, *, disc: float, simple: bool = False) -> None:
    pen.circle(axle, bike.mm(TYRE))
    pen.circle(axle, bike.mm(RIM), cls="fine")
    if not simple:
        for n in range(5):
            for lean in (-7, 7):
                pen.line(
                    on_circle(axle, bike.mm(48), 72 * n - 90 + lean * 2.4),
                    on_circle(axle, bike.mm(RIM), 72 * n - 90 + lean),
                    cls="fine",
                )
        pen.circle(axle, bike.mm(disc), cls="fine")
    pen.circle(axle, bike.mm(36), cls="pale")


def swingarm(pen: Pen, bike: Bike) -> None:
    axle, pivot = bike.rear_axle, bike.at(PIVOT)
    n = turned(unit(sub(pivot, axle)))
    outline = [
        add(axle, times(n, -bike.mm(30))),
        add(along(axle, pivot, 0.55), times(n, -bike.mm(52))),
        add(pivot, times(n, -bike.mm(48))),
        add(pivot, times(n, bike.mm(48))),
        add(axle, times(n, bike.mm(30))),
    ]
    pen.rounded(outline, bike.mm(22))
    pen.circle(axle, max(2.2, bike.mm(17)))


def fork(pen: Pen, bike: Bike) -> None:
    """Draw the near leg, upside-down sort: outer tube in two clamps, seal, bare tube, axle casting."""
    way = unit(sub(bike.on_leg(700), bike.on_leg(0)))

    def across(down: float, half: float) -> tuple[Point, Point]:
        n = times(turned(way), bike.mm(half))
        return add(bike.on_leg(down), n), sub(bike.on_leg(down), n)

    def tube(top: float, bottom: float, half: float, cls: str = "solid") -> None:
        a, b = across(top, half)
        c, d = across(bottom, half)
        pen.shape(a, b, d, c, cls=cls)

    foot = LEG - bike.front
    tube(SEAL, foot - CASTING, 22)
    tube(foot - CASTING, foot + 34, 32)
    pen.circle(bike.on_leg(foot), max(2.2, bike.mm(17)))
    tube(0, SEAL, 31)
    tube(SEAL - 26, SEAL, 34, cls="fine")
    for top, bottom in (CLAMP_HIGH, CLAMP_LOW):
        tube(top, bottom, 42)


def mudguard(pen: Pen, bike: Bike) -> None:
    axle = bike.front_axle
    outer = [on_circle(axle, bike.mm(TYRE + 26), d) for d in range(-165, -54, 10)]
    inner = [on_circle(axle, bike.mm(TYRE + 10), d) for d in range(-55, -166, -10)]
    pen.shape(*outer, *inner)


def rider(pen: Pen, bike: Bike) -> None:
    """Draw the rider in riding posture, feet on the pegs."""
    at, mm = bike.at, bike.mm
    hip, shoulder, hand, elbow = at((560, 890)), at((765, 1330)), at((1015, 1085)), at((845, 1075))
    knee, ankle = at((930, 800)), at((655, 455))
    pen.capsule(at((640, 428)), at((790, 408)), mm(34), mm(24))
    pen.capsule(knee, ankle, mm(62), mm(46))
    pen.capsule(hip, knee, mm(98), mm(68))
    pen.capsule(hip, shoulder, mm(118), mm(112))
    pen.capsule(elbow, hand, mm(46), mm(34))
    pen.capsule(shoulder, elbow, mm(62), mm(48))
    head = at((860, 1500))
    pen.circle(head, mm(132))
    # Visor: the front of the helmet, looking ahead.
    pen.line(
        add(head, (mm(126), mm(-36))),
        add(head, (mm(30), mm(-28))),
        add(head, (mm(34), mm(42))),
        add(head, (mm(124), mm(48))),
        cls="fine",
    )


def stand(pen: Pen, top: Point, floor: float, spread: float = 17.0) -> None:
    """Draw a trestle from the floor to ``top``."""
    x, y = top
    pen.shape((x - 12, y), (x + 12, y), (x + 12, y + 5), (x - 12, y + 5))
    for side in (-1, 1):
        foot = (x + side * spread, floor)
        pen.shape(
            (x + side * 4, y + 5), (x + side * 9, y + 5), (foot[0] + side * 3, floor), (foot[0] - side * 3, floor)
        )
    half = 5 + (spread - 5) * 0.62
    pen.line((x - half, y + (floor - y) * 0.66), (x + half, y + (floor - y) * 0.66))


def spring(pen: Pen, low: Point, high: Point, half: float, coils: int, cls: str = "outline") -> None:
    """Draw a coil spring between two points as a zigzag."""
    n = times(turned(unit(sub(high, low))), half)
    points = [low]
    for k in range(coils * 2):
        middle = along(low, high, (k + 0.5) / (coils * 2))
        points.append(add(middle, n) if k % 2 == 0 else sub(middle, n))
    pen.line(*points, high, cls=cls)


@dataclass(frozen=True)
class Leg:
    """A fork leg by itself, upright on the page: ``x`` its middle, ``top`` and ``bottom`` of the whole in page units,
    ``bare`` the length of tube that shows. ``usual``: the outer tube is below, as on a fork the usual way up."""

    x: float
    top: float
    bottom: float
    bare: float
    usual: bool = False

    @property
    def seal(self) -> Point:
        """Return the place where the bare tube meets the seal."""
        return (self.x, self.bottom - 62) if self.usual else (self.x, self.bottom - 28 - self.bare)

    @property
    def end(self) -> Point:
        """Return the place where the bare tube meets the fixed part: axle clamp, or lower fork clamp."""
        return (self.x, self.bottom - 62 - self.bare) if self.usual else (self.x, self.bottom - 28)


def leg(pen: Pen, it: Leg, half: float = 13.0) -> None:
    x, seal, end = it.x, it.seal[1], it.end[1]
    inner = half - 4.0
    if it.usual:
        pen.box(x - inner, it.top, 2 * inner, seal - it.top)
        pen.box(x - half - 4, end - 15, 2 * half + 8, 15, radius=2)
        pen.box(x - half, seal, 2 * half, it.bottom - seal, radius=5)
        pen.box(x - half - 1, seal, 2 * half + 2, 6)
    else:
        pen.box(x - inner, seal, 2 * inner, end - seal)
        pen.box(x - half, it.top, 2 * half, seal - it.top)
        pen.box(x - half - 1, seal - 7, 2 * half + 2, 7)
        low = it.top + max(10.0, (seal - it.top) * 0.22)
        pen.box(x - half - 4, low, 2 * half + 8, 15, radius=2)
        pen.box(x - half + 1, end, 2 * half - 2, it.bottom - end, radius=5)
    pen.circle((x, it.bottom - 13), 5.5)
