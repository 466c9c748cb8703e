"""What each conductor is made of: material, size, colour, length and current by its role."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from guidegen.calc import geometry
from guidegen.calc.wire import sleeve_bore
from guidegen.design.beside import FAN, PILOT, WIRE, Kind
from guidegen.design.parts import first_stage, part_of
from guidegen.design.result import PRACTICE, Desk
from guidegen.design.sizes import leads
from guidegen.design.wiring import supply_cable
from guidegen.kinds import Count, FineMetre, LongMetre
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import FeedStage
from guidegen.values import Value, given

#: Colours of the poles by region; from memory, and `wiring.colours` overrides them.
COLOURS = {
    "north america": ("RD", "BK"),
    "europe": ("RD", "BK"),
    "united kingdom": ("RD", "BK"),
    "australia": ("RD", "BK"),
    "elsewhere": ("RD", "BK"),
}
CONTROL_COLOURS = {"a": "YE", "b": "WH", "c": "GN"}
#: In the names of values, which hold no digits.
NUMBERS = ("none", "one", "two", "three", "four", "five")


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
    build: str = "flexible class 5"


def _pole_colour(desk: Desk, polarity: str) -> str:
    wishes, own = desk.fixture.wiring, COLOURS[desk.fixture.guide.region]
    colours = {
        "+": own[0] if wishes.positive_colour == "auto" else wishes.positive_colour,
        "-": own[1] if wishes.negative_colour == "auto" else wishes.negative_colour,
    }
    return colours[polarity]


def sleeve_over(size: Value) -> Value:
    """Bore of the sleeve for an insulated wire of this size, before it shrinks."""
    return given("sleeve.bore", FineMetre, sleeve_bore(size.si, True), PRACTICE)


def _cable(part: CataloguePart, size: Value, colour: str, length: Value, current: Value) -> Look:
    return Look(part.label, size, str(size), colour, length, current,
                cores=int(part["cores"].si), build=part.words["build"])  # fmt: skip


def _feed_part(desk: Desk) -> CataloguePart:
    stage = first_stage(desk.fixture, FeedStage)
    assert stage is not None  # `wiring` halts where there is no feed
    return part_of(stage)


def lead_look(desk: Desk, polarity: str, name: str, beside: int = 0, past: str = "") -> Look:
    """A core of a lead; one that passes wires or a lead of the other pole is longer by these."""
    stage = leads(desk.fixture)[0 if name == "lead" else int(name[5:]) - 1]
    length = _beside(desk, name, beside)
    if past:
        length = desk.work(f"{name}.whole", geometry.passing, length=length,
                           pieces=_passed(desk, 1), piece=desk[f"{past}.length"])  # fmt: skip
    return _cable(part_of(stage), desk[f"{name}.size"], _pole_colour(desk, polarity), length,
                  desk["input.highest_current"])  # fmt: skip


def battery_look(desk: Desk, polarity: str, beside: int = 0) -> Look:
    """A piece of wire at a battery; on the negative pole as long as what it passes."""
    length = _beside(desk, "", beside) if beside else desk["battery_wire.length"]
    return _cable(supply_cable(desk.fixture)[1], desk["battery_wire.size"],
                  _pole_colour(desk, polarity), length, desk["input.highest_current"])  # fmt: skip


def _beside(desk: Desk, lead: str, pieces: int) -> Value:
    """Length of a core beside which the other pole has so many pieces of wire."""
    if not pieces:
        return desk[f"{lead}.length"]
    name = f"{lead or 'battery_wire'}.beside_{NUMBERS[pieces]}"
    if name in desk:
        return desk[name]
    none = "battery_wire.no_lead"
    rest = desk[f"{lead}.length"] if lead else (
        desk[none] if none in desk else desk.given(none, LongMetre, 0.0, "no lead"))  # fmt: skip
    return desk.work(name, geometry.passing, length=rest, pieces=_passed(desk, pieces),
                     piece=desk["battery_wire.length"])  # fmt: skip


def _passed(desk: Desk, pieces: int) -> Value:
    """How many wires of the other pole a core runs beside."""
    count = f"battery_wire.passed_{NUMBERS[pieces]}"
    return desk[count] if count in desk else desk.given(count, Count, pieces, "parts passed")


def _link_look(desk: Desk, polarity: str) -> Look:
    return _cable(supply_cable(desk.fixture)[1], desk["link.size"], _pole_colour(desk, polarity),
                  desk["wire.slack"], desk["input.highest_current"])  # fmt: skip


def _feed_look(desk: Desk, polarity: str) -> Look:
    shared = "feed.core_current" in desk
    # Where both cores of a cable carry one pole, their colours say nothing.
    colour = "" if shared else _pole_colour(desk, polarity)
    return _cable(_feed_part(desk), desk["feed.size"], colour, desk["feed.length"],
                  desk["feed.wire_current"])  # fmt: skip


def _stage_link_look(desk: Desk, polarity: str) -> Look:
    """From the regulator to the stage behind it: of the feed's wire, which carries the same."""
    return replace(_feed_look(desk, polarity), length=desk["wire.slack"],
                   current=desk["panel.current"])  # fmt: skip


def _jumper_look(desk: Desk, polarity: str) -> Look:
    part = desk.fixture.wiring.jumper
    bare = part.words["build"] == "bare solid"
    return Look(part.label, desk["jumper.size"], str(desk["jumper.size"]),
                "bare" if bare else _pole_colour(desk, polarity), desk["jumper.length"],
                desk["row.side_current"], bare, build=part.words["build"])  # fmt: skip


def _control_look(desk: Desk, polarity: str) -> Look:
    return _cable(catalogue_part(WIRE), desk["control.lead_size"], CONTROL_COLOURS[polarity],
                  desk["wire.slack"], desk["control.current"])  # fmt: skip


def _tie_look(desk: Desk, polarity: str) -> Look:
    return replace(_control_look(desk, polarity), length=desk["control.tie_length"])


def _beside_look(desk: Desk, polarity: str, kind: Kind) -> Look:
    return _cable(catalogue_part(WIRE), desk[f"{kind.wire}.size"], _pole_colour(desk, polarity),
                  desk["wire.slack"], desk[f"{kind.name}.most_current"])  # fmt: skip


LOOKS: dict[str, Callable[[Desk, str], Look]] = {
    "link": _link_look,
    "feed": _feed_look,
    "jumper": _jumper_look,
    "stage_link": _stage_link_look,
    "control_lead": _control_look,
    "pulse_lead": _control_look,
    "wiper_tie": _tie_look,
    FAN.wire: partial(_beside_look, kind=FAN),
    PILOT.wire: partial(_beside_look, kind=PILOT),
}
