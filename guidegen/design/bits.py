"""With which bit the holes of the pieces are made."""

from __future__ import annotations

from guidegen.calc.bits import TWIST, bit_below
from guidegen.design.model import Model

#: What a wall or a part forgives: no file takes off less. [m].
_FORGIVEN = 0.00005


def round_widths(model: Model) -> list[float]:
    """Widths of all round holes, each once, narrowest first. [m]."""
    # To a micrometre: the same width may come from two laws.
    widths = {round(hole.width.si, 6) for part in model.parts
              for hole in (part.solid.holes if part.solid else ()) if hole.shape == "round"
              }  # fmt: skip
    return sorted(widths)


def bit_for(width: float) -> tuple[str, float, bool]:
    """(`bit_twist` or `bit_flat`, its width, whether the hole is filed up). [m]."""
    bit = bit_below(width)
    return "bit_twist" if bit <= TWIST[-1] + 1e-9 else "bit_flat", bit, width - bit > _FORGIVEN
