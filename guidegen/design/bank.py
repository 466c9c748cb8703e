"""A battery bank that is charged where it stands: its voltages, and what they ask of modules."""

from __future__ import annotations

from itertools import pairwise

from guidegen.calc import supply
from guidegen.design.parts import part_of, pulse_of, regulator_of, supply_part
from guidegen.design.result import PRACTICE, Desk, Finding, Mend
from guidegen.kinds import AmpereRating, Ratio
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Value, band

#: A module's input rating over the highest voltage: in use at four fifths of the rating.
INPUT_FACTOR = 1.25
#: In the order in which they rise.
VOLTAGES = ("empty_voltage", "rest", "absorption", "equalising")


def is_bank(part: CataloguePart) -> bool:
    """Whether a supply is a bank: it has a voltage at rest, and others while it is charged."""
    return part.get("absorption") is not None


def voltages(desk: Desk, part: CataloguePart) -> None:
    """Enter the bank's voltages; each is above the one before it."""
    desk.set(bank=is_bank(part))
    if not is_bank(part):
        return
    found = [desk.put(figure) for name in VOLTAGES if (figure := part.get(name)) is not None]
    for lower, higher in pairwise(found):
        if higher.si < lower.si:
            place = getattr(higher, "place", None) or desk.fixture.place("supplies.1")
            desk.find(Finding("bank-voltages", "stop", lower, higher, place))


def input_margin(desk: Desk) -> None:
    """A module on a bank lives through every equalising, every switching peak on a long lead."""
    if not desk.fact("bank"):
        return
    factor = desk.given("bank.input_factor", Ratio, INPUT_FACTOR,
                        f"a rating used to four fifths: {PRACTICE}")  # fmt: skip
    needed = desk.work("bank.input_needed", supply.input_rating, highest=desk["supply.highest"],
                       factor=factor)  # fmt: skip
    regulator, pulses = regulator_of(desk.fixture), pulse_of(desk.fixture)
    stage = regulator or pulses
    if stage is None:
        return
    rating = part_of(stage)["input_high" if stage is regulator else "voltage"]
    desk.limit("bank-input", needed, desk.put(rating), at_most=False, place=stage.place,
               module=stage.kind, highest=desk["supply.highest"],
               mends=(Mend({stage.path: "auto"}),))  # fmt: skip


def greatest_short(desk: Desk) -> Value:
    """What the battery can drive into a short: with this a fuse must cope, so the upper end."""
    if "supply.short_most" in desk:
        return desk["supply.short_most"]
    short = desk.put(supply_part(desk.fixture)["short_circuit_current"])
    return desk.given("supply.short_most", AmpereRating, band(short)[1],
                      "upper end of the band of battery.short_circuit_current")  # fmt: skip
