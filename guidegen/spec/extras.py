"""What a maker adds to the body: handles, own pieces, own holes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Self

from pydantic import Field, ValidatorFunctionWrapHandler, model_validator

from guidegen import kinds
from guidegen.spec.keys import Context, Key, line, part_key, quantity, some_words, words
from guidegen.spec.outlines import Outline, corners, only_for_outlines
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto, Fault, Quantity
from guidegen.spec.section import Numbered, renamed
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

MOST_HANDLES, MOST_PIECES, MOST_HOLES = 4, 20, 60
_FAR = Quantity(kinds.FineMetre, "0 mm", "5 m", "40 mm")
#: What a place is measured from, by axis, with the sign of a distance.
_EDGES = {"across": ("left", "right"), "up": ("bottom", "top")}
_SIDES = {
    "across": {"left of": -1, "right of": 1},
    "up": {"below": -1, "above": 1},
}


@dataclass(frozen=True)
class Position:
    """A place along one way of the board."""

    base: str
    """`low`, `high` or `middle`."""
    distance: Given | None
    sign: int = 1

    def on(self, length: float) -> float:
        """From the lower or left end of something so long. [m]."""
        far = self.distance.si if self.distance else 0.0
        return {"low": far, "high": length - far, "middle": length / 2 + self.sign * far}[self.base]

    def low_end(self, length: float, size: float) -> float:
        """The lower end of a piece: an edge is measured to its near side, the middle to its middle.

        All in metres.
        """
        back = {"low": 0.0, "high": size, "middle": size / 2}[self.base]
        return self.on(length) - back


def position(axis: str) -> Key:
    """A place: `middle`, `40 mm from left`, `8 mm above middle`.

    Parameters
    ----------
    axis : str
        `across` or `up`.
    """
    low, high = _EDGES[axis]
    accepted = f"middle, '40 mm from {low}', '40 mm from {high}', or such as '8 mm " + (
        f"{next(iter(_SIDES[axis]))} middle'")  # fmt: skip
    sides = "|".join(_SIDES[axis])

    def convert(node: Any, context: Context) -> Position:
        text = tidy(node) if isinstance(node, Text) else ""
        if text == "middle":
            return Position("middle", None)
        edge = re.fullmatch(rf"(.+?) from (?:the )?({low}|{high})", text)
        side = re.fullmatch(rf"(.+?) ({sides}) (?:the )?middle", text)
        found = edge or side
        if found is None:
            raise Fault(f"{clip(text)} is no place. Accepted: {accepted}")
        written = Text(found[1])
        written.put(node.place, node.path)
        distance = _FAR.given(written, "distance")
        if edge:
            return Position("low" if edge[2] == low else "high", distance)
        return Position("middle", distance, _SIDES[axis][found[2]])

    return Key(convert, f"Place {axis} the board", "middle", default="middle")


def number(data: Map, key: str, prefix: str, context: Context) -> None:
    """Give the items of a list their prefixes; report what is no list."""
    items = data.get(key)
    if items is None:
        return
    if not isinstance(items, Items):
        context.note(items, "this is no list. Accepted: a list, each item with a dash before it")
        return
    for count, item in enumerate(items, 1):
        if isinstance(item, Map):
            item.prefix = prefix if count == 1 else f"{prefix}_{count}"


class Handle(Numbered):
    """A bar in two or more blocks on the back of the board, along one edge."""

    later = frozenset({"diameter", "fixed_by", "bar_fixed_by"})
    edges: Annotated[
        tuple[str, ...],
        some_words("Edges of the board that get one each", ("top", "bottom"), "top",
                   "is no edge that takes a handle"),
    ]  # fmt: skip
    bar: Annotated[
        Part,
        part_key("handle", ("bar",), "Round bar that the hand holds", "dowel-hardwood-22",
                 default="dowel-hardwood-22"),
    ]  # fmt: skip
    length: Annotated[
        Given | Auto,
        quantity("handle.length", kinds.Metre, ("80 mm", "5 m", "400 mm"),
                 "Length of the bar, blocks included", default="auto", choice=True),
    ]  # fmt: skip
    block: Annotated[
        Part,
        part_key("handle_block", ("bar", "sheet"), "Bar or sheet that the blocks are cut from",
                 "hardwood-25x70", default="hardwood-25x70"),
    ]  # fmt: skip
    thickness: Annotated[
        Given | Auto,
        quantity("handle.thickness", kinds.FineMetre, ("0.5 mm", "50 mm", "9 mm"),
                 "Of a sheet that blocks are cut from", default="auto", choice=True),
    ]  # fmt: skip
    layers: Annotated[
        Given,
        quantity("handle.layers", kinds.Count, ("1", "6", "2"),
                 "Layers of sheet that a block is glued from", default="1"),
    ]  # fmt: skip
    blocks: Annotated[
        Given,
        quantity("handle.blocks", kinds.Count, ("2", "6", "2"), "Blocks of one bar", default="2"),
    ]

    @model_validator(mode="wrap")
    @classmethod
    def numbered(cls, data: Any, handler: ValidatorFunctionWrapHandler) -> Self:
        """Name the values by the item's number; bar and block are two parts with two names."""
        made: Self = handler(data)
        prefix = (data.prefix if isinstance(data, Map) else "") or "handle"
        # A part that is faulty was reported where it stands, and is none.
        parts = {name: part.named(f"{prefix}_{name}")
                 for name, part in (("bar", made.bar), ("block", made.block)) if part}  # fmt: skip
        return made.model_copy(update={**renamed(made, prefix), **parts})

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Whole numbers of things."""
        for key in ("layers", "blocks"):
            node = data.get(key)
            if isinstance(node, Text) and "." in node:
                context.note(node, f"{clip(node)} is no whole number. Accepted: such as '2'")
        return data


class OwnHole(Numbered):
    """A hole that the maker wants in the board or in an own piece."""

    name: Annotated[str, line("What it is for", "hole for a hook", 40, "own hole")]
    across: Annotated[Position, position("across")]
    up: Annotated[Position, position("up")]
    shape: Annotated[str, words("Shape", ("round", "square", "slot", "outline"), default="round")]
    corners: Annotated[Outline, corners()]
    diameter: Annotated[
        Given | None,
        quantity("hole.diameter", kinds.FineMetre, ("0.5 mm", "500 mm", "8 mm"),
                 "Diameter of a round hole", default="none", absent=True),
    ]  # fmt: skip
    width: Annotated[
        Given | None,
        quantity("hole.width", kinds.FineMetre, ("0.5 mm", "500 mm", "10 mm"),
                 "Height of a square hole or slot, up the board", default="none", absent=True),
    ]  # fmt: skip
    length: Annotated[
        Given | None,
        quantity("hole.length", kinds.FineMetre, ("0.5 mm", "2 m", "30 mm"),
                 "Length of a square hole or slot, across the board", default="none",
                 absent=True),
    ]  # fmt: skip
    depth: Annotated[
        Given | None,
        quantity("hole.depth", kinds.FineMetre, ("0.5 mm", "200 mm", "5 mm"),
                 "Depth from the light side; left out: through", default="none", absent=True),
    ]  # fmt: skip

    @property
    def size(self) -> Given:
        """Diameter, or width of a square hole or slot; an outline has neither."""
        found = self.diameter or self.width
        assert found is not None  # `checked` refuses a hole without a size
        return found

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A round hole has a diameter, an outline has corners, others have width and length."""
        if only_for_outlines(data, context, ("diameter", "width", "length")):
            return data
        shape = tidy(data["shape"]) if isinstance(data.get("shape"), Text) else "round"
        needed = ("diameter",) if shape == "round" else ("width", "length")
        for key in needed:
            if key not in data or data[key] == "none":
                context.note(data, f"'{key}' is missing. Accepted: such as '{key}: 8 mm'",
                             at_key=True)  # fmt: skip
        for key in {"diameter", "width", "length"} - set(needed):
            if key in data:
                context.note(data[key], f"'{key}' does not belong to a {shape} hole."
                             f" Accepted: {', '.join(needed)}", at_key=True)  # fmt: skip
        return data


def holes_field() -> Any:
    """The list of own holes."""
    return Field(
        description="Own holes",
        examples=[[{"across": "middle", "up": "20 mm from top", "diameter": "8 mm"}]],
        max_length=MOST_HOLES,
    )


class OwnPiece(Numbered):
    """A piece of sheet that the maker glues or screws to the board."""

    later = frozenset({"count"})
    name: Annotated[str, line("What it is called", "cable cleat", 40), Field(alias="piece")]
    sheet: Annotated[Part, part_key("piece", ("sheet",), "Sheet", "mdf")]
    thickness: Annotated[
        Given | Auto,
        quantity("piece.thickness", kinds.FineMetre, ("0.5 mm", "50 mm", "6 mm"),
                 "Thickness, one of those in which the sheet is sold", default="auto",
                 choice=True),
    ]  # fmt: skip
    width: Annotated[
        Given,
        quantity("piece.width", kinds.Metre, ("5 mm", "5 m", "60 mm"), "Width, across the board"),
    ]
    height: Annotated[
        Given,
        quantity("piece.height", kinds.Metre, ("5 mm", "5 m", "30 mm"), "Height, up the board"),
    ]
    side: Annotated[str, words("Side of the board", ("back", "front"), default="back")]
    across: Annotated[Position, position("across")]
    up: Annotated[Position, position("up")]
    fixed_by: Annotated[str, words("What holds it", ("glue", "glue and screws"),
                                    default="glue")]  # fmt: skip
    holes: Annotated[tuple[OwnHole, ...], holes_field()] = ()

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Number its holes."""
        number(data, "holes", f"{data.prefix or 'piece'}.hole", context)
        return data
