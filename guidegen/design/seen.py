"""From where the places of holes are told: the light side, or of a box beside the light its own."""

from __future__ import annotations

from guidegen.design.model import Model, Part
from guidegen.design.solid import Solid

#: Pieces that make a box. Only one that stands beside the light has a bottom of its own.
BOX = ("bottom", "wall", "lid")


def bottom_of(model: Model) -> Solid | None:
    """The bottom of the box that stands beside the light."""
    return next((part.solid for part in model.parts if part.role == "bottom"), None)


def seen(model: Model, part: Part) -> str:
    """From where left, right and lower are told of a piece.

    Returns
    -------
    str
        `light`: the light side. Of a box beside the light: `bottom` (from outside, from below),
        `lid` (from inside the box), `wall_outside` or `wall_inside` (the box on its bottom).
    """
    bottom = bottom_of(model)
    if bottom is None or part.solid is None or part.role not in BOX:
        return "light"
    if part.role != "wall":
        return part.role
    # The light side is below the bottom. Upright, a wall at the left is seen from outside with
    # its lower end at the left hand, and so is one at the top; the other two from inside.
    middle, own = bottom.middle, part.solid.middle
    outside = own[0] < middle[0] if part.solid.axis == "x" else own[1] > middle[1]
    return "wall_outside" if outside else "wall_inside"


def made_from(model: Model, part: Part, back: bool) -> str:
    """What a face across z is called: `front` or `back`; of a box beside, `inside` or `outside`.

    Parameters
    ----------
    model : Model
        The whole.
    part : Part
        The piece.
    back : bool
        Whether the face looks away from the light side.
    """
    view = seen(model, part)
    if view == "light":
        return "back" if back else "front"
    return "inside" if back is (view == "bottom") else "outside"
