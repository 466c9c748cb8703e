"""The conductors that feed the rows: wire, bar or foil, straight or along a line of their own."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated, Any

from pydantic import Field

from guidegen import kinds
from guidegen.spec.extras import Position, position
from guidegen.spec.keys import Context, Key, part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto, Fault
from guidegen.spec.section import OrNone, Section
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

AREA = ("0.05 mm²", "35 mm²", "1.5 mm²")
SIZE_WORDING = "a conductor's size is an area"
#: What a rail can be made of, by the key that names its part.
KINDS = ("conductor", "bar", "foil")
MOST_POINTS = 24

#: Where the feed can meet a rail, in words; or below one of its rows.
FED_AT = ("end", "middle", "auto")
_BELOW = r"below row ([1-9]\d{0,2})"


def _fed_at() -> Key:
    accepted = f"{', '.join(FED_AT)}, or such as 'below row 3'"

    def convert(node: Any, context: Context) -> str:
        if not hasattr(node, "place"):
            return "auto"
        text = tidy(node) if isinstance(node, Text) else ""
        if text not in FED_AT and not re.fullmatch(_BELOW, text, re.A):
            raise Fault(f"{clip(text)} is no place on a rail. Accepted: {accepted}")
        return text

    schema = {"anyOf": [{"enum": [*FED_AT]}, {"type": "string", "pattern": f"^{_BELOW}$"}]}
    return Key(convert, "Where the feed meets a rail: at an end, in the middle, or below a row",
               "below row 3", schema, "auto")  # fmt: skip


class RailPoint(Section):
    """One point of a rail's middle line, on the board as it is seen from the light side."""

    across: Annotated[Position, position("across")]
    up: Annotated[Position, position("up")]


def _points(pole: str) -> Any:
    return Field(
        description=f"Points of the {pole} rail's middle line, from the end that the feed is at",
        examples=[[{"across": "21 mm from left", "up": "180 mm from bottom"},
                   {"across": "21 mm from left", "up": "12 mm from bottom"}]],
        max_length=MOST_POINTS,
    )  # fmt: skip


class RailPath(Section):
    """Lines of rails that are not straight; the rail of a pole that is left out is straight."""

    positive: Annotated[tuple[RailPoint, ...], _points("positive")] = ()
    negative: Annotated[tuple[RailPoint, ...], _points("negative")] = ()

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A line has two ends; one of both poles has a line."""
        for pole in ("positive", "negative"):
            if isinstance(data.get(pole), Items) and len(data[pole]) < 2:
                context.note(data[pole], "a line needs two points and more. Accepted: such as"
                             " '- {across: 21 mm from left, up: 12 mm from bottom}', twice or"
                             " more")  # fmt: skip
        if not {"positive", "negative"} & data.keys():
            context.note(data, "'positive' or 'negative' is missing. Accepted: the points of one"
                         " rail or of both", at_key=True)  # fmt: skip
        return data


def _strip() -> Key:
    plain = part_key("rail_strip", ("bar",), "Insulating strip under a bar", "strip-laminate-12x2",
                     default="auto", choice=True)  # fmt: skip

    def convert(node: Any, context: Context) -> Part | Auto:
        found: Part | Auto = plain.convert(node, context)
        if isinstance(found, Part) and found.words["conducting"] == "yes":
            raise Fault("this strip conducts: the bar would be joined to what lies below it."
                        " Accepted: such as 'strip-laminate-12x2'")  # fmt: skip
        return found

    return replace(plain, convert=convert)


class Rails(Section):
    """The conductors that feed the rows."""

    later = frozenset({"feed", "shape", "bare", "held_by", "diameter"})
    conductor: Annotated[
        Part,
        part_key("rail", ("conductor",), "Wire of the rails", "bare-copper", default="bare-copper"),
    ]
    bar: Annotated[
        Part | None,
        part_key("rail", ("busbar",), "Bare flat bar, in place of wire", "bar-copper-10x2",
                 default=""),
    ]  # fmt: skip
    foil: Annotated[
        Part | None,
        part_key("rail", ("foil",), "Self-adhesive foil, in place of wire", "foil-copper-10mm",
                 default=""),
    ]  # fmt: skip
    strip: Annotated[Part | Auto, _strip()]
    fixed_by: Annotated[
        str,
        words("What holds a bar and its strip", ("screws", "adhesive", "auto"), default="auto"),
    ]
    size: Annotated[
        Given | Auto,
        quantity("rail.size", kinds.ConductorArea, AREA, "Conductor area of a wire",
                 default="auto", choice=True, wording=SIZE_WORDING),
    ]  # fmt: skip
    fed_at: Annotated[str, _fed_at()]
    offset: Annotated[
        Given,
        quantity("rail.offset", kinds.FineMetre, ("3 mm", "300 mm", "15 mm"),
                 "From the rows' ends to the first rail, and from rail to rail",
                 default="9 mm"),
    ]  # fmt: skip
    path: Annotated[RailPath | None, OrNone("Lines of rails that bend; left out: straight")] = None

    @property
    def kind(self) -> str:
        """`wire`, `bar` or `foil`."""
        return "bar" if self.bar else "foil" if self.foil else "wire"

    @property
    def part(self) -> Part:
        """What the rails are made of."""
        return self.bar or self.foil or self.conductor

    @property
    def fed_below(self) -> int:
        """The row that the feed stands below, from 1; 0: at an end or in the middle."""
        found = re.fullmatch(_BELOW, self.fed_at, re.A)
        return int(found[1]) if found else 0

    def points(self, polarity: str) -> tuple[RailPoint, ...]:
        """The points of a pole's rail; none: it is straight."""
        if self.path is None:
            return ()
        return self.path.positive if polarity == "+" else self.path.negative

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """One metal, with the keys that belong to it."""
        here = [kind for kind in KINDS if kind in data]
        if len(here) > 1:
            context.note(data[here[-1]], f"'{here[0]}' and '{here[-1]}' are both here. Accepted:"
                         " one of them", at_key=True)  # fmt: skip
        kind = here[-1] if here else "conductor"
        for key, owner in (("size", "conductor"), ("strip", "bar"), ("fixed_by", "bar")):
            if key in data and kind != owner:
                belongs = "a wire: bar and foil have the size of their part" if key == "size" else (
                    "a bar")  # fmt: skip
                context.note(data[key], f"'{key}' belongs to {belongs}", at_key=True)
        return data
