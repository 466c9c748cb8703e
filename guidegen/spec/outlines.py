"""Outlines of holes and pockets: their corners, one after the other."""

from __future__ import annotations

from typing import Any

from guidegen import kinds, outlines
from guidegen.spec.keys import Context, Key
from guidegen.spec.quantities import Fault, Quantity
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import tidy

LEAST_CORNERS, MOST_CORNERS = 3, 60
EXAMPLE = [["-15 mm", "-10 mm"], ["15 mm", "-10 mm"], ["15 mm", "4 mm"], ["0 mm", "10 mm"]]
_ACCEPTED = "such as '[-15 mm, 4 mm]': to the right of its place, and up from it"
_FAR = Quantity(kinds.FineMetre, "0 mm", "1 m", "15 mm")
_MINUS = ("-", "−")
_SCHEMA = {
    "type": "array", "minItems": LEAST_CORNERS, "maxItems": MOST_CORNERS,
    "items": {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": "string"}},
}  # fmt: skip

Outline = tuple[tuple[float, float], ...]
"""Its corners, from its place: to the right, and up. [m]."""


def corners(ways: str = "") -> Key:
    """The corners of an outline; left out: none.

    Parameters
    ----------
    ways : str
        What "up" means where that is not plain.
    """

    def convert(node: Any, context: Context) -> Outline:
        if not hasattr(node, "place"):
            return ()
        if not isinstance(node, Items):
            raise Fault(f"this is no list of corners. Accepted: corners {_ACCEPTED}")
        if not LEAST_CORNERS <= len(node) <= MOST_CORNERS:
            raise Fault(f"an outline has {LEAST_CORNERS} to {MOST_CORNERS} corners, and here are"
                        f" {len(node)}. Accepted: corners {_ACCEPTED}")  # fmt: skip
        found = [_corner(item, context) for item in node]
        whole = tuple(one for one in found if one is not None)
        if len(whole) == len(node) and not outlines.sound(whole):
            raise Fault("this outline crosses or touches itself, or surrounds nothing. Accepted:"
                        " corners in the order in which a knife passes them")  # fmt: skip
        return whole

    return Key(convert, "Corners of an outline, each to the right of its place and up from it"
               + ways, EXAMPLE, _SCHEMA, "")  # fmt: skip


def _corner(item: Any, context: Context) -> tuple[float, float] | None:
    if not isinstance(item, Items) or len(item) != 2:
        context.note(item, f"this is no corner. Accepted: {_ACCEPTED}")
        return None
    found = []
    for part in item:
        if not isinstance(part, Text):
            context.note(part, f"this is no corner. Accepted: {_ACCEPTED}")
            continue
        try:
            found.append(_signed(part))
        except Fault as fault:
            context.note(part, str(fault))
    return (found[0], found[1]) if len(found) == 2 else None


def _signed(part: Text) -> float:
    """A distance that may lie to the left or below: with a minus before it. [m]."""
    plain = tidy(part)
    if not plain.startswith(_MINUS):
        return _FAR.given(part, "corner").si
    written = Text(plain[1:])
    written.put(part.place, part.path)
    return -_FAR.given(written, "corner").si


def only_for_outlines(data: Map, context: Context, others: tuple[str, ...]) -> bool:
    """Report corners without the shape `outline`, or the reverse; whether the shape is that.

    Parameters
    ----------
    data : Map
        Of a hole or of a layer.
    context : Context
        Takes the report.
    others : tuple of str
        Keys that an outline has no use for.
    """
    written = data.get("shape")
    outline = isinstance(written, Text) and tidy(written) == "outline"
    if outline and "corners" not in data:
        context.note(data, "'corners' is missing. Accepted: a list of corners", at_key=True)
    elif not outline and "corners" in data:
        context.note(data["corners"], "'corners' belongs to an outline. Accepted: 'shape: outline'",
                     at_key=True)  # fmt: skip
    if outline:
        for key in others:
            if key in data:
                context.note(data[key], f"'{key}' does not belong to an outline, whose corners"
                             " tell it. Accepted: corners", at_key=True)  # fmt: skip
    return outline
