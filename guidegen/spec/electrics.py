"""Rows of tape, their wiring and the supply."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, PrivateAttr

from guidegen import kinds
from guidegen.spec.keys import LATER, Context, line, part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.profiles import PROFILES, at_profile
from guidegen.spec.quantities import Auto
from guidegen.spec.rails import AREA, SIZE_WORDING, Rails
from guidegen.spec.section import Section
from guidegen.spec.stages import AnyStage
from guidegen.spec.tree import Map
from guidegen.units import MAINS, REFUSED, clip, tidy
from guidegen.values import Given

FED_FROM = ("left end", "right end", "opposite ends", "both ends", "middle", "auto")
#: Letters of IEC 60757, from memory.
COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ", "auto")
#: Kinds of supplies.
SUPPLIES = ("adapter", "battery", "bank", "negotiated", "vehicle")
#: Those that store energy, and with which stages may stay.
STORES = ("battery", "bank")
#: One for which the guide is built, and its alternatives.
MOST_SUPPLIES = 6


class Rows(Section):
    """A set of equal rows of tape."""

    later = frozenset({"name", "centre", "joints"})
    tape: Annotated[Part, part_key("tape", ("tape",), "LED tape", "tape-12v-10w-cri95")]
    count: Annotated[
        Given | Auto,
        quantity("row.count", kinds.Count, ("1", "200", "12"), "Number of rows", default="auto",
                 choice=True),
    ]  # fmt: skip
    length: Annotated[
        Given | Auto,
        quantity("row.length", kinds.Metre, ("5 mm", "10 m", "300 mm"), "Length of a row",
                 default="auto", choice=True),
    ]  # fmt: skip
    pitch: Annotated[
        Given | Auto,
        quantity("row.pitch", kinds.FineMetre, ("2 mm", "1 m", "15 mm"), "From row to row",
                 default="auto", choice=True),
    ]  # fmt: skip
    fed_from: Annotated[str, words("Ends at which a row is fed", FED_FROM, default="auto")]
    feed_point: Annotated[
        Given | Auto,
        quantity("row.feed_point", kinds.Metre, ("5 mm", "10 m", "150 mm"),
                 "From a row's left end to where it is fed 'from middle', at the nearest cut line",
                 default="auto", choice=True),
    ]  # fmt: skip
    stagger: Annotated[
        str,
        words("How far every second row is shifted", ("none", "half increment"), default="none"),
    ]
    positive_at: Annotated[
        str,
        words("End with the positive feed, or the positive rail", ("left", "right"),
              default="left"),
    ]  # fmt: skip

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """A feed point belongs to rows that are fed between their ends."""
        if "feed_point" in data and data.get("fed_from") != "middle":
            context.note(data["feed_point"], "'feed_point' needs 'fed_from: middle'", at_key=True)
        return data


class Jumpers(Section):
    """The conductors from a rail to a row."""

    later = frozenset({"insulate", "diameter", "width", "thickness"})
    conductor: Annotated[
        Part,
        part_key("jumper", ("conductor",), "Wire of the jumpers", "hook-up", default="hook-up"),
    ]
    size: Annotated[
        Given | Auto,
        quantity("jumper.size", kinds.ConductorArea, AREA, "Conductor area", default="auto",
                 choice=True, wording=SIZE_WORDING),
    ]  # fmt: skip


class Colours(Section):
    """Colours of the insulation, as letters of IEC 60757."""

    positive: Annotated[str, words("Positive conductor", COLOURS, default="auto")]
    negative: Annotated[str, words("Negative conductor", COLOURS, default="auto")]

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """One colour can't tell two poles apart."""
        positive, negative = data.get("positive"), data.get("negative")
        if positive == negative not in (None, "auto"):
            context.note(negative, "both poles have the same colour. Accepted: two colours")
        return data


class Wiring(Section):
    """Rails, jumpers and colours."""

    rails: Annotated[
        Rails,
        Field(default_factory=Map, validate_default=True, description="Rails",
              examples=[{"conductor": "bare-copper", "size": "1.5 mm²"}]),
    ]  # fmt: skip
    jumpers: Annotated[
        Jumpers,
        Field(default_factory=Map, validate_default=True, description="Jumpers",
              examples=[{"conductor": "hook-up", "size": "0.5 mm²"}]),
    ]  # fmt: skip
    colours: Annotated[
        Colours,
        Field(default_factory=Map, validate_default=True, description="Colours",
              examples=[{"positive": "RD", "negative": "BK"}]),
    ]  # fmt: skip

    @property
    def rail(self) -> Part:
        """What the rails are made of: wire, bar or foil."""
        return self.rails.part

    @property
    def rail_size(self) -> Given | Auto:
        """Conductor area of the rails."""
        return self.rails.size

    @property
    def rail_fed_at(self) -> str:
        """`end`, `middle`, `auto` or `below row 3`."""
        return self.rails.fed_at

    @property
    def jumper(self) -> Part:
        """Wire of the jumpers."""
        return self.jumpers.conductor

    @property
    def jumper_size(self) -> Given | Auto:
        """Conductor area of the jumpers."""
        return self.jumpers.size

    @property
    def positive_colour(self) -> str:
        """Letters of IEC 60757, or `auto`."""
        return self.colours.positive

    @property
    def negative_colour(self) -> str:
        """Letters of IEC 60757, or `auto`."""
        return self.colours.negative


class Supply(Section):
    """Where the current comes from."""

    later = frozenset({"any_source"})
    name: Annotated[str, line("Name of this supply", "pack", 40, "")]
    adapter: Annotated[
        Part | Auto | None,
        part_key("adapter", ("adapter",), "Adapter", "adapter-19v-65w", default="", choice=True),
    ]
    battery: Annotated[
        Part | Auto | None,
        part_key("battery", ("battery",), "Battery, in place of an adapter", "lifepo4-4s-20ah",
             default="", choice=True),
    ]  # fmt: skip
    bank: Annotated[
        Part | Auto | None,
        part_key("battery", ("bank",), "Battery bank that is charged where it stands",
                 "lead-acid-24v-100ah", default="", choice=True),
    ]  # fmt: skip
    negotiated: Annotated[
        Part | None,
        part_key("adapter", ("negotiated",), "Adapter whose voltage a trigger asks for",
                 "adapter-negotiated-65w", default=""),
    ]  # fmt: skip
    profile: Annotated[
        str,
        words("Voltage that the trigger of a negotiated adapter asks for", ("none", *PROFILES),
              default="none"),
    ]  # fmt: skip
    vehicle: Annotated[
        Part | None,
        part_key("socket", ("vehicle",), "Socket of a vehicle", "vehicle-socket-12v", default=""),
    ]
    chain: Annotated[
        tuple[AnyStage, ...],
        Field(description="What stays with this supply, as the current flows",
              examples=[[{"fuse": "fuse-blade-58v", "rating": "15 A"}]]),
    ] = ()  # fmt: skip
    _agreed: Part | None = PrivateAttr(default=None)

    @property
    def kind(self) -> str:
        """`adapter`, `battery`, `bank`, `negotiated` or `vehicle`."""
        return next(kind for kind in SUPPLIES if getattr(self, kind) is not None)

    @property
    def part(self) -> Part | Auto:
        """What gives the current; of a negotiated adapter as it stands at its profile."""
        if self.negotiated is None:
            found: Part | Auto = getattr(self, self.kind)
            return found
        # Once: its figures are values of the design, each known by identity.
        if self._agreed is None:
            self._agreed = at_profile(self.negotiated, self.profile)
        return self._agreed

    @property
    def stores(self) -> bool:
        """Whether it is a battery or a bank."""
        return self.kind in STORES

    @classmethod
    def unknown(cls, key: str) -> str:
        """A kind of supply that is refused, or comes later."""
        accepted = f"Accepted: {', '.join(SUPPLIES)}"
        if MAINS.search(key):
            return f"{clip(key)} is refused: {REFUSED}. {accepted}"
        return f"'{key}' {LATER}. {accepted}" if key in cls.later else super().unknown(key)

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """One of these kinds is needed."""
        here = [kind for kind in SUPPLIES if kind in data]
        if len(here) > 1:
            context.note(data[here[-1]], f"'{here[0]}' and '{here[-1]}' are both here. Accepted:"
                         " one of them", at_key=True)  # fmt: skip
        elif not here:
            context.note(data, "'adapter', 'battery' or 'bank' is missing. Accepted: such as"
                         " 'adapter: adapter-19v-65w'", at_key=True)  # fmt: skip
        asks = tidy(str(data.get("profile", "none"))) != "none"
        if "negotiated" in data and not asks:
            context.note(data["negotiated"], "'profile' is missing: which voltage does its trigger"
                         f" ask for? Accepted: {', '.join(PROFILES)}", at_key=True)  # fmt: skip
        elif asks and "negotiated" not in data:
            context.note(data["profile"], "'profile' belongs to 'negotiated'", at_key=True)
        return data
