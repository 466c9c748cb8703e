"""The fixture: everything a spec says, every physical field a `Given` with its place."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Field, PrivateAttr, model_validator

from guidegen.errors import Place
from guidegen.spec.auxiliaries import Auxiliaries, Fan, Pilot, check
from guidegen.spec.body import Body
from guidegen.spec.chain import complete
from guidegen.spec.electrics import MOST_SUPPLIES, Rows, Supply, Wiring
from guidegen.spec.keys import PART_MARK, Context, Key, date, line
from guidegen.spec.light import Light, Panels, check_panels
from guidegen.spec.making import GuideWishes, Limits, Making
from guidegen.spec.measured import MeasuredItems, apply
from guidegen.spec.part import Part
from guidegen.spec.section import OnlyOne, Section
from guidegen.spec.stages import AnyStage
from guidegen.spec.tree import Items, Map, Text
from guidegen.spec.use import Use
from guidegen.units import tidy
from guidegen.values import Given


class Head(Section):
    """What the light is called and is for."""

    name: Annotated[str, line("Name of the light", "Shelf light", 60)]
    purpose: Annotated[str, line("What it is for, in a sentence", "Light for a shelf", 200, "")]


class Revision(Section):
    """One issue of the spec."""

    revision: Annotated[str, line("Letter or number", "A", 20)]
    date: Annotated[datetime.date | None, date("Day of this revision")]
    change: Annotated[str, line("What changed", "First issue", 200)]


@dataclass(frozen=True)
class Held:
    """What a light is made of already: with another supply nothing of it is chosen anew."""

    values: Mapping[str, Given]
    """By name."""
    link: Part
    """What the short wires of the supply side are cut from."""


DRAFT = Revision.model_construct(revision="draft", date=None, change="First draft")


def _whole(example: dict[str, Any], text: str) -> Any:
    """A section that may be left out: its keys have defaults."""
    return Field(default_factory=Map, validate_default=True, description=text, examples=[example])


class Fixture(Section):
    """A fixture spec.

    Physical fields are `Given`, or `Auto` where the design chooses, or None where nothing is
    there.
    """

    later = frozenset({"accessories", "buying"})
    _path: Path = PrivateAttr(default=Path())
    _tree: Map = PrivateAttr(default_factory=Map)
    _text: str = PrivateAttr(default="")
    _alternatives: tuple[Fixture, ...] = PrivateAttr(default=())
    _held: Held | None = PrivateAttr(default=None)

    fixture: Annotated[Head, Field(description="The light", examples=[{"name": "Shelf light"}])]
    issues: Annotated[
        tuple[Revision, ...],
        Field(alias="revisions", description="Revisions, newest first",
              examples=[[{"revision": "A", "date": "2026-03-02", "change": "First issue"}]],
              max_length=60),
    ] = ()  # fmt: skip
    use: Annotated[Use, _whole({"faces": "45 ° down"}, "Where it is used")]
    light: Annotated[Light, _whole({"distance": "0.5 m"}, "What light is wanted")]
    rows: Annotated[
        Rows,
        OnlyOne("Sets of equal rows", "set of rows", {"tape": "tape-12v-10w-cri95"}),
    ]
    panels: Panels = ()
    wiring: Annotated[Wiring, _whole({"rails": {"size": "1.5 mm²"}}, "Rails, jumpers, colours")]
    supply: Annotated[
        Supply,
        OnlyOne("Where the current comes from: the supply of the guide, then alternatives",
                "supply", {"adapter": "adapter-19v-65w"}, MOST_SUPPLIES),
        Field(alias="supplies"),
    ]  # fmt: skip
    chain: Annotated[
        tuple[AnyStage, ...],
        Field(description="Stages from supply to rows, as the current flows; left out: connector,"
              " lead, fuse, switch, feed", examples=[[{"fuse": "auto"}, {"switch": "auto"}]],
              default_factory=Items, validate_default=True),
    ]  # fmt: skip
    auxiliaries: Auxiliaries = ()
    body: Annotated[Body, Field(description="What is cut from sheet and bar",
                                examples=[{"board": {"sheet": "plywood"}}])]  # fmt: skip
    parts: Annotated[
        Any,
        Key(lambda node, context: None, "Own parts by key, as in the catalogue", {},
            {"type": "object", "additionalProperties": PART_MARK}, ""),
    ]  # fmt: skip
    measured: MeasuredItems
    making: Annotated[Making, _whole({"copies": 8}, "How many, from what")]
    limits: Annotated[Limits, _whole({"row_drop": "3 %"}, "What the design must keep to")]
    guide: Annotated[GuideWishes, _whole({"region": "europe"}, "What the guide is like")]

    @property
    def file(self) -> str:
        """Name of the spec file."""
        return self._path.name

    @property
    def path(self) -> Path:
        """Where the spec file lies."""
        return self._path

    @property
    def text(self) -> str:
        """What the spec says, word for word; a changed fixture has no file of its own."""
        return self._text

    def place(self, path: str) -> Place | None:
        """Where `rows.1.pitch` or `chain.fuse.rating` stands; None where the spec leaves it out.

        Items of a list go by number from 1 or by their kind.
        """
        node: Any = self._tree
        for step in path.split("."):
            if isinstance(node, Items):
                number = int(step) - 1 if step.isdigit() else -1
                node = next(
                    (item for n, item in enumerate(node)
                     if n == number or (isinstance(item, Map) and step in item)), None
                )  # fmt: skip
            else:
                node = node.get(step) if isinstance(node, Map) else None
        return getattr(node, "place", None)

    @property
    def alternatives(self) -> tuple[Fixture, ...]:
        """The same light with each further supply in the place of the first."""
        return self._alternatives

    @property
    def held(self) -> Held | None:
        """What was chosen with another supply; None where the light follows this one."""
        return self._held

    @property
    def panel_count(self) -> int:
        """How many panels one light has."""
        return max(1, len(self.panels))

    @property
    def fan(self) -> Fan | None:
        """The fan; None where there is none."""
        return next((one for one in self.auxiliaries if isinstance(one, Fan)), None)

    @property
    def pilot(self) -> Pilot | None:
        """The pilot light; None where there is none."""
        return next((one for one in self.auxiliaries if isinstance(one, Pilot)), None)

    @property
    def revisions(self) -> tuple[Revision, ...]:
        """Newest first; a draft where none is given."""
        return self.issues or (DRAFT,)

    @model_validator(mode="after")
    def stand_the_panels(self) -> Self:
        """Several panels stand where they say."""
        if self.panels:
            self.light.place_at(self.panels)
        return self

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Complete the chain; revisions must run backward; what was measured beats a label."""
        data = apply(data, context)
        complete(data, context)
        check(data, context)
        check_panels(data, context)
        revisions = data.get("revisions")
        if isinstance(revisions, Items):
            _newest_first(revisions, context)
        elif revisions is not None:
            context.note(revisions, "this is no list. Accepted: items such as '- revision: A'")
        return data


def _newest_first(revisions: Items, context: Context) -> None:
    later, seen = "", set()
    for item in revisions:
        if not isinstance(item, Map):
            continue
        date, name = item.get("date"), item.get("revision")
        if isinstance(date, Text):
            if later and tidy(date) > later:
                context.note(date, f"after {later} in the list. Accepted: the newest first")
            later = tidy(date)
        if isinstance(name, Text):
            if name in seen:
                context.note(name, f"revision '{name[:20]}' appears twice. Accepted: once each")
            seen.add(name)
