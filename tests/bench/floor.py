"""What the engine's answers cost at the very least: the same formulas on plain arrays, for one bike or many.

Written from the formulas, not from the engine, and short of all that makes an answer worth having: no uncertainty,
no checks, nothing validated, nothing missing, one architecture (coils and air in the fork, one leverage, a swingarm).
The benchmark divides by it and first holds every value against ``derive``.
"""

import json
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Values = dict[str, Array]

G = 9.80665
AMBIENT = 101.325e-3  # N/mm²
HEAD_UP_AXIS, SEAT_SHARE, SEAT_HEIGHT = 500.0, 0.35, 800.0
STOPS = ("gentle", "firm", "limit")
#: Passes of the stop's fixed point: each leaves about a seventh of the error.
PASSES = 14


def load(texts: Iterable[str]) -> Values:
    """Return the readings of documents, one array each; two approaches to one length are meant."""
    rows = [_readings(json.loads(text)) for text in texts]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def _readings(document: Mapping[str, Any]) -> dict[str, float]:
    found: dict[str, list[float]] = {}
    for row in document["readings"]:
        key = f"{row['quantity']}.{row.get('end', '')}{row.get('approach', '')[5:]}"
        found.setdefault(key, []).append(row["value"])
    return {key: sum(each) / len(each) for key, each in found.items()}


class Plane:
    """The rigid chassis on two wheels, and the springs and the body that it carries."""

    def __init__(self, r: Values, front: Array, rear: Array) -> None:
        """``front``, ``rear``: travels, mm, at which the published figures hold."""
        self.rake, self.base = np.radians(r["rake."]), r["wheelbase."]
        self.front, self.rear = r["wheel_radius.front"], r["wheel_radius.rear"]
        self.offset = self.front * np.sin(self.rake) - r["ground_trail."] * np.cos(self.rake)
        self.arm, self.angle = r["swingarm_length."], np.radians(r["swingarm_angle."])
        self.travels = front, rear

    def at(self, front: Array, rear: Array) -> Values:
        up, rise = front - self.travels[0], rear - self.travels[1]
        arm = np.arcsin(np.sin(self.angle) - rise / self.arm)
        back = self.arm * (np.cos(self.angle) - np.cos(arm))
        ahead = self.base - up * np.sin(self.rake) - back
        above = self.front + up * np.cos(self.rake) - self.rear - rise
        step, apart = self.front - self.rear, np.hypot(ahead, above)
        pitch = np.arctan2(above, ahead) - np.arcsin(step / apart)
        now = {
            "rake": self.rake - pitch,
            "pitch": pitch,
            "wheelbase": np.sqrt(apart**2 - step**2),
            "arm": arm - pitch,
        }
        return now | {"back": back, "axle": self.rear + rise}

    def place(self, now: Values, x: Array, z: Array) -> tuple[Array, Array]:
        """Return where a chassis point is: ahead of the rear contact, and above the ground."""
        ahead, above, sine, cosine = x - now["back"], z - now["axle"], np.sin(now["pitch"]), np.cos(now["pitch"])
        return ahead * cosine + above * sine, self.rear + above * cosine - ahead * sine

    def head(self, now: Values) -> Array:
        x = self.base - self.offset * np.cos(self.rake) - HEAD_UP_AXIS * np.sin(self.rake)
        return self.place(now, x, self.front - self.offset * np.sin(self.rake) + HEAD_UP_AXIS * np.cos(self.rake))[1]

    def seat(self, now: Values) -> Array:
        return self.place(now, SEAT_SHARE * self.base, np.full_like(self.base, SEAT_HEIGHT))[1]


def formulas(r: Values) -> Values:
    """Return the values of every document by key, (D,) each, as ``derive`` names them."""
    v: Values = {}
    sags: dict[str, tuple[Array, Array]] = {}
    for end in ("front", "rear"):
        stroke, topped = r[f"stroke.{end}"], r[f"length_topped_out.{end}"]
        below, above = r[f"length_rider_aboard.{end}below"], r[f"length_rider_aboard.{end}above"]
        sags[end] = topped - r[f"length_bike_alone.{end}"], topped - (below + above) / 2
        v[f"sag_bike_alone.{end}"], v[f"sag_rider_aboard.{end}"] = sags[end]
        v[f"sag_bike_alone_share.{end}"], v[f"sag_rider_aboard_share.{end}"] = (sag / stroke for sag in sags[end])
        v[f"friction_band.{end}"] = np.abs(above - below) / 2
        for ride in ("normal", "hardest"):
            v[f"reserve_{ride}.{end}"] = stroke - r[f"deepest_{ride}.{end}"]
        v[f"reserve_normal_share.{end}"] = v[f"reserve_normal.{end}"] / stroke
    masses = {end: (r[f"scale_bike_alone.{end}"], r[f"scale_rider_aboard.{end}"]) for end in ("front", "rear")}
    v["load_share_front"] = masses["front"][1] / (masses["front"][1] + masses["rear"][1])
    fork, shock = _springs(r, v, sags, masses)
    plane = Plane(r, sags["front"][0], sags["rear"][0])
    top, none = None, np.zeros_like(plane.base)
    states = {"topped_out": (none, none), "bike_alone": (sags["front"][0], sags["rear"][0])}
    states["rider_aboard"] = sags["front"][1], sags["rear"][1]
    for state, travels in states.items():
        now = plane.at(*travels)
        top = top or now
        _attitude(v, plane, now, top, state)
    v["clearance.front"] = r["bodywork_gap.front"] - r["stroke.front"]
    _braking(r, v, plane, now, top or now, (fork, shock))
    return v


def _attitude(v: Values, plane: Plane, now: Values, top: Values, state: str) -> None:
    normal = plane.front * np.sin(now["rake"]) - plane.offset
    v[f"rake_{state}"], v[f"swingarm_angle_{state}"] = np.degrees(now["rake"]), np.degrees(now["arm"])
    v[f"ground_trail_{state}"], v[f"normal_trail_{state}"] = normal / np.cos(now["rake"]), normal
    v[f"wheelbase_{state}"] = now["wheelbase"]
    if now is not top:
        v[f"head_drop_{state}"] = plane.head(top) - plane.head(now)
        v[f"seat_drop_{state}"] = plane.seat(top) - plane.seat(now)


Fork = tuple[Array, Array, Array, Array]


def fork_force(fork: Fork, s: Array, exponent: float = 1.0) -> Array:
    """Return the force of coils and air together, N. ``fork``: rate, preload, area and volume, both legs."""
    rate, preload, area, volume = fork
    air = AMBIENT * ((volume / (volume - area * s)) ** exponent - 1)
    return rate * np.maximum(s + preload, 0.0) + area * air


def fork_rate(fork: Fork, s: Array) -> Array:
    rate, preload, area, volume = fork
    return np.where(s + preload >= 0, rate, 0.0) + AMBIENT * area**2 * volume / (volume - area * s) ** 2


def _springs(
    r: Values, v: Values, sags: Mapping[str, tuple[Array, Array]], masses: Mapping[str, tuple[Array, Array]]
) -> tuple[Fork, tuple[Array, Array, Array]]:
    rake, leverage = np.radians(r["rake."]), r["leverage.rear"]
    # Both legs: two areas, two volumes.
    area = np.pi / 4 * r["tube_bore."] ** 2
    volume = area * (r["oil_level."] + r["stroke.front"]) - r["spring_volume."] * 1000
    air = (np.zeros_like(area), np.zeros_like(area), 2 * area, 2 * volume)
    (x1, x2), (m1, m2) = sags["front"], masses["front"]
    v["implied_fork_rate"] = (m2 - m1) * G * np.cos(rake) / (x2 - x1)
    f1, f2 = ((m - r["unsprung_mass.front"]) * G * np.cos(rake) - fork_force(air, x) for m, x in ((m1, x1), (m2, x2)))
    rate = (f2 - f1) / (x2 - x1)
    fork = (rate, f1 / rate - x1, 2 * area, 2 * volume)
    v["fork_spring_rate"], v["fork_spring_preload"] = fork[:2]
    v["end_force_still.front"] = fork_force(fork, r["stroke.front"])
    v["end_force_quick.front"] = fork_force(fork, r["stroke.front"], 1.4)
    axial = fork_rate(fork, x2)
    v["wheel_rate.front"], v["friction_force.front"] = axial / np.cos(rake) ** 2, v["friction_band.front"] * axial
    (x1, x2), (m1, m2) = sags["rear"], masses["rear"]
    v["implied_rear_wheel_rate"] = (m2 - m1) * G / (x2 - x1)
    v["implied_shock_rate"] = v["implied_rear_wheel_rate"] * leverage**2
    rate = v["wheel_rate.rear"] = v["implied_rear_wheel_rate"]
    preload = (m1 - r["unsprung_mass.rear"]) * G / rate - x1
    v["shock_spring_rate"], v["shock_spring_preload"] = rate * leverage**2, preload / leverage
    v["friction_force.rear"] = v["friction_band.rear"] * rate
    for end in ("front", "rear"):
        sprung = masses[end][1] - r[f"unsprung_mass.{end}"]
        v[f"ride_frequency.{end}"] = np.sqrt(1000 * v[f"wheel_rate.{end}"] / sprung) / (2 * np.pi)
    v["ride_frequency_ratio"] = v["ride_frequency.rear"] / v["ride_frequency.front"]
    return fork, (rate, preload, r["stroke.rear"])


def _braking(
    r: Values, v: Values, plane: Plane, rest: Values, top: Values, springs: tuple[Fork, tuple[Array, Array, Array]]
) -> None:
    fork, (rate, preload, rear_stroke) = springs
    stroke, hung, slung = r["stroke.front"], r["unsprung_mass.front"], r["unsprung_mass.rear"]
    alone = r["scale_bike_alone.front"] + r["scale_bike_alone.rear"]
    mass = r["scale_rider_aboard.front"] + r["scale_rider_aboard.rear"]
    sprung = mass - hung - slung
    # The sprung mass's centre at rest, then fixed in the chassis.
    high = (r["com_height_bike."] * alone + r["com_height_rider."] * (mass - alone)) / mass
    along = (mass * v["load_share_front"] - hung) * rest["wheelbase"] / sprung
    above = (mass * high - hung * plane.front - slung * plane.rear) / sprung - plane.rear
    sine, cosine = np.sin(rest["pitch"]), np.cos(rest["pitch"])
    x, z = rest["back"] + along * cosine - above * sine, rest["axle"] + along * sine + above * cosine
    most = np.minimum(np.array([[0.3], [0.6], [np.inf]]), r["tyre_grip."]) * G
    front, rear = 0.5 * stroke + 0 * most, 0.25 * rear_stroke + 0 * most
    for _ in range(PASSES):
        now = plane.at(front, rear)
        along, up = plane.place(now, x, z)
        behind = now["wheelbase"] - (sprung * along + hung * now["wheelbase"]) / mass
        height = (sprung * up + hung * plane.front + slung * plane.rear) / mass
        a = np.minimum(most, G * behind / height)
        on_rear = mass * (G * behind - a * height) / now["wheelbase"]
        on_front = mass * G - on_rear
        axial = (on_front - hung * G) * np.cos(now["rake"]) + (mass - hung) * a * np.sin(now["rake"])
        lacks = axial - fork_force(fork, front)
        front = np.clip(front + lacks / fork_rate(fork, front), 0.0, stroke)
        rear = np.clip((on_rear - slung * G) / rate - preload, 0.0, rear_stroke)
    for place, name in enumerate(STOPS):
        v[f"brake_travel_{name}.front"], v[f"brake_reserve_{name}.front"] = front[place], stroke - front[place]
        v[f"brake_pitch_{name}"] = np.degrees(now["pitch"][place] - rest["pitch"])
        v[f"brake_load_share_{name}"] = on_front[place] / (mass * G)
    v["brake_limit"] = a[-1] / G
    _attitude(v, plane, {name: each[-1] for name, each in plane.at(front, rear).items()}, top, "braking")
