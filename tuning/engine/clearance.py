"""Whether the front tyre clears what it moves towards, with the fork at the end of its stroke.

The gap is the client's: from the tyre to the nearest part on the chassis side (lower yoke, fairing, headlamp) with
the bike at a known travel. Legs that went up and a larger tyre take from it. A mudguard rides with the wheel: only
the tyre's growth takes from that gap. mm; floats or arrays that broadcast; NaN where something is not known.
"""

from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array, Mask, Num

#: What must be left, mm (common practice): tyres grow at speed, bodywork gives and a gap is measured to 2 mm or so.
NEEDED = 8.0


@dataclass(frozen=True, slots=True)
class Clearance:
    """What is left at full compression.

    left: mm, negative where they meet. at_least: the part lies off the fork's line, so that ``left`` is a lower bound
    for a fork that does not bend, and clay or a check with the spring out must decide. enough: NEEDED or more is
    left, and nothing else needs looking at. most_up: how far the legs may be moved up in all since the gap was
    measured, mm; negative where they must come down.
    """

    left: Array
    at_least: Mask
    enough: Mask
    most_up: Array


def full_compression(
    gap: Num, stroke: Num, travel: Num = 0.0, legs_up: Num = 0.0, growth: Num = 0.0, off_line: bool | Mask = False
) -> Clearance:
    """Return what is left: gap − (stroke − travel) − legs up − growth.

    gap: from the tyre along the fork's line, or the shortest way to a part off it, at this travel (0 topped out);
    legs_up: the move through the clamps since then; growth: of a new tyre's radius. off_line: the part is a radiator
    or the like. Nothing can come nearer than the wheel moves, so there the same difference is a lower bound; yet
    braking bends the fork towards a radiator, so that it is never enough by this alone.
    """
    with np.errstate(all="ignore"):
        room = np.asarray(gap, dtype=np.float64) - (np.asarray(stroke, dtype=np.float64) - travel) - growth
        room, left, aside = np.broadcast_arrays(room, room - legs_up, np.asarray(off_line, dtype=np.bool_))
        return Clearance(left, aside, np.asarray((left >= NEEDED) & ~aside), np.asarray(room - NEEDED))
