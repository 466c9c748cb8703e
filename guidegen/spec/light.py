"""What light is wanted, and where the lights stand."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Annotated, Any, Self

from pydantic import Field, PrivateAttr, model_validator

from guidegen import kinds
from guidegen.spec.keys import Context, Key, line, quantity, words
from guidegen.spec.quantities import Fault, Quantity
from guidegen.spec.section import Section
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

_DISTANCE = ("50 mm", "20 m", "0.7 m")
_MOST_PLACES = 12
SIDES = ("front", "left", "right", "above", "below")


class LitField(Section):
    """The area that must be lit."""

    width: Annotated[
        Given, quantity("light.field_width", kinds.Metre, ("10 mm", "20 m", "420 mm"), "Width")
    ]
    height: Annotated[
        Given, quantity("light.field_height", kinds.Metre, ("10 mm", "20 m", "300 mm"), "Height")
    ]


def _marked(name: str, pattern: str, reads: Quantity, text: str, example: str) -> Key:
    """A number with its mark before it: `f/8`, `ISO 200`."""

    def convert(node: Any, context: Context) -> Given:
        found = re.fullmatch(pattern, tidy(node), re.A) if isinstance(node, Text) else None
        if not found:
            shown = clip(node) if isinstance(node, Text) else "this"
            raise Fault(f"{shown} is not accepted here. Accepted: such as '{example}'")
        number = Text(found[1])
        number.put(node.place, node.path)
        return replace(reads.given(number, name), written=tidy(node))

    return Key(convert, text, example)


class Exposure(Section):
    """A camera's exposure, in place of `target`."""

    aperture: Annotated[
        Given,
        _marked("light.aperture", r"[fF]/(\d{1,3}(?:\.\d)?)",
                Quantity(kinds.Ratio, "0.7", "128", "8"), "Aperture", "f/8"),
    ]  # fmt: skip
    shutter: Annotated[
        Given,
        quantity("light.shutter", kinds.Second, ("1/8000 s", "60 s", "1/60 s"), "Shutter time"),
    ]
    sensitivity: Annotated[
        Given,
        _marked("light.sensitivity", r"ISO (\d{1,6})",
                Quantity(kinds.Count, "6", "409600", "200"), "Sensitivity", "ISO 200"),
    ]  # fmt: skip


@dataclass(frozen=True)
class Placed:
    """One light of a set, and where it stands as seen from the field."""

    name: str
    side: str
    angle: Given
    """From the normal of the field."""
    distance: Given
    """From the middle of the field."""


class PlacedKeys(Section):
    """One light of a set."""

    name: Annotated[str, line("Name of this light", "left light", 40, "")]
    side: Annotated[str, words("Side of the field, as the viewer sees it", SIDES)]
    angle: Annotated[
        Given,
        quantity("angle", kinds.Degree, ("0 °", "89 °", "45 °"), "Angle from the field's normal",
                 default="0 °"),
    ]  # fmt: skip
    distance: Annotated[
        Given | None,
        quantity("distance", kinds.Metre, _DISTANCE, "Distance; left out: that of 'light'",
                 default="none", absent=True),
    ]  # fmt: skip


class PanelKeys(PlacedKeys):
    """One of several panels that are alike: each has the rows, the wiring and the body."""

    later = frozenset({"rows", "wiring", "body"})
    name: Annotated[str, line("Name of this panel", "left panel", 40)]
    side: Annotated[
        str, words("Side of the field, as the viewer sees it", SIDES, default="front")
    ]  # fmt: skip


#: More do not go under the two screws of a stage: ends of feeds need a block that shares them out.
LEAST_PANELS, MOST_PANELS = 2, 2
Panels = Annotated[
    tuple[PanelKeys, ...],
    Field(description="Several panels, all alike, on one chain; left out: one",
          examples=[[{"name": "left panel", "side": "left", "angle": "45 °"},
                     {"name": "right panel", "side": "right", "angle": "45 °"}]],
          json_schema_extra={"minItems": LEAST_PANELS}, max_length=MOST_PANELS),
]  # fmt: skip


def _places() -> Any:
    return Field(
        description="Where the lights stand; left out: one, in front, at 'distance'",
        examples=[[{"side": "left", "angle": "45 °", "distance": "0.7 m"}]],
        max_length=_MOST_PLACES,
    )


class Light(Section):
    """What light is wanted."""

    distance: Annotated[
        Given,
        quantity("light.distance", kinds.Metre, _DISTANCE,
                 "From the light to the field; the default of 'placed'", default="1 m"),
    ]  # fmt: skip
    field: Annotated[
        LitField | None,
        Field(description="The area that must be lit",
              examples=[{"width": "420 mm", "height": "300 mm"}]),
    ] = None  # fmt: skip
    target: Annotated[
        Given | None,
        quantity("light.target", kinds.Lux, ("1 lx", "200000 lx", "2000 lx"),
                 "Illuminance that is wanted in the middle", default="none", absent=True),
    ]  # fmt: skip
    exposure: Annotated[
        Exposure | None,
        Field(description="A camera's exposure, in place of 'target'",
              examples=[{"aperture": "f/8", "shutter": "1/60 s", "sensitivity": "ISO 200"}]),
    ] = None  # fmt: skip
    evenness: Annotated[
        Given | None,
        quantity("light.evenness", kinds.Percent, ("1 %", "99 %", "at least 80 %"),
                 "Darkest point over the mean of the field", default="none", absent=True,
                 bound=True),
    ]  # fmt: skip
    _placed: tuple[Placed, ...] = PrivateAttr(default=())
    stands: Annotated[tuple[PlacedKeys, ...], _places(), Field(alias="placed")] = ()

    @property
    def field_width(self) -> Given | None:
        """Width of the field."""
        return self.field.width if self.field else None

    @property
    def field_height(self) -> Given | None:
        """Height of the field."""
        return self.field.height if self.field else None

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Where the lights stand; never empty."""
        return self._placed

    @model_validator(mode="after")
    def place_them(self) -> Self:
        """Name each light's values; one in front where nothing is said."""
        self.place_at(self.stands)
        return self

    def place_at(self, stands: tuple[PlacedKeys, ...]) -> None:
        """Put lights, or the panels of one light, where these stand."""
        zero = Quantity(kinds.Degree, "0 °", "89 °", "45 °").given(
            Text("0 °"), "placed_1.angle", "default"
        )
        front = Placed("light", "front", zero, self.distance)
        placed = tuple(
            Placed(
                stand.name or _place_name(stand.side, number, stands),
                stand.side,
                replace(stand.angle, name=f"placed_{number}.angle"),
                replace(stand.distance, name=f"placed_{number}.distance")
                if stand.distance
                else self.distance,
            )
            for number, stand in enumerate(stands, 1)
        )
        self._placed = placed or (front,)

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """What contradicts itself, or has no field to be even on."""
        if "target" in data and "exposure" in data:
            context.note(data["exposure"], "'target' and 'exposure' are both here. Accepted: one of"
                         " them", at_key=True)  # fmt: skip
        if "evenness" in data and data["evenness"] != "none" and "field" not in data:
            context.note(data["evenness"], "evenness needs a field. Accepted: 'field' with 'width'"
                         " and 'height' beside it", at_key=True)  # fmt: skip
        if "placed" in data and not isinstance(data["placed"], Items):
            context.note(data["placed"], "this is no list. Accepted: items such as '- side: left'")
        return data


def _place_name(side: str, number: int, stands: tuple[PlacedKeys, ...]) -> str:
    same = [stand.side for stand in stands].count(side)
    return f"{side} light" if same == 1 else f"{side} light {number}"


def check_panels(data: Map, context: Context) -> None:
    """Several panels say where they stand themselves, and are fed from a box beside them.

    Parameters
    ----------
    data : Map
        The whole spec.
    context : Context
        Takes the faults.
    """
    panels = data.get("panels")
    if panels is None:
        return
    if not isinstance(panels, Items):
        context.note(panels, "this is no list. Accepted: items such as '- name: left panel'")
        return
    if len(panels) < LEAST_PANELS:
        context.note(panels, "one panel is no list of panels. Accepted: two items, or no 'panels'",
                     at_key=True)  # fmt: skip
    names: set[str] = set()
    for item in panels:
        name = item.get("name") if isinstance(item, Map) else None
        if isinstance(name, Text):
            if tidy(name) in names:
                context.note(name, f"panel {clip(name)} appears twice. Accepted: each name once")
            names.add(tidy(name))
    light, body = data.get("light"), data.get("body")
    if isinstance(light, Map) and "placed" in light:
        context.note(light["placed"], "'panels' says where each panel stands. Accepted: 'placed' or"
                     " 'panels', not both", at_key=True)  # fmt: skip
    box = body.get("enclosure") if isinstance(body, Map) else None
    if not isinstance(box, Map) or tidy(box.get("side", Text("back"))) != "separate":
        at = box if isinstance(box, Map) else panels
        context.note(at, "several panels are fed from a box beside them. Accepted:"
                     " 'side: separate' in 'body.enclosure'", at_key=True)  # fmt: skip
