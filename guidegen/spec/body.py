"""What the light is built of: board, border, cover, enclosure, mount, finish."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from pydantic import Field

from guidegen import kinds
from guidegen.spec.cooling import Vents
from guidegen.spec.extras import (
    MOST_HANDLES,
    MOST_PIECES,
    Handle,
    OwnHole,
    OwnPiece,
    holes_field,
    number,
)
from guidegen.spec.keys import Context, Key, part_key, quantity, words
from guidegen.spec.lining import Lining
from guidegen.spec.mount import Mount
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto, Fault
from guidegen.spec.section import OrNone, Section
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import tidy
from guidegen.values import Given

_THICK = ("0.5 mm", "50 mm", "6 mm")
_SIDE = ("20 mm", "5 m", "360 mm")


def _thickness(name: str) -> Key:
    text = "Thickness, one of those in which the sheet is sold"
    return quantity(f"{name}.thickness", kinds.FineMetre, _THICK, text, default="auto", choice=True)


def _side(name: str, text: str, example: str = "360 mm") -> Key:
    limits = (*_SIDE[:2], example)
    return quantity(name, kinds.Metre, limits, text, default="auto", choice=True)


class Board(Section):
    """The board that carries the rows."""

    sheet: Annotated[Part, part_key("board", ("sheet",), "Sheet", "mdf")]
    thickness: Annotated[Given | Auto, _thickness("board")]
    width: Annotated[Given | Auto, _side("board.width", "Width, along the rows")]
    height: Annotated[Given | Auto, _side("board.height", "Height, across the rows", "210 mm")]
    margin: Annotated[
        Given | Auto,
        quantity("board.margin", kinds.Metre, ("0 mm", "500 mm", "20 mm"),
                 "From the outer rows and row ends to the edge", default="auto", choice=True),
    ]  # fmt: skip
    holes: Annotated[tuple[OwnHole, ...], holes_field()] = ()

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Number its holes."""
        number(data, "holes", "board.hole", context)
        return data


#: Edges at which a filter can be slid in; at the bottom it would fall out.
SLOT_EDGES = ("top", "left", "right")


class FilterSlot(Section):
    """Spacers between rim and cover on three sides: a filter slides in at the fourth."""

    edge: Annotated[str, words("Edge at which the filter is slid in", SLOT_EDGES, default="top")]
    sheet: Annotated[
        Part,
        part_key("slot", ("sheet",), "Sheet of the spacers", "acrylic-clear",
                 default="acrylic-clear"),
    ]  # fmt: skip
    thickness: Annotated[Given | Auto, _thickness("slot")]


class Border(Section):
    """The border around the board, that carries the cover."""

    later = frozenset({"edges", "fixed_by"})
    bar: Annotated[
        Part | None,
        part_key("border", ("bar",), "Bar, in place of sheet", "softwood-12x25", default=""),
    ]
    sheet: Annotated[
        Part | None, part_key("border", ("sheet",), "Sheet, in place of bar", "mdf", default="")
    ]
    thickness: Annotated[Given | Auto, _thickness("border")]
    height: Annotated[
        Given | Auto,
        quantity("border.height", kinds.FineMetre, ("3 mm", "300 mm", "25 mm"),
                 "Height over the board's face", default="auto", choice=True),
    ]  # fmt: skip
    filter_slot: Annotated[
        FilterSlot | None, OrNone("Room for a filter behind the cover; left out: none")
    ] = None

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A bar brings its own section; one of both is needed."""
        if "bar" in data and "sheet" in data:
            context.note(data["sheet"], "'bar' and 'sheet' are both here. Accepted: one of them",
                         at_key=True)  # fmt: skip
        elif "bar" not in data and "sheet" not in data:
            context.note(data, "'bar' or 'sheet' is missing. Accepted: such as"
                         " 'bar: softwood-12x25'", at_key=True)  # fmt: skip
        return data


def _clear() -> Key:
    plain = part_key("cover", ("sheet",), "Clear or diffusing sheet", "acrylic-opal")

    def convert(node: Any, context: Context) -> Part | None:
        found: Part | None = plain.convert(node, context)
        # A part that is faulty was reported where it stands.
        if found is not None and found.get("transmittance") is None:
            raise Fault("this sheet lets no light through: it has no transmittance. Accepted: such"
                        " as 'acrylic-opal'")  # fmt: skip
        return found

    return replace(plain, convert=convert)


class Cover(Section):
    """The sheet in front of the rows."""

    sheet: Annotated[Part, _clear()]
    thickness: Annotated[Given | Auto, _thickness("cover")]
    gap: Annotated[
        Given | Auto,
        quantity("cover.gap", kinds.FineMetre, ("1 mm", "300 mm", "auto at least 20 mm"),
                 "From the tape's face to the cover", default="auto", choice=True),
    ]  # fmt: skip
    fixed_by: Annotated[
        str,
        words("What holds the cover", ("screws", "double-sided tape", "auto"), default="auto"),
    ]


class Enclosure(Section):
    """The box that holds the chain: at the back of the board, or beside the light."""

    later = frozenset({"across", "up", "fixed_by"})
    sheet: Annotated[Part, part_key("enclosure", ("sheet",), "Sheet", "mdf")]
    thickness: Annotated[Given | Auto, _thickness("enclosure")]
    width: Annotated[Given | Auto, _side("enclosure.width", "Outside width", "200 mm")]
    height: Annotated[Given | Auto, _side("enclosure.height", "Outside height", "120 mm")]
    depth: Annotated[Given | Auto, _side("enclosure.depth", "Outside depth, lid included", "45 mm")]
    side: Annotated[
        str,
        words("Where it is: on the back of the board, or a box of its own beside the light",
              ("back", "separate"), default="back"),
    ]  # fmt: skip
    vents: Annotated[
        Vents | None, OrNone("Vents in the lower and the upper wall; left out: none")
    ] = None


class Finish(Section):
    """The coat on the wood."""

    coat: Annotated[Part, part_key("coat", ("coat",), "Paint or varnish", "paint-white")]
    when: Annotated[
        str,
        words("When it is put on", ("before wiring", "after wiring"), default="before wiring"),
    ]


def _keys(example: dict[str, Any], text: str) -> Any:
    return Field(description=text, examples=[example])


class Body(Section):
    """All that is cut from sheet and bar."""

    board: Annotated[Board, _keys({"sheet": "mdf", "thickness": "9 mm"}, "The board")]
    border: Annotated[Border | None, OrNone("The border; left out: none")] = None
    cover: Annotated[Cover | None, OrNone("The cover; left out: none")] = None
    lining: Annotated[Lining | None, OrNone("The lining; left out: none")] = None
    enclosure: Annotated[Enclosure | None, OrNone("The box at the back; left out: none")] = None
    mount: Annotated[Mount | None, OrNone("The mount; left out: none")] = None
    finish: Annotated[Finish | None, OrNone("The finish; left out: none")] = None
    handles: Annotated[
        tuple[Handle, ...],
        Field(description="Handles: bars in blocks on the back", max_length=MOST_HANDLES,
              examples=[[{"edges": ["top"], "bar": "dowel-hardwood-22", "length": "300 mm"}]]),
    ] = ()  # fmt: skip
    pieces: Annotated[
        tuple[OwnPiece, ...],
        Field(description="Own pieces on the board", max_length=MOST_PIECES,
              examples=[[{"piece": "cable cleat", "sheet": "mdf", "width": "60 mm",
                          "height": "30 mm"}]]),
    ] = ()  # fmt: skip

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Number what comes in lists; a rim that is lined is there."""
        _lined(data, context)
        number(data, "handles", "handle", context)
        number(data, "pieces", "piece", context)
        return data


def _lined(data: Map, context: Context) -> None:
    lining, border = data.get("lining"), data.get("border")
    bare = border is None or (isinstance(border, Text) and tidy(border) == "none")
    if isinstance(lining, Map) and bare:
        where = lining.get("where", ())
        mine = [item for item in where if item == "border"] if isinstance(where, Items) else []
        if mine or "where" not in lining:
            context.note(mine[0] if mine else lining, "the light has no rim to line. Accepted:"
                         " 'where: [board]'", at_key=not mine)  # fmt: skip
