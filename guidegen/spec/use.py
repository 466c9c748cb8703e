"""Where the light is used: direction, air, run time, surroundings."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Annotated, Any

from guidegen import kinds
from guidegen.errors import Place, accepted_words
from guidegen.spec.keys import Context, Key, quantity, span
from guidegen.spec.quantities import Fault, Quantity
from guidegen.spec.section import Section
from guidegen.spec.tree import Items, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

_DEGREE = Quantity(kinds.Degree, "0 °", "90 °", "45 °")
_FACES = {"sideways": 0.0, "down": math.pi / 2, "up": -math.pi / 2}


@dataclass(frozen=True)
class Faces:
    """Where the light side looks."""

    word: str
    tilt: Given
    """Axis below horizontal; upward negative."""


def _faces() -> Key:
    accepted = "sideways, down, up, or an angle such as '45 ° down'"

    def convert(node: Any, context: Context) -> Faces:
        text = tidy(node) if isinstance(node, Text) else ""
        if text in _FACES:
            place: Place | None = getattr(node, "place", None)
            source = f"{place.file}:{place.line}" if place else "default"
            kind = kinds.kind_of(kinds.Degree)
            return Faces(text, Given("use.tilt", _FACES[text], kind, source, 0.0, place, text))
        angle, _, way = text.rpartition(" ")
        if way not in ("down", "up"):
            raise Fault(f"'{text[:40]}' is no direction. Accepted: {accepted}")
        written = Text(angle)
        written.put(node.place, node.path)
        tilt = _DEGREE.given(written, "use.tilt")
        return Faces(text, tilt if way == "down" else replace(tilt, si=-tilt.si))

    return Key(convert, "Where the light side looks", "45 ° down", default="sideways")


SURROUNDINGS = ("damp", "rain", "dust", "rotating tools", "sensitive objects", "public",
                "children", "air travel", "vehicle")  # fmt: skip


def _surroundings() -> Key:
    accepted = ", ".join(SURROUNDINGS)

    def convert(node: Any, context: Context) -> tuple[str, ...]:
        if not isinstance(node, Items):
            if not hasattr(node, "place"):
                return ()
            raise Fault(f"this is no list. Accepted: a list in brackets, of: {accepted}")
        for item in node:
            text = tidy(item) if isinstance(item, Text) else ""
            if text not in SURROUNDINGS and not context.full:
                problem = f"{clip(text)} is not accepted here"
                context.note(item, f"{problem}. {accepted_words(text[:60], SURROUNDINGS)}")
        return tuple(dict.fromkeys(tidy(item) for item in node if isinstance(item, Text)))

    schema = {"type": "array", "items": {"enum": [*SURROUNDINGS]}}
    return Key(convert, "What is around it", ["damp", "public"], schema, default="")


class Use(Section):
    """Where and how long the light burns."""

    faces: Annotated[Faces, _faces()]
    ambient: Annotated[
        tuple[Given, Given],
        span("use.ambient_low", "use.ambient_high", kinds.Celsius, ("-30 °C", "60 °C",
             "15 °C to 30 °C"), "Temperature of the air", default="10 °C to 30 °C"),
    ]  # fmt: skip
    run_time: Annotated[
        Given | None,
        quantity("use.run_time", kinds.Hour, ("0.1 h", "200 h", "2 h"),
                 "How long a battery must last", default="none", absent=True),
    ]  # fmt: skip
    surroundings: Annotated[tuple[str, ...], _surroundings()]

    @property
    def ambient_low(self) -> Given:
        """Coldest air around the light."""
        return self.ambient[0]

    @property
    def ambient_high(self) -> Given:
        """Warmest air around the light."""
        return self.ambient[1]
