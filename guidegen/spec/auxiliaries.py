"""What hangs on the supply beside the rows: a fan, a pilot light."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag

from guidegen import kinds
from guidegen.spec.keys import LATER, Context, Key, line, part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.section import Section
from guidegen.spec.stages import kind_of_stage
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

#: Kinds of things beside the rows, each with what its values are called.
KINDS = {"fan": "fan", "pilot": "pilot_light"}
#: After which stages of the light one may be fed; a regulator feeds it its own, even voltage.
FED_AFTER = ("switch", "fuse", "cut_off", "lead", "connector", "regulator")
_BEHIND = {"pulse_width": "pulses wear out a fan's electronics, and a pilot light would dim"}


def _fed_after(what: str) -> Key:
    return words(f"The stage of the light's chain that {what} is fed after", FED_AFTER,
                 default="switch")  # fmt: skip


def _dropper(name: str, of: str) -> Key:
    return quantity(f"{name}.dropper", kinds.OhmRating, ("1 ohm", "10 kohm", "27 ohm"),
                    f"Resistor in series, where the supply is above {of} voltage",
                    default="auto", choice=True, absent=True)  # fmt: skip


class Beside(Section):
    """What hangs on the supply beside the rows."""

    fed_after: Annotated[str, _fed_after("it")]
    dropper: Annotated[Given | Auto | None, _dropper("beside", "its")]

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """It is fed by an even voltage: never by pulses."""
        fed = data.get("fed_after")
        why = _BEHIND.get(tidy(fed)) if isinstance(fed, Text) else None
        if isinstance(fed, Text) and why is not None:
            what = f"a {kind_beside(data).replace('pilot', 'pilot light') or 'part'}"
            context.note(fed, f"{what} is never fed behind a {tidy(fed).replace('_', '-')}: {why}."
                         f" Accepted: {', '.join(FED_AFTER)}")  # fmt: skip
            data["fed_after"] = Text("switch")
        return data


class Fan(Beside):
    """A fan that moves the air of the box."""

    later = frozenset({"cools", "fixed_by"})
    name: Annotated[str, line("Name of this fan", "fan of the box", 40, "")]
    fan: Annotated[Part, part_key("fan", ("fan",), "Fan", "fan-12v-40mm")]
    fed_after: Annotated[str, _fed_after("it")]
    guard: Annotated[
        Part, part_key("guard", ("hardware",), "Finger guard", "fan-guard-40mm",
                       default="fan-guard-40mm")
    ]  # fmt: skip
    dropper: Annotated[Given | Auto | None, _dropper("fan", "the fan's")]


class Pilot(Beside):
    """A pilot light in the wall of the box: it shows that the light has its supply."""

    later = frozenset({"fixed_by"})
    name: Annotated[str, line("Name of this pilot light", "supply is on", 40, "")]
    pilot: Annotated[
        Part, part_key("pilot_light", ("pilot_light",), "Pilot light", "pilot-light-12v")
    ]  # fmt: skip
    fed_after: Annotated[str, _fed_after("it")]
    dropper: Annotated[Given | Auto | None, _dropper("pilot_light", "the pilot light's")]


def kind_beside(item: Any) -> str:
    """`fan` or `pilot`; empty where it is neither."""
    return next((kind for kind in KINDS if isinstance(item, Map) and kind in item), "")


Auxiliaries = Annotated[
    tuple[
        Annotated[
            Annotated[Fan, Tag("fan")] | Annotated[Pilot, Tag("pilot")], Discriminator(kind_beside)
        ],
        ...,
    ],
    Field(description="What else hangs on the supply",
          examples=[[{"fan": "fan-12v-40mm", "fed_after": "switch"}]]),
]  # fmt: skip


def check(data: Map, context: Context) -> None:
    """One fan and one pilot light, each fed after a stage that the light has.

    Parameters
    ----------
    data : Map
        The whole spec, its chain complete.
    context : Context
        Takes the faults.
    """
    items: Any = data.get("auxiliaries")
    if items is None:
        return
    if not isinstance(items, Items):
        context.note(items, "this is no list. Accepted: items such as '- fan: fan-12v-40mm'")
        data["auxiliaries"] = Items()
        return
    seen: set[str] = set()
    for item in [*items]:
        kind = kind_beside(item)
        if not kind:
            first = next(iter(item), "") if isinstance(item, Map) else ""
            what = clip(str(first)) if first else "this"
            context.note(item, f"{what} is nothing that hangs beside the rows. Accepted: items such"
                         " as '- fan: fan-12v-40mm' or '- pilot: pilot-light-12v'")  # fmt: skip
        elif kind in seen:
            context.note(item, f"a second {kind} {LATER}. Accepted: one")
        if not kind or kind in seen:
            items.remove(item)
        seen.add(kind)
    kinds_here = [kind_of_stage(item) for item in data.get("chain", ())]
    for item in items:
        fed = item.get("fed_after", "switch") if isinstance(item, Map) else "switch"
        stage = tidy(fed) if isinstance(fed, Text) else fed
        if stage in FED_AFTER and stage not in kinds_here:
            here = ", ".join(kind for kind in FED_AFTER if kind in kinds_here)
            context.note(fed if isinstance(fed, Text) else item,
                         f"the light's chain has no {stage.replace('_', '-')} to feed a"
                         f" {kind_beside(item)} after. Accepted: {here}")  # fmt: skip
