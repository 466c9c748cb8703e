"""What stands where in the light: placed parts, their corners, their holes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from guidegen.calc.boxes import Floats
from guidegen.design.model import Model, Opening, Part
from guidegen.design.solid import Solid


def placed(model: Model) -> list[tuple[Part, Solid]]:
    """Parts with a place in the light, piece by piece; what lies beside the supply has none."""
    return [(part, piece) for part in model.parts if part.solid and (part.on or part.made)
            for piece in part.solid.filled]  # fmt: skip


def corners(solids: Sequence[Solid]) -> tuple[Floats, Floats]:
    """Lower and upper corners of solids, (n, 3) each. [m]."""
    low = np.array([solid.low for solid in solids], dtype=np.float64).reshape(-1, 3)
    high = np.array([solid.high for solid in solids], dtype=np.float64).reshape(-1, 3)
    return low, high


def openings(model: Model) -> list[Opening]:
    """Every hole of the model."""
    return [one for part in model.parts if part.solid and (part.on or part.made)
            for one in part.openings]  # fmt: skip
