"""The mount: a block of one bar, or of layers of sheet that hold a nut between them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from guidegen import kinds
from guidegen.spec.extras import Position, number, position
from guidegen.spec.keys import Context, part_key, quantity, words
from guidegen.spec.outlines import Outline, corners, only_for_outlines
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.section import Numbered, Section
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import tidy
from guidegen.values import Given

LEAST_LAYERS, MOST_LAYERS = 2, 8
BLOCK = "hardwood-40x40"
_SIDE = ("20 mm", "500 mm", "60 mm")


class Layer(Numbered):
    """One sheet of a laminated block, and what is cut in its middle."""

    sheet: Annotated[Part, part_key("layer", ("sheet",), "Sheet", "plywood")]
    thickness: Annotated[
        Given | Auto,
        quantity("layer.thickness", kinds.FineMetre, ("0.5 mm", "50 mm", "9 mm"),
                 "Thickness, one of those in which the sheet is sold", default="auto",
                 choice=True),
    ]  # fmt: skip
    cut: Annotated[
        str,
        words("What is cut in its middle: the way of the screw through it, a pocket for the nut"
              " from its outer face, or nothing", ("through", "pocket", "none"),
              default="through"),
    ]  # fmt: skip
    shape: Annotated[
        str, words("Shape of what is cut; auto: as the nut needs it",
                   ("round", "square", "outline", "auto"), default="auto")
    ]  # fmt: skip
    corners: Annotated[
        Outline,
        corners("; its place is the middle, and where the thread opens outward, up is to the"
                " light side"),
    ]  # fmt: skip
    width: Annotated[
        Given | Auto,
        quantity("layer.width", kinds.FineMetre, ("2 mm", "200 mm", "20 mm"),
                 "Diameter or side of what is cut", default="auto", choice=True),
    ]  # fmt: skip
    depth: Annotated[
        Given | Auto,
        quantity("layer.depth", kinds.FineMetre, ("0.5 mm", "50 mm", "2 mm"),
                 "Depth of the pocket; as deep as the layer is thick: right through it",
                 default="auto", choice=True),
    ]  # fmt: skip

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Only a pocket has a depth; where nothing is cut, nothing has a size."""
        cut = data.get("cut", "through")
        what = tidy(cut) if isinstance(cut, Text) else "through"
        extra = {"none": ("shape", "corners", "width", "depth"),
                 "through": ("depth",)}.get(what, ())  # fmt: skip
        for key in extra:
            if key in data:
                context.note(data[key], f"'{key}' does not belong to a layer whose cut is {what}."
                             " Accepted: pocket", at_key=True)  # fmt: skip
        if what != "none":
            only_for_outlines(data, context, ("width",))
        return data


class Mount(Section):
    """The block with a threaded insert by which the light is held."""

    later = frozenset({"fixed_by", "across", "up"})
    insert: Annotated[
        Part, part_key("insert", ("insert",), "Insert, or nut between layers", "insert-quarter-20")
    ]
    block: Annotated[Part, part_key("block", ("bar",), "Bar of the block", BLOCK, default=BLOCK)]
    edge: Annotated[
        str, words("Edge of the board it stands at", ("bottom", "top"), default="bottom")
    ]
    along: Annotated[Position, position("across")]
    width: Annotated[
        Given | Auto,
        quantity("mount.width", kinds.Metre, _SIDE, "Width of the block, along the edge",
                 default="auto", choice=True),
    ]  # fmt: skip
    height: Annotated[
        Given | Auto,
        quantity("mount.height", kinds.Metre, (*_SIDE[:2], "40 mm"),
                 "Of a block of layers, the other side of the face that its thread opens in",
                 default="auto", choice=True),
    ]  # fmt: skip
    thread_faces: Annotated[
        str,
        words("Where the thread opens: outward at the edge of the board, or to the back",
              ("outward", "back"), default="outward"),
    ]  # fmt: skip
    layers: Annotated[
        tuple[Layer, ...],
        Field(description="Layers of sheet, the outside first, in place of a bar; the outside is"
              " where the thread opens", max_length=MOST_LAYERS,
              examples=[[{"sheet": "plywood", "thickness": "12 mm", "cut": "through"}]]),
    ] = ()  # fmt: skip

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A bar or layers; of layers, one with a pocket, and a way to it from outside."""
        number(data, "layers", "layer", context)
        layers = data.get("layers")
        if not isinstance(layers, Items) or not layers:
            if "height" in data:
                context.note(data["height"], "'height' belongs to layers: a bar brings its own"
                             " section. Accepted: layers, or no 'height'", at_key=True)  # fmt: skip
            return data
        if "block" in data:
            context.note(data["block"], "'block' and 'layers' are both here. Accepted: one of"
                         " them", at_key=True)  # fmt: skip
        _in_order(layers, context)
        return data


def _in_order(layers: Items, context: Context) -> None:
    cuts = [_cut(layer) for layer in layers]
    pockets = [count for count, cut in enumerate(cuts) if cut == "pocket"]
    if len(cuts) < LEAST_LAYERS:
        context.note(layers, f"one layer holds no nut. Accepted: {LEAST_LAYERS} to {MOST_LAYERS}")
    elif not pockets:
        context.note(layers, "no layer has a pocket for the nut. Accepted: 'cut: pocket' in one"
                     " that is not the outside one")  # fmt: skip
    elif len(pockets) > 1:
        context.note(layers[pockets[1]], "a second pocket. Accepted: one, for one nut")
    elif pockets[0] == 0:
        context.note(layers[0], "the pocket lies open to the outside: the nut would be pulled out."
                     " Accepted: a layer with 'cut: through' before it")  # fmt: skip
    else:
        for layer, cut in list(zip(layers, cuts, strict=True))[: pockets[0]]:
            if cut != "through":
                context.note(layer, "this layer closes the way to the nut. Accepted: 'cut:"
                             " through' in every layer outside of the pocket")  # fmt: skip


def _cut(layer: object) -> str:
    cut = layer.get("cut", "through") if isinstance(layer, Map) else "through"
    return tidy(cut) if isinstance(cut, Text) else "through"
