"""Every sentence the judgement can ask a face to say, by id, with the parameters its template is given.

The end of a parameter's name tells its dimension: ``_mm``, ``_kg``, ``_nmm``, ``_deg``; the rest are ids and counts.
"""

from collections.abc import Mapping
from types import MappingProxyType

from tuning.judgement.model import Said

SAYINGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        # Stop gate.
        "stop_answer": ("question",),
        "stop_overload": ("total_kg", "limit_kg"),
        "legs_unequal": ("left_mm", "right_mm"),
        # Questions.
        "ask_stop_answer": ("question",),
        "ask_words": ("question",),
        "ask_check": ("check", "end"),
        "ask_legs": ("apart_mm",),
        "ask_levelling": (),
        "ask_sag": ("end",),
        "ask_ring": ("end",),
        "ask_deciding": ("key", "reading"),
        "ask_preload_adjuster": ("end",),
        "ask_preload_step": ("adjuster",),
        "ask_clicker": ("adjuster",),
        "ask_fork_position": (),
        "ask_clearance": (),
        # Reasons.
        "front_soft_and_wound_up": ("alone_mm", "aboard_mm"),
        "front_high_with_reserve": ("aboard_mm", "low_mm"),
        "front_low": ("aboard_mm", "high_mm"),
        "rear_low": ("aboard_mm", "high_mm"),
        "rear_high": ("aboard_mm", "low_mm"),
        "rear_preload_exhausted": ("aboard_mm", "high_mm"),
        "fluid_old": (),
        "bounces_after_push": ("end",),
        "packs_down": ("end",),
        "reserve_small": ("reserve_mm", "low_mm"),
        "steers_slowly": (),
        "steers_nervously": (),
        # Notes.
        "note_oil_before_spring": (),
        "note_spring_is_the_fix": ("end",),
        "note_attitude_not_travel": (),
        "note_preload_used_up": ("end",),
        "note_preload_fully_out": ("end",),
        "note_clicker_at_end": ("adjuster",),
        "note_geometry_waits": (),
        "note_all_in_order": (),
        "note_refused": ("reason",),
    }
)


def say(saying: str, **params: object) -> Said:
    """Return a sentence to say. Raises KeyError or ValueError for an id or parameters its template does not have."""
    if set(params) != set(SAYINGS[saying]):
        raise ValueError(f"{saying} wants {SAYINGS[saying]}, got {tuple(params)}")
    return Said(saying, params)
