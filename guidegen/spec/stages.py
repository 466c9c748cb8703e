"""The chain from supply to rows: its stages, in the order in which the current flows."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, ClassVar, Self

from pydantic import (
    Discriminator,
    Field,
    PrivateAttr,
    Tag,
    ValidatorFunctionWrapHandler,
    model_validator,
)

from guidegen import kinds
from guidegen.errors import Place
from guidegen.spec.control import Control, PulseControl
from guidegen.spec.cooling import Sink
from guidegen.spec.keys import Context, Key, part_key, quantity, span, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.section import OrNone, Section, renamed
from guidegen.spec.tree import Map, Text
from guidegen.units import tidy
from guidegen.values import Given

#: Cores of a twin cable: one for each pole, or a cable for each pole.
CORES = ("one on each pole", "both on one pole")
BUILT_IN = "built in"
#: Kinds of stages that the format has a place for, and this version does not.
LATER_STAGES = ("adapter_lead", "alarm")
#: In the order in which left-out stages are put in.
RANK = ("connector", "lead", "fuse", "switch", "cut_off", "thermal_cut_out", "regulator",
        "pulse_width", "feed")  # fmt: skip
FILLED = ("connector", "lead", "fuse", "switch", "feed")
#: What may stay at a battery. An adapter stays whole.
AT_BATTERY = ("fuse", "cut_off", "lead", "switch", "connector")
SEVERAL = ("lead",)
LONGEST_CHAIN = 20
_AREA = ("0.05 mm²", "35 mm²", "0.75 mm²")
_SIZE_WORDING = "a conductor's size is an area"


class Stage(Section):
    """One stage of the chain."""

    kind: ClassVar[str] = ""
    article: ClassVar[str] = "a"
    later = frozenset({"name", "at", "distance", "diameter", "width", "thickness"})
    _place: Place = PrivateAttr(default=Place(""))
    _path: str = PrivateAttr(default="")

    @property
    def place(self) -> Place:
        """Where it stands; the file alone where it was filled in."""
        return self._place

    @property
    def path(self) -> str:
        """`chain.lead`."""
        return self._path

    @model_validator(mode="wrap")
    @classmethod
    def remember(cls, data: Any, handler: ValidatorFunctionWrapHandler) -> Self:
        """Keep the place, and name the values of a second lead `lead_2`."""
        made: Self = handler(data)
        if isinstance(data, Map):
            if data.prefix and data.prefix != cls.kind:
                made = made.model_copy(update=renamed(made, data.prefix))
            made._place, made._path = data.place, data.path
        return made

    @classmethod
    def unknown(cls, key: str) -> str:
        """A key of another kind of stage lacks its dash."""
        if key in RANK:
            what = f"{cls.article} {cls.kind.replace('_', '-')}"
            return f"'{key}' does not belong to {what}. A dash begins each item: '- {key}: auto'"
        return super().unknown(key)


class ConnectorStage(Stage):
    """What is unplugged: the border between supply and light."""

    kind = "connector"
    later = Stage.later | {"half_at_supply"}
    part: Annotated[
        Part | Auto,
        part_key("connector", ("connector",), "Connector", "barrel-5525", choice=True),
        Field(alias="connector"),
    ]


class LeadStage(Stage):
    """The cable between supply and light."""

    kind = "lead"
    part: Annotated[
        Part | Auto,
        part_key("lead", ("conductor",), "Cable", "twin-flex", choice=True),
        Field(alias="lead"),
    ]
    size: Annotated[
        Given | Auto,
        quantity("lead.size", kinds.ConductorArea, _AREA, "Conductor area of one core",
                 default="auto", choice=True, wording=_SIZE_WORDING),
    ]  # fmt: skip
    length: Annotated[
        Given | Auto,
        quantity("lead.length", kinds.LongMetre, ("50 mm", "30 m", "1.5 m"), "Length of the lead",
                 default="auto", choice=True),
    ]  # fmt: skip


class FuseStage(Stage):
    """The fuse in the positive conductor."""

    kind = "fuse"
    part: Annotated[
        Part | Auto,
        part_key("fuse", ("fuse",), "Fuse", "fuse-5x20", choice=True),
        Field(alias="fuse"),
    ]
    rating: Annotated[
        Given | Auto,
        quantity("fuse.rating", kinds.AmpereRating, ("32 mA", "80 A", "3.15 A"), "Rated current",
                 default="auto", choice=True),
    ]  # fmt: skip


class SwitchStage(Stage):
    """The switch in the positive conductor."""

    kind = "switch"
    part: Annotated[
        Part | Auto,
        part_key("switch", ("switch",), "Switch", "switch-dc-6a", choice=True),
        Field(alias="switch"),
    ]


def _built_in() -> Key:
    plain = part_key("cut_off", ("cut_off",), "Cut-off, or 'built in'", "built in", choice=True)

    def convert(node: Any, context: Context) -> Part | Auto | None:
        if isinstance(node, Text) and tidy(node) == BUILT_IN:
            return None
        found: Part | Auto | None = plain.convert(node, context)
        return found

    return replace(plain, convert=convert)


class CutOffStage(Stage):
    """What opens the circuit before a battery is empty."""

    kind = "cut_off"
    later = Stage.later | {"comes_back_at"}
    part: Annotated[Part | Auto | None, _built_in(), Field(alias="cut_off")]
    trips_at: Annotated[
        Given | Auto,
        quantity("cut_off.trips_at", kinds.Volt, ("1 V", "60 V", "11.2 V ± 0.2 V"),
                 "Voltage at which it opens", default="auto", choice=True),
    ]  # fmt: skip

    @property
    def built_in(self) -> bool:
        """Whether the battery has it inside."""
        return self.part is None

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A built-in cut-off has no data sheet here: its voltage must be said."""
        node, trips_at = data.get("cut_off"), data.get("trips_at", "auto")
        if isinstance(node, Text) and tidy(node) == BUILT_IN and trips_at == "auto":
            context.note(
                data, "'trips_at' is missing. Accepted: such as 'trips_at: 11.2 V ± 0.2 V'"
            )
        return data


class ThermalCutOutStage(Stage):
    """What opens the positive pole while a place is too warm, and closes again by itself."""

    kind = "thermal_cut_out"
    part: Annotated[
        Part,
        part_key("thermal_cut_out", ("thermal_cut_out",), "Thermal cut-out",
                 "thermal-cut-out-60c"),
        Field(alias="thermal_cut_out"),
    ]  # fmt: skip
    touches: Annotated[
        str,
        words("What it watches: the air of the box, or the back of the board; auto: the box where"
              " there is one", ("enclosure", "board", "auto"), default="auto"),
    ]  # fmt: skip


class RegulatorStage(Stage):
    """The stage that sets the voltage of the rows."""

    kind = "regulator"
    part: Annotated[
        Part | Auto,
        part_key("regulator", ("regulator",), "Regulator", "step-down-36v-8a", choice=True),
        Field(alias="regulator"),
    ]
    output: Annotated[
        tuple[Given, Given],
        span("regulator.wanted_low", "regulator.wanted_high", kinds.Volt,
             ("0.5 V", "60 V", "8 V to 11.5 V"),
             "Output voltage: from the least to the most light, or one that is fixed"),
    ]  # fmt: skip
    current_limit: Annotated[
        Given | Auto | None,
        quantity("regulator.limit", kinds.Ampere, ("10 mA", "100 A", "3 A"),
                 "Setting of the current limit", default="auto", choice=True, absent=True),
    ]  # fmt: skip
    control: Annotated[
        Control | None,
        OrNone("What the hand turns; left out: the output is fixed"),
    ] = None

    sink: Annotated[
        Sink | None, OrNone("The heat sink on the module; left out: what it comes with")
    ] = None

    @property
    def output_low(self) -> Given:
        """Output voltage at the low end of the control."""
        return self.output[0]

    @property
    def output_high(self) -> Given:
        """Output voltage at the high end of the control."""
        return self.output[1]

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A span needs something that moves it."""
        output, control = data.get("output"), data.get("control")
        moved = isinstance(output, Text) and " to " in output
        if moved and control is None:
            data["control"] = Map()
        elif isinstance(output, Text) and moved and control == "none":
            context.note(output, "a span needs a control. Accepted: one voltage, or 'control'")
        if output is not None and not moved and isinstance(control, Map):
            context.note(control, "one output voltage leaves the control nothing to move. Accepted:"
                         " 'output' as a span, such as '8 V to 11.5 V'", at_key=True)  # fmt: skip
        return data


class PulseWidthStage(Stage):
    """The stage that dims by switching the rows on and off, many times a second."""

    kind = "pulse_width"
    part: Annotated[
        Part | Auto,
        part_key("pulse_width", ("pulse_width",), "Pulse-width stage", "pulse-width-30v-8a",
                 choice=True),
        Field(alias="pulse_width"),
    ]  # fmt: skip
    frequency: Annotated[
        Given | Auto,
        quantity("pulse_width.frequency", kinds.Hertz, ("10 Hz", "200 kHz", "at least 3 kHz"),
                 "Pulses a second: what is wanted at least, or what was measured",
                 default="auto", choice=True),
    ]  # fmt: skip
    switches: Annotated[
        str,
        words("Pole that it opens between pulses", ("negative", "positive", "auto"),
              default="auto"),
    ]  # fmt: skip
    control: Annotated[
        PulseControl,
        Field(default_factory=Map, validate_default=True, description="What the hand turns",
              examples=[{"track": "auto"}]),
    ]  # fmt: skip


class FeedStage(Stage):
    """The conductors from the chain to the rails."""

    kind = "feed"
    later = Stage.later | {"through"}
    part: Annotated[
        Part | Auto,
        part_key("feed", ("conductor",), "Cable", "twin-flex", choice=True),
        Field(alias="feed"),
    ]
    size: Annotated[
        Given | Auto,
        quantity("feed.size", kinds.ConductorArea, _AREA, "Conductor area of one core",
                 default="auto", choice=True, wording=_SIZE_WORDING),
    ]  # fmt: skip
    length: Annotated[
        Given | Auto,
        quantity("feed.length", kinds.Metre, ("20 mm", "5 m", "300 mm"), "Length of the feed",
                 default="auto", choice=True),
    ]  # fmt: skip
    cores: Annotated[
        str,
        words("Which pole the cores of a cable carry", CORES, default=CORES[0]),
    ]


def kind_of_stage(item: Any) -> str:
    """The kind of stage that an item is, or an empty text."""
    keys = item if isinstance(item, Map) else ()
    return next((key for key in keys if key in RANK), "")


AnyStage = Annotated[
    Annotated[ConnectorStage, Tag("connector")]
    | Annotated[LeadStage, Tag("lead")]
    | Annotated[FuseStage, Tag("fuse")]
    | Annotated[SwitchStage, Tag("switch")]
    | Annotated[CutOffStage, Tag("cut_off")]
    | Annotated[ThermalCutOutStage, Tag("thermal_cut_out")]
    | Annotated[RegulatorStage, Tag("regulator")]
    | Annotated[PulseWidthStage, Tag("pulse_width")]
    | Annotated[FeedStage, Tag("feed")],
    Discriminator(kind_of_stage),
]
