"""What the hand turns."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from guidegen import kinds
from guidegen.spec.keys import part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.section import Section
from guidegen.values import Given

_OHMS = ("0.1 ohm", "10 Mohm", "4.7 kohm")
_Potentiometer = Annotated[
    Part,
    part_key("control", ("potentiometer",), "Potentiometer", "potentiometer-16mm",
             default="potentiometer-16mm"),
    Field(alias="potentiometer"),
]  # fmt: skip
_Raises = Annotated[
    str, words("Turn that makes more light", ("clockwise", "anticlockwise"), default="clockwise")
]


class Control(Section):
    """What the hand turns."""

    later = frozenset({"leg", "law", "wired", "knob", "through"})
    part: _Potentiometer
    track: Annotated[
        Given | Auto,
        quantity("control.track", kinds.OhmRating, ("100 ohm", "10 Mohm", "10 kohm ± 20 %"),
                 "Resistance of the track", default="auto", choice=True),
    ]  # fmt: skip
    joins: Annotated[
        str,
        words("How it joins the feedback divider",
              ("in series with trimmer", "in place of trimmer", "in place of fixed resistor",
               "auto"), default="auto"),
    ]  # fmt: skip
    end_resistor: Annotated[
        Given | Auto | None,
        quantity("control.end_resistor", kinds.OhmRating, _OHMS,
                 "Resistor in series with the track", default="auto", choice=True, absent=True),
    ]  # fmt: skip
    across_resistor: Annotated[
        Given | Auto | None,
        quantity("control.across_resistor", kinds.OhmRating, _OHMS,
                 "Resistor across the track", default="auto", choice=True, absent=True),
    ]  # fmt: skip
    raises: _Raises


class PulseControl(Section):
    """What the hand turns at a pulse-width stage: three leads, no part of a divider."""

    later = Control.later | {"joins", "end_resistor", "across_resistor"}
    part: _Potentiometer
    track: Annotated[
        Given | Auto,
        quantity("control.track", kinds.OhmRating, ("100 ohm", "10 Mohm", "100 kohm ± 20 %"),
                 "Resistance of the track", default="auto", choice=True),
    ]  # fmt: skip
    raises: _Raises
