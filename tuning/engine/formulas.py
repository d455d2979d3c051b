"""Every formula the engine uses: what it says and where it comes from. Derived values carry the id."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula's id, its statement in plain notation, and its source."""

    id: str
    statement: str
    source: str


_MOORE = "J. K. Moore, dissertation, UC Davis 2012, chapter 'Physical Parameters'"
_STATICS = "statics"
_VIBRATION = "S. S. Rao, Mechanical Vibrations (one degree of freedom)"
_RIGID = "planar rigid-body kinematics; first order in the height change"

_ALL = (
    Formula("sag", "sag = L0 − L", "common practice"),
    Formula("sag_share", "share = sag / stroke", "common practice"),
    Formula("friction_band", "band = |L(from above) − L(from below)| / 2; reading = their mean", "common practice"),
    Formula(
        "load_share", "front share = scale front / (scale front + scale rear)", "statics of a beam on two supports"
    ),
    Formula("implied_fork_rate", "k = g Δm_f cos ε / Δs, s along the fork", "statics; Hooke's law, k = ΔF/Δx"),
    Formula(
        "implied_rear_wheel_rate", "k_w = g Δm_r / Δz, z vertical at the axle", "statics; Hooke's law, k = ΔF/Δx"
    ),
    Formula("implied_shock_rate", "k_s = k_w LR² for a constant leverage LR = dz/du", "virtual work"),
    Formula("reserve", "reserve = stroke − deepest travel", "common practice"),
    Formula("clicker_position", "position = clicks out / range, 0 fully closed", "common practice"),
    Formula("preload_position", "position = preload in / range, 1 all in", "common practice"),
    Formula("fork_leg_difference", "left fork position − right fork position", "common practice"),
    Formula("as_published", "as typed from the maker's figures", "owner's manual"),
    Formula("ground_trail", "T = (R sin ε − d) / cos ε", _MOORE),
    Formula("normal_trail", "T_n = T cos ε", _MOORE),
    Formula("rake_per_height", "dε/dh = 1/w radians per unit of height change at one axle", _RIGID),
    Formula("trail_per_rake", "dT/dε = (R − d sin ε) / cos² ε", _MOORE),
    Formula("fork_position_height", "dh = cos ε per unit of fork position", _RIGID),
    Formula("wheelbase_per_height", "dw = cos φ dx + sin φ dz + (R_f − R_r) dφ, (dx, dz) the axle's move", _RIGID),
    Formula(
        "attitude",
        "w = √(|AB|² − (R_f − R_r)²), pitch from the angle of AB; A, B the axles in chassis coordinates",
        "planar rigid-body kinematics, exact",
    ),
    Formula("wheel_mass", "scales, else mass × front share, plus what each load adds", _STATICS),
    Formula("spring_given", "springs of both legs, or of all shocks, added", "as told"),
    Formula(
        "spring_from_sags",
        "k = ΔF/Δs and p = F/k − s, both sags, what else carries taken off",
        "statics; Hooke's law",
    ),
    Formula("preload_from_sag", "F(s; p) = load at the sag read, solved for p", "statics; Hooke's law"),
    Formula("wheel_rate", "k_w = k / cos² ε at the front; k / LR² with the change of LR at the rear", "virtual work"),
    Formula("equilibrium", "F(s) = load, within the stroke", _STATICS),
    Formula("friction_force", "friction = band × rate", "common practice"),
    Formula("ride_frequency", "f = √(k_w / m_sprung) / 2π", _VIBRATION),
    Formula("frequency_ratio", "rear over front ride frequency", _VIBRATION),
    Formula("damping_ratio", "ζ = δ / √(4π² + δ²), δ = ln(x₁/x₂) of successive like peaks", _VIBRATION),
    Formula(
        "braking",
        "axial force = (N_f − m_u g) cos ε + (X_f − m_u a) sin ε, N_f = m g l_r/L + m a h/L, solved with the dive",
        "statics with inertia forces (d'Alembert)",
    ),
    Formula("brake_limit", "lower of a = g l_f/h and a = μ g, solved with the dive", "J. S. Riel 2005, eq. 3"),
    Formula("end_force", "F(stroke) of coil, air (P V^n = const) and stops", "polytropic process; Hooke's law"),
    Formula("clearance", "gap − (stroke − travel when read) − fork position moved up", "common practice"),
    Formula(
        "deepest_after",
        "equal peak force F₂(x₂) = F₁(x₁), and equal energy ∫F₂ = ∫F₁ from rest: both ends told",
        "statics; conservation of energy",
    ),
)
FORMULAS: Mapping[str, Formula] = MappingProxyType({formula.id: formula for formula in _ALL})
