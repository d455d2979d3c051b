"""Drawings that show the whole motorcycle."""

from django.utils.translation import gettext as _

from intake.guides import parts, things
from intake.guides.parts import Bike
from intake.guides.svg import SMALL, Pen, Point, add, along, on_circle, sub, times, unit

SCALE = 0.155


def _front_length(pen: Pen, bike: Bike, words: str, off: float = -54.0) -> None:
    """Dimension the bare tube, from the seal to the axle clamp, ahead of the tyre."""
    pen.dim(bike.seal, bike.casting, words, off=off)


def _rear_length(pen: Pen, bike: Bike, words: str, shift: float = 26.0) -> None:
    """Dimension from the rear axle straight up to the mark on the tail."""
    top = bike.tail_mark
    pen.dim(bike.rear_axle, top, words, off=0.001, label="end", shift=shift)
    for lean in (-1, 1):
        pen.line(add(top, (-4.0, -4.0 * lean)), add(top, (4.0, 4.0 * lean)))


def side() -> Pen:
    """The motorcycle with the lengths a rider measures."""
    pen = Pen(height=226)
    bike = Bike((52, 192), SCALE)
    pen.ground(192)
    parts.motorcycle(pen, bike)
    _front_length(pen, bike, "")
    pen.text((356, 82), "L0–L2", anchor="end", bold=True)
    _rear_length(pen, bike, "L0–L2")
    return pen


def topped_out_front() -> Pen:
    pen = Pen(height=404)
    bike = Bike((52, 196), SCALE, front=0, rear=26, lift_front=130)
    pen.ground(196)
    parts.motorcycle(pen, bike)
    parts.stand(pen, bike.at((850, 236)), 196)
    pen.note((178, 222), _("stand under frame or engine"), (bike.at((850, 236))[0], 176), anchor="middle")
    bottom = add(bike.front_axle, (0.0, bike.mm(parts.TYRE)))
    pen.dim(bottom, (bottom[0], 196), off=0.001, measured=False)
    pen.text((bottom[0] + 9, 191), _("free"), size=SMALL)
    _front_length(pen, bike, "L0")
    # The tube by itself, on both sorts of fork.
    usd, usual = parts.Leg(74, 242, 374, 66), parts.Leg(244, 242, 374, 66, usual=True)
    for it in (usd, usual):
        parts.leg(pen, it)
    pen.dim(usd.seal, usd.end, "L0", off=-30, gap=12)
    pen.dim(usual.end, usual.seal, "L0", off=-30, gap=17)
    pen.note((118, 268), _("seal"), add(usd.seal, (12.0, -3.0)))
    pen.note((118, 370), _("axle clamp"), add(usd.end, (10.0, 10.0)))
    pen.note((288, 256), _("clamp"), add(usual.end, (14.0, -8.0)))
    pen.note((288, 346), _("seal"), add(usual.seal, (12.0, 3.0)))
    pen.text((74, 396), _("upside-down fork"), anchor="middle", size=SMALL)
    pen.text((244, 396), _("the usual way up"), anchor="middle", size=SMALL)
    return pen


def topped_out_rear() -> Pen:
    pen = Pen(height=226)
    bike = Bike((60, 196), SCALE, front=48, rear=0, lift_rear=120)
    pen.ground(196)
    parts.motorcycle(pen, bike)
    parts.stand(pen, bike.at((690, 222)), 196)
    _rear_length(pen, bike, "L0", shift=24)
    bottom = add(bike.rear_axle, (0.0, bike.mm(parts.TYRE)))
    pen.dim(bottom, (bottom[0], 196), off=0.001, measured=False)
    pen.text((bottom[0] + 9, 192), _("free"), size=SMALL)
    pen.note((178, 221), _("stand under frame or engine"), (bike.at((690, 222))[0], 176), anchor="middle")
    grip = bike.at((1000, 1080))
    pen.line(add(grip, (2.0, -4.0)), add(grip, (-2.0, 4.0)), cls="mark")
    pen.note((grip[0] + 56, grip[1] - 6), _("brake held"), grip)
    return pen


def bike_alone() -> Pen:
    pen = Pen(height=242)
    bike = Bike((52, 222), SCALE, front=28, rear=10)
    pen.ground(222)
    grip = bike.at((1020, 1080))
    pen.line((grip[0] - 40, 6), (grip[0] + 40, 6))
    things.strap(pen, (grip[0], 6), grip)
    pen.text((grip[0] - 14, 32), _("strap to a beam"), anchor="end", size=SMALL)
    parts.motorcycle(pen, bike)
    _front_length(pen, bike, "L1")
    _rear_length(pen, bike, "L1")
    return pen


def rider_aboard() -> Pen:
    pen = Pen(height=246)
    bike = Bike((98, 222), 0.13, front=42, rear=36)
    pen.ground(222)
    parts.motorcycle(pen, bike)
    parts.rider(pen, bike)
    _front_length(pen, bike, "L2", off=-46)
    lens = things.phone(pen, 22, 222, books=4)
    things.view(pen, lens, add(bike.tail_mark, (-2.0, -8.0)), add(bike.rear_axle, (0.0, 12.0)))
    _rear_length(pen, bike, "L2", shift=19)
    things.mirror(pen, (328, 222), lean=12, tall=44)
    pen.text((356, 241), _("mirror"), anchor="end", size=SMALL)
    pen.note((46, 86), _("phone, filming"), (22, lens[1] - 4), anchor="middle")
    pen.text((10, 20), _("full kit, feet up,"), size=SMALL)
    pen.text((10, 36), _("brakes off"), size=SMALL)
    return pen


def scales() -> Pen:
    pen = Pen(height=222)
    bike = Bike((52, 180), SCALE)
    pen.ground(191)
    for axle in (bike.rear_axle, bike.front_axle):
        things.scale(pen, axle[0], 191, 34)
    parts.motorcycle(pen, bike)
    for axle, words in ((bike.rear_axle, _("rear")), (bike.front_axle, _("front"))):
        pen.line((axle[0] - 34, 180), (axle[0] + 34, 180), cls="mark")
        pen.text((axle[0], 216), words, anchor="middle", bold=True)
    pen.text((bike.at((710, 0))[0], 216), _("both at one height"), anchor="middle", size=SMALL)
    return pen


def friction() -> Pen:
    """Two legs at rest after being pressed and after being lifted: what lies between them is friction."""
    pen = Pen(height=236)
    low, high = parts.Leg(66, 40, 206, 62), parts.Leg(196, 24, 206, 84)
    for it in (low, high):
        parts.leg(pen, it)
    pen.push((66, 2), (66, 34))
    pen.push((196, 22), (196, 0))
    y1, y2 = low.seal[1], high.seal[1]
    middle = (y1 + y2) / 2
    pen.line((84, y1), (290, y1), cls="fine")
    pen.line((214, y2), (290, y2), cls="fine")
    pen.line((20, middle), (290, middle), cls="ghost")
    pen.line((20, 178), (186, 178), cls="fine")
    pen.dim((34, middle), (34, 178), _("L"), off=0.001, label="end")
    pen.dim((284, y2), (284, y1), off=0.001, measured=False)
    pen.text((230, y2 - 8), _("the gap is friction"), size=SMALL)
    pen.text((232, y1 + 18), _("the middle is"), size=SMALL)
    pen.text((232, y1 + 34), _("the reading"), size=SMALL)
    pen.text((66, 229), _("pressed, let rise"), anchor="middle", size=SMALL)
    pen.text((206, 229), _("lifted, let settle"), anchor="middle", size=SMALL)
    return pen


def settle() -> Pen:
    """What the phone sees, and where it stands."""
    pen = Pen(height=352)
    # The picture on the phone.
    pen.rounded([(8, 4), (352, 4), (352, 206), (8, 206)], 14)
    pen.rounded([(22, 14), (338, 14), (338, 196), (22, 196)], 3, cls="pale")
    pen.circle((345, 105), 2.6, cls="ink")
    bike = Bike((78, 186), 0.118, front=34, rear=14)
    pen.line((22, 186), (338, 186))
    parts.motorcycle(pen, bike)
    things.rule(pen, 318, 76, 186)
    bar = bike.at((1020, 1085))
    pen.push((bar[0], bar[1] - 38), (bar[0], bar[1] - 6))
    pen.text((bar[0] - 14, bar[1] - 22), _("push hard once, let go"), anchor="end", size=SMALL)
    pen.note((282, 32), _("rule"), (322, 78), anchor="end")
    # Where it stands: seen from behind the bike.
    floor = 340.0
    pen.ground(floor)
    lens = things.phone(pen, 40, floor, books=4)
    x = 272.0
    pen.rounded([(x - 8, floor - 78), (x + 8, floor - 78), (x + 8, floor), (x - 8, floor)], 8)
    for side in (-1, 1):
        pen.box(x + side * 14 - 4, floor - 96, 8, 62, radius=2)
        pen.capsule((x + side * 8, floor - 100), (x + side * 42, floor - 104), 3.4, 3.4)
    pen.box(x - 22, floor - 92, 44, 8, radius=2)
    pen.rounded([(x - 12, floor - 118), (x + 12, floor - 118), (x + 10, floor - 96), (x - 10, floor - 96)], 6)
    things.rule(pen, x - 56, floor - 84, floor, wide=8)
    things.view(pen, lens, (x - 56, floor - 84), (x - 56, floor))
    pen.dim((44, floor - 84), (x - 46, floor - 84), _("about 2 m (7 ft)"), off=-18, measured=False, gap=16)
    pen.text((40, floor - 76), _("phone still"), anchor="middle", size=SMALL)
    return pen


def geometry() -> Pen:
    pen = Pen(height=286)
    bike = Bike((52, 220), SCALE, front=28, rear=10)
    pen.ground(220)
    parts.motorcycle(pen, bike)
    rear, front = bike.rear_axle, bike.front_axle
    pen.dim((rear[0], 220), (front[0], 220), _("wheelbase"), off=46)
    pen.dim(rear, bike.at(parts.PIVOT), off=-40)
    pen.text((6, 114), _("swingarm"), bold=True)
    low = on_circle(rear, bike.mm(parts.TYRE), 90)
    pen.dim(rear, low, off=0.001)
    pen.text((rear[0] + 8, 239), _("wheel radius"), size=SMALL)
    # The steering axis meets the ground ahead of the tyre's contact: that is the trail.
    way = unit(sub(bike.on_leg(700), bike.on_leg(0)))
    n = (way[1], -way[0])
    axis_high, axis_low = sub(bike.on_leg(-310), times(n, bike.mm(35))), sub(bike.on_leg(600), times(n, bike.mm(35)))
    reach = (220 - axis_high[1]) / (axis_low[1] - axis_high[1])
    foot: Point = along(axis_high, axis_low, reach)
    pen.line(axis_high, foot, cls="ghost")
    pen.dim((front[0], 220), (foot[0], 220), off=22, measured=False)
    pen.text((foot[0] + 22, 246), _("trail"), size=SMALL)
    top = axis_high
    pen.line((top[0], top[1] + 44), (top[0], top[1] - 6), cls="fine")
    pen.arc(top, 38, 90, 65, cls="fine")
    pen.text((top[0] + 26, top[1] + 26), _("rake"), size=SMALL)
    return pen
