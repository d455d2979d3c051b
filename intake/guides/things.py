"""What stands around the motorcycle in the drawings: what measures, what helps, and who is by."""

from collections.abc import Sequence

from intake.guides.svg import Pen, Point, add, along, sub, times, turned, unit


def tie(pen: Pen, x: float, y: float, half: float = 9.0) -> None:
    """Draw a cable tie round a tube: band, lock and tail, in the accent."""
    pen.line((x - half - 1.5, y), (x + half + 1.5, y), cls="mark")
    pen.shape((x + half + 1, y - 4), (x + half + 8, y - 4), (x + half + 8, y + 4), (x + half + 1, y + 4))
    pen.line((x + half + 8, y - 1), (x + half + 15, y - 5))


def phone(pen: Pen, x: float, floor: float, *, looks: int = 1, books: int = 3) -> Point:
    """Draw a phone on a stack of books, seen from its side, and return where its lens is. looks: 1 right, -1 left."""
    y = floor
    for n in range(books):
        width, height = (34.0, 30.0, 32.0, 27.0)[n % 4], 8.0
        y -= height
        pen.box(x - width / 2 + (n % 2) * 2, y, width, height, radius=1.5)
        pen.line((x - width / 2 + (n % 2) * 2 + 5, y), (x - width / 2 + (n % 2) * 2 + 5, y + height), cls="fine")
    pen.rounded([(x - 4, y - 38), (x + 4, y - 38), (x + 4, y), (x - 4, y)], 2.5)
    # A book end leans behind it.
    pen.shape((x - looks * 4, y - 16), (x - looks * 13, y), (x - looks * 4, y))
    lens = (x + looks * 4, y - 31)
    pen.circle(lens, 2.4, cls="ink")
    return lens


def view(pen: Pen, lens: Point, *points: Point) -> None:
    """Draw what a lens or an eye sees: fine dashes to the edges of it."""
    for point in points:
        pen.line(lens, point, cls="ghost")


def rule(pen: Pen, x: float, top: float, bottom: float, *, wide: float = 11.0, step: float = 5.0) -> None:
    """Draw an upright rule with its graduation on the left edge."""
    pen.box(x, top, wide, bottom - top)
    ticks = int((bottom - top) // step)
    for n in range(1, ticks + (0 if (bottom - top) % step < 0.01 else 1)):
        long = wide * (0.62 if n % 5 == 0 else 0.36)
        pen.line((x, bottom - n * step), (x + long, bottom - n * step), cls="fine")


def scale(pen: Pen, x: float, floor: float, half: float = 24.0) -> None:
    """Draw a bathroom scale under whatever stands at ``x``: its top lies 11 above the floor."""
    pen.rounded(
        [(x - half, floor - 11), (x + half, floor - 11), (x + half - 3, floor - 2), (x - half + 3, floor - 2)], 3
    )
    for side in (-1, 1):
        pen.line((x + side * (half - 9), floor - 2), (x + side * (half - 9), floor))


def threads(pen: Pen, x: float, top: float, bottom: float, half: float, pitch: float = 4.0) -> None:
    """Draw a threaded tube."""
    pen.box(x - half, top, 2 * half, bottom - top)
    count = int((bottom - top) / pitch)
    for n in range(1, count):
        pen.line((x - half, top + n * pitch), (x + half, top + n * pitch - 2), cls="fine")


def coil(pen: Pen, x: float, top: float, bottom: float, half: float, coils: int) -> None:
    """Draw a coil spring seen from its side: the wires in front as slanting bars."""
    pitch = (bottom - top) / coils
    for n in range(coils):
        y = top + n * pitch
        pen.capsule((x - half, y + pitch - 4), (x + half, y + pitch * 0.42), 4, 4)


def person(pen: Pen, x: float, floor: float, tall: float = 150.0) -> None:
    """Draw somebody standing in full kit, from the front."""
    k = tall / 150.0
    hip, neck = floor - 72 * k, floor - 124 * k
    for side in (-1, 1):
        pen.capsule((x + side * 7 * k, hip), (x + side * 9 * k, floor - 8 * k), 8.5 * k, 6.5 * k)
        pen.capsule((x + side * 16 * k, neck + 9 * k), (x + side * 22 * k, hip + 4 * k), 6 * k, 4.8 * k)
        pen.rounded(
            [
                (x + side * 4 * k, floor),
                (x + side * 16 * k, floor),
                (x + side * 15 * k, floor - 9 * k),
                (x + side * 4 * k, floor - 9 * k),
            ],
            3 * k,
        )
    pen.rounded(
        [(x - 18 * k, neck + 2), (x + 18 * k, neck + 2), (x + 14 * k, hip + 6 * k), (x - 14 * k, hip + 6 * k)], 7 * k
    )
    pen.circle((x, neck - 12 * k), 13.5 * k)
    pen.rounded(
        [
            (x - 10 * k, neck - 17 * k),
            (x + 10 * k, neck - 17 * k),
            (x + 8 * k, neck - 7 * k),
            (x - 8 * k, neck - 7 * k),
        ],
        3 * k,
        cls="fine",
    )


def strap(pen: Pen, *points: Point) -> None:
    """Draw a strap with its buckle half way."""
    pen.line(*points)
    a, b = points[0], points[-1]
    middle, way = along(a, b, 0.5), unit(sub(b, a))
    n = turned(way)
    corners: Sequence[Point] = [
        add(middle, add(times(way, sx * 7), times(n, sy * 4))) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    pen.rounded(corners, 2)


def mirror(pen: Pen, foot: Point, lean: float = 14.0, tall: float = 52.0) -> None:
    """Draw a mirror that leans back, seen from its side."""
    x, y = foot
    pen.shape((x, y), (x + lean, y - tall), (x + lean + 4, y - tall + 1), (x + 4, y))
    pen.line((x + lean * 0.8, y - tall * 0.8), (x + lean + 16, y))
