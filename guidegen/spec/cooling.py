"""What takes heat out of the box: a heat sink on the regulator, vents in its walls."""

from __future__ import annotations

from typing import Annotated

from guidegen import kinds
from guidegen.spec.keys import Context, Key, quantity, words
from guidegen.spec.quantities import Auto
from guidegen.spec.section import Section
from guidegen.spec.tree import Map, Text
from guidegen.units import tidy
from guidegen.values import Given

#: Where a sink can be: with its module in the box (or on the board's back, where there is no box),
#: or standing out through a window in the lid.
INSIDE, THROUGH = "inside", "through lid"


def _side(name: str, text: str, example: str) -> Key:
    return quantity(f"sink.{name}", kinds.FineMetre, ("5 mm", "300 mm", example), text)


class Sink(Section):
    """The heat sink on a module."""

    later = frozenset({"fins", "fan", "material"})
    width: Annotated[Given, _side("width", "Width, along the module's width", "36 mm")]
    height: Annotated[Given, _side("height", "Height, along the module's height", "50 mm")]
    depth: Annotated[Given, _side("depth", "From the module to the tips of its fins", "25 mm")]
    resistance: Annotated[
        Given | Auto,
        quantity("sink.resistance", kinds.KelvinPerWatt, ("0.2 K/W", "200 K/W", "9 K/W ± 20 %"),
                 "Thermal resistance to still air; auto: from its outer area", default="auto",
                 choice=True),
    ]  # fmt: skip
    highest_temperature: Annotated[
        Given,
        quantity("sink.highest_temperature", kinds.Celsius, ("40 °C", "150 °C", "85 °C"),
                 "Highest lasting temperature at which the module is sound",
                 default="85 °C (from memory)"),
    ]  # fmt: skip
    place: Annotated[
        str, words("Where it is: in the box with its module, or through the lid into free air",
                   (INSIDE, THROUGH), default=INSIDE)
    ]  # fmt: skip

    @property
    def outside(self) -> bool:
        """Whether it stands out through the lid."""
        return self.place == THROUGH


class Vents(Section):
    """Holes or slots for air, one row in the lower wall of the box and one in the upper."""

    later = frozenset({"walls", "filter"})
    count: Annotated[
        Given, quantity("vent.count", kinds.Count, ("1", "60", "8"), "Holes in each of both walls")
    ]
    shape: Annotated[str, words("Shape", ("round", "slot"), default="round")]
    diameter: Annotated[
        Given | None,
        quantity("vent.diameter", kinds.FineMetre, ("1 mm", "50 mm", "5 mm"),
                 "Diameter of a round hole", default="none", absent=True),
    ]  # fmt: skip
    width: Annotated[
        Given | None,
        quantity("vent.width", kinds.FineMetre, ("1 mm", "50 mm", "4 mm"),
                 "Width of a slot", default="none", absent=True),
    ]  # fmt: skip
    length: Annotated[
        Given | None,
        quantity("vent.length", kinds.FineMetre, ("2 mm", "200 mm", "20 mm"),
                 "Length of a slot, along the wall", default="none", absent=True),
    ]  # fmt: skip

    @property
    def size(self) -> Given:
        """Diameter, or width of a slot: what decides which finger or wire gets in."""
        found = self.diameter or self.width
        assert found is not None  # `checked` refuses vents without a size
        return found

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A round hole has a diameter, a slot width and length."""
        shape = tidy(data["shape"]) if isinstance(data.get("shape"), Text) else "round"
        needed = ("width", "length") if shape == "slot" else ("diameter",)
        for key in needed:
            if key not in data or data[key] == "none":
                context.note(data, f"'{key}' is missing. Accepted: such as '{key}: 5 mm'",
                             at_key=True)  # fmt: skip
        for key in {"diameter", "width", "length"} - set(needed):
            if key in data:
                context.note(data[key], f"'{key}' does not belong to vents of this shape."
                             f" Accepted: {', '.join(needed)}", at_key=True)  # fmt: skip
        return data
