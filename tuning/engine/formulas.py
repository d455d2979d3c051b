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
    Formula("wheelbase_per_fork_position", "dw/ds = −sin ε + cos ε (R_f − R_r) / w", _RIGID),
)
FORMULAS: Mapping[str, Formula] = MappingProxyType({formula.id: formula for formula in _ALL})
