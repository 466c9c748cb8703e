"""What hangs on the supply beside the rows: a fan."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from guidegen import kinds
from guidegen.spec.keys import LATER, Context, line, part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.section import Section
from guidegen.spec.stages import kind_of_stage
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import tidy
from guidegen.values import Given

#: After which stages of the light a fan may be fed: none of them changes the voltage.
FED_AFTER = ("switch", "fuse", "cut_off", "lead", "connector")
_BEHIND = {
    "regulator": "the control would turn its speed, and its voltage with it",
    "pulse_width": "pulses make it hum and wear out its electronics",
}


class Fan(Section):
    """A fan that moves the air of the box."""

    later = frozenset({"cools", "fixed_by", "pilot"})
    name: Annotated[str, line("Name of this fan", "fan of the box", 40, "")]
    fan: Annotated[Part, part_key("fan", ("fan",), "Fan", "fan-12v-40mm")]
    fed_after: Annotated[
        str, words("The stage of the light's chain that it is fed after", FED_AFTER,
                   default="switch")
    ]  # fmt: skip
    guard: Annotated[
        Part, part_key("guard", ("hardware",), "Finger guard", "fan-guard-40mm",
                       default="fan-guard-40mm")
    ]  # fmt: skip
    dropper: Annotated[
        Given | Auto | None,
        quantity("fan.dropper", kinds.OhmRating, ("1 ohm", "10 kohm", "27 ohm"),
                 "Resistor in series, where the supply is above the fan's voltage",
                 default="auto", choice=True, absent=True),
    ]  # fmt: skip

    @classmethod
    def unknown(cls, key: str) -> str:
        """Other things that hang on the supply come later."""
        return f"'{key}' {LATER}. Accepted: fan" if key == "pilot" else super().unknown(key)

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A fan is fed by an even voltage that nothing turns."""
        fed = data.get("fed_after")
        why = _BEHIND.get(tidy(fed)) if isinstance(fed, Text) else None
        if isinstance(fed, Text) and why is not None:
            context.note(fed, f"a fan is never fed behind a {tidy(fed).replace('_', '-')}: {why}."
                         f" Accepted: {', '.join(FED_AFTER)}")  # fmt: skip
            data["fed_after"] = Text("switch")
        return data


Auxiliaries = Annotated[
    tuple[Fan, ...],
    Field(description="What else hangs on the supply",
          examples=[[{"fan": "fan-12v-40mm", "fed_after": "switch"}]]),
]  # fmt: skip


def check(data: Map, context: Context) -> None:
    """One fan, fed after a stage that the light has.

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
    for more in items[1:]:
        context.note(more, f"a second fan {LATER}. Accepted: one")
    del items[1:]
    kinds_here = [kind_of_stage(item) for item in data.get("chain", ())]
    for item in items:
        fed = item.get("fed_after", "switch") if isinstance(item, Map) else "switch"
        stage = tidy(fed) if isinstance(fed, Text) else fed
        if stage in FED_AFTER and stage not in kinds_here:
            here = ", ".join(kind for kind in FED_AFTER if kind in kinds_here)
            context.note(fed if isinstance(fed, Text) else item,
                         f"the light's chain has no {stage.replace('_', '-')} to feed a fan after."
                         f" Accepted: {here}")  # fmt: skip
