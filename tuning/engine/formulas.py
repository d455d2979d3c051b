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
_HOOKE = "statics; Hooke's law"
_WORK = "virtual work"
_GAS = "polytropic gas law, thermodynamics texts"
_RIGID_EXACT = "planar rigid-body kinematics, exact"
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
    # Springs and air.
    Formula("wire_rate", "k = G d⁴ / (8 D³ n)", "Shigley's Mechanical Engineering Design, 10th edition, chapter 10"),
    Formula("coil_force", "F = k (s + p), 0 while loose; the second rate beyond the crossover", _HOOKE),
    Formula("coil_energy", "E = ∫₀ˢ F ds = k/2 ((s+p)² − p²), compressions from 0; dual rate in parts", _HOOKE),
    Formula("fork_equilibrium", "Σ F(s) = load, 0 ≤ s ≤ stroke", _STATICS),
    Formula("preload_for", "p such that F(s; p) = load; plain coil Δp = F/k − s − p", _HOOKE),
    Formula(
        "rate_for_both_sags",
        "k = (F₂ − F₁)/(s₂ − s₁), p = F₁/k − s₁, F less what else carries; at the shock F = L LR/n, s = u",
        _HOOKE,
    ),
    Formula("vertical_rate", "k_wheel = k / cos² ε", _WORK),
    Formula("air_column", "P = P₀ (V₀/(V₀ − A s))ⁿ, F = A (P − P_ambient)", _GAS),
    Formula("air_column_energy", "E = P₀V₀ ((V₀/V)ⁿ⁻¹ − 1)/(n − 1) − P_ambient A s; ln(V₀/V) for n = 1", _GAS),
    Formula("air_fork", "F = A_m (P_m − P_a) − A_b (P_b − P_a), the balance chamber growing with travel", _GAS),
    Formula("column_volume", "V₀ = π/4 bore² gap − V_spring + A stroke, gap with the fork compressed", "geometry"),
    Formula("ambient_pressure", "p = 101.325 (1 − 0.0065 H/288.15)^5.25588 kPa, H = r h/(r + h)", "ISO 2533:1975"),
    Formula("pressure_at", "p₂ = (p₁ + a₁) T₂/T₁ − a₂, gauge pressures, constant volume", "ideal gas law"),
    Formula("polytropic", "P Vⁿ = const, T₂/T₁ = (P₂/P₁)^((n−1)/n)", _GAS),
    Formula("polytropic_work", "W = (P₂V₂ − P₁V₁)/(n − 1); P₁V₁ ln(V₁/V₂) for n = 1", _GAS),
    # Rear end.
    Formula("shock_travel", "u = ∫ dz/LR(z) from topped out", "definition of the leverage ratio LR = dz/du"),
    Formula("rear_wheel_force", "F_w = n F_s(u(z)) / LR(z)", _WORK),
    Formula(
        "rear_wheel_rate",
        "k_w = n (k_s − F_s dLR/dz) / LR²; k_s/LR² only for constant LR",
        "derivative of F_w; G. Byrnes, 'Leverage and linkages', for the constant case",
    ),
    Formula("rear_energy", "E = n ∫ F_s du", _WORK),
    Formula("axle_per_preload", "Δz = −LR Δp, plain coil, constant LR", _HOOKE),
    Formula(
        "equal_peak_force", "F_after(s) = F_before(deepest), within the stroke", "common practice (steady events)"
    ),
    Formula(
        "equal_energy",
        "∫F_after ds = ∫F_before ds, each from its unloaded rest, within the stroke",
        "common practice (bumps; upper estimate of the springs' share)",
    ),
    Formula(
        "nearest_spring",
        "p(s) = G(s, L)/k − u(s): the preloads that bring both sags into their bands, else the least miss",
        _HOOKE,
    ),
    # Loads and braking.
    Formula("centre_of_mass", "x = Σ m x / Σ m, z = Σ m z / Σ m", _STATICS),
    Formula("static_loads", "N_f = m g l_r / L, N_r = m g l_f / L", "statics of a beam on two supports"),
    Formula("axial_fork_load", "F = (N_f − m_uf g) cos ε", _STATICS),
    Formula("load_transfer", "N_f = m g l_r/L + m a h/L", "statics with inertia forces (d'Alembert)"),
    Formula(
        "lift_off",
        "a/g = (l_f/h) cos γ + sin γ, γ the grade, negative downhill",
        "J. S. Riel, 'Maximal Braking on a Standard Bicycle', 2005, eq. 3 and 6",
    ),
    Formula("grip_limit", "a/g = μ cos γ + sin γ", "Coulomb friction"),
    # Uncertainty and units.
    Formula("unit_factor", "canonical = (value − zero) × factor", "NIST SP 811, appendix B.8"),
    Formula("rectangular_u", "u = a/√3", "JCGM 100:2008, 4.3.7"),
    Formula("triangular_u", "u = a/√6", "JCGM 100:2008, 4.3.9"),
    Formula("trapezoidal_u", "u = a √((1 + β²)/6)", "JCGM 100:2008, 4.3.9"),
    Formula("resolution_u", "u = q/√12", "JCGM 100:2008, F.2.2.1"),
    Formula("combined_u", "u² = Σ (c_i u_i)²", "JCGM 100:2008, 5.1.2"),
    Formula(
        "coverage",
        "k with P(|R + N| ≤ k u) = 0.95, R rectangular ± a, N normal with variance u² − a²/3",
        "JCGM 101:2008, propagation of distributions",
    ),
    Formula("expanded", "U = k u", "JCGM 100:2008, 6.2.1"),
    Formula("sag_friction_pair_u", "u = √(u₁² + u₂²/4 + u₃²/4)", "JCGM 100:2008, 5.1.2"),
    # Settling.
    Formula("log_decrement", "δ = ln(x₁/x₂)/n, n cycles between", _VIBRATION),
    Formula("log_decrement_of_ratio", "δ = 2πζ/√(1 − ζ²)", _VIBRATION),
    Formula("least_damping_ratio", "ζ ≥ ζ(ln(x₁/x_min)/n), x_min the least that shows", _VIBRATION),
    Formula("natural_frequency", "f = 1/(T_d √(1 − ζ²))", _VIBRATION),
    Formula("critical_damping", "c_c = 2√(k m), c = ζ c_c", _VIBRATION),
    Formula("damping_ratio_of_coefficient", "ζ = c/(2√(k m))", _VIBRATION),
    Formula("decay_rates", "ω(ζ ∓ √(ζ² − 1)) for ζ > 1, ζω otherwise", _VIBRATION),
    # Plane and tyres.
    Formula("offset_from_trail", "d = R sin ε − T cos ε", _MOORE),
    Formula("rake_from_trail", "ε = atan(T/R) + asin(d/√(T² + R²))", _MOORE),
    Formula("radius_from_trail", "R = (T cos ε + d)/sin ε", _MOORE),
    Formula("radius_from_roll_out", "R = L/(2πn)", _MOORE),
    Formula("trail_sigma", "s_T² = s_R² tan² ε + s_d² sec² ε + s_ε² (R sec² ε − d sec ε tan ε)²", _MOORE),
    Formula("swingarm_path", "forward = l (cos α₀ − cos α), rise = l (sin α₀ − sin α)", _RIGID_EXACT),
    Formula("tyre_diameter", "D = rim × 25.4 + 2 × width × aspect/100", "convention of ISO 5751 and ETRTO"),
    Formula(
        "tyre_growth", "ΔH = (C_new − C_old)/2π", "E. Brasfield, magazine article on tyre diameter and ride height"
    ),
)
FORMULAS: Mapping[str, Formula] = MappingProxyType({formula.id: formula for formula in _ALL})
