"""What the vectorised parts of the engine share: the array type and the shape of a force law.

Arrays are (documents, columns): column 0 is the nominal case, the others are the same case with one input moved. All
functions broadcast, leave their inputs alone and carry NaN for what is not known.
"""

from typing import Protocol

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
#: What a physics function takes: a plain number or an array of them.
Num = float | Array


class Law(Protocol):
    """The force law of one end's springs in that end's own travel: along the fork, or vertical at the rear axle.

    Travel s in mm, 0 topped out, positive compressing. No friction: the spring side only.
    """

    def force(self, s: Num) -> Array:
        """Return the force pushing out, N."""
        ...

    def stiffness(self, s: Num) -> Array:
        """Return dF/ds, N/mm."""
        ...

    def energy(self, s: Num) -> Array:
        """Return the integral of the force from 0 to s, N·mm."""
        ...

    def with_preload(self, delta: Num) -> "Law":
        """Return the same springs with their seat wound in by ``delta`` mm (negative: out)."""
        ...
