"""What each conductor is made of: material, size, colour, length and current by its role."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from guidegen.design.parts import first_stage, part_of
from guidegen.design.result import Desk
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.stages import FeedStage, LeadStage
from guidegen.values import Value

#: Colours of the poles by region; from memory, and `wiring.colours` overrides them.
COLOURS = {
    "north america": ("RD", "BK"),
    "europe": ("RD", "BK"),
    "united kingdom": ("RD", "BK"),
    "australia": ("RD", "BK"),
    "elsewhere": ("RD", "BK"),
}
CONTROL_COLOURS = ("YE", "WH")


@dataclass(frozen=True)
class Look:
    """Material, size, colour, length and current of a conductor."""

    material: str
    size: Value
    size_text: str
    colour: str
    length: Value
    current: Value
    bare: bool = False
    cores: int = 1


def _pole_colour(desk: Desk, polarity: str) -> str:
    wishes, own = desk.fixture.wiring, COLOURS[desk.fixture.guide.region]
    colours = {
        "+": own[0] if wishes.positive_colour == "auto" else wishes.positive_colour,
        "-": own[1] if wishes.negative_colour == "auto" else wishes.negative_colour,
    }
    return colours[polarity]


def _cable(part: CataloguePart, size: Value, colour: str, length: Value, current: Value) -> Look:
    return Look(part.label, size, str(size), colour, length, current, cores=int(part["cores"].si))


def _feed_part(desk: Desk) -> CataloguePart:
    stage = first_stage(desk.fixture, FeedStage)
    assert stage is not None  # `wiring` halts where there is no feed
    return part_of(stage)


def _lead_look(desk: Desk, polarity: str) -> Look:
    stage = first_stage(desk.fixture, LeadStage)
    assert stage is not None  # only a lead stage leads a pole on by a lead
    return _cable(part_of(stage), desk["lead.size"], _pole_colour(desk, polarity),
                  desk["lead.length"], desk["input.highest_current"])  # fmt: skip


def _link_look(desk: Desk, polarity: str) -> Look:
    return _cable(_feed_part(desk), desk["feed.size"], _pole_colour(desk, polarity),
                  desk["wire.slack"], desk["input.highest_current"])  # fmt: skip


def _feed_look(desk: Desk, polarity: str) -> Look:
    current = desk["feed.core_current" if "feed.core_current" in desk else "panel.current"]
    # Where both cores of a cable carry one pole, their colours say nothing.
    colour = "" if "feed.core_current" in desk else _pole_colour(desk, polarity)
    return _cable(_feed_part(desk), desk["feed.size"], colour, desk["feed.length"],
                  current)  # fmt: skip


def _jumper_look(desk: Desk, polarity: str) -> Look:
    part = desk.fixture.wiring.jumper
    bare = part.words["build"] == "bare solid"
    return Look(part.label, desk["jumper.size"], str(desk["jumper.size"]),
                "bare" if bare else _pole_colour(desk, polarity), desk["jumper.length"],
                desk["row.current"], bare)  # fmt: skip


def _control_look(desk: Desk, polarity: str) -> Look:
    return _cable(_feed_part(desk), desk["control.lead_size"], CONTROL_COLOURS[polarity != "a"],
                  desk["wire.slack"], desk["control.current"])  # fmt: skip


def _tie_look(desk: Desk, polarity: str) -> Look:
    return replace(_control_look(desk, polarity), length=desk["control.tie_length"])


LOOKS: dict[str, Callable[[Desk, str], Look]] = {
    "lead": _lead_look,
    "link": _link_look,
    "feed": _feed_look,
    "jumper": _jumper_look,
    "control_lead": _control_look,
    "wiper_tie": _tie_look,
}
