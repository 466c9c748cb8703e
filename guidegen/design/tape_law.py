"""Which law the groups of a tape follow: LEDs with a resistor, or with a chip for their current."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from guidegen.calc import held, loaded, tape, trimming
from guidegen.calc.held_group import HeldGroup
from guidegen.calc.led_group import (
    BOLTZMANN,
    IDEALITY,
    ROOM,
    GroupLaw,
    group_current,
    tangent_voltage,
)
from guidegen.design.result import Desk
from guidegen.errors import RangeError
from guidegen.kinds import Count, MilliVolt, PerVolt
from guidegen.spec.model import Fixture
from guidegen.values import Value

#: By which share a chip's current grows with a volt, where the data sheet is mute. [1/V].
REGULATION, REGULATION_SPREAD = 0.005, 0.003
#: What the network is made of beside the values of every tape.
CHIP = ("tape.chip_dropout", "tape.line_regulation")


def constant_current(fixture: Fixture) -> bool:
    """Whether a chip holds the current of each group."""
    return fixture.rows.tape.get("chip_dropout") is not None


def enter(desk: Desk) -> None:
    """Enter what stands in series with the LEDs of a group, from the tape's rated point.

    Raises
    ------
    RangeError
        If LEDs and what is in series with them need more than the rated voltage.
    """
    rated, figures = desk["group.rated_current"], desk.fixture.rows.tape
    if not constant_current(desk.fixture):
        desk.work("group.resistance", tape.group_resistance, voltage=desk["tape.voltage"],
                  group_current=rated, **_leds(desk))  # fmt: skip
        return
    dropout, regulation = figures["chip_dropout"], figures.get("line_regulation")
    desk.put(dropout)
    if regulation is not None:
        desk.put(regulation)
    else:
        desk.given("tape.line_regulation", PerVolt, REGULATION, "from memory", REGULATION_SPREAD)
    least = desk.work("tape.holds_from", held.holding_voltage, dropout=dropout, **_leds(desk))
    if least.si > desk["tape.voltage"].si:
        raise RangeError("chip_dropout", dropout.si, "what the LEDs leave of the rated voltage")
    desk.work("group.chip_resistance", held.chip_resistance, dropout=dropout,
              group_current=rated)  # fmt: skip
    desk.work("group.slope_resistance", held.slope_resistance, group_current=rated,
              regulation=desk["tape.line_regulation"])  # fmt: skip


def _leds(desk: Desk) -> dict[str, Value]:
    return {"leds_per_group": desk["tape.leds_per_group"],
            "forward_voltage": desk["tape.forward_voltage"]}  # fmt: skip


def current(desk: Desk, name: str, voltage: Value) -> Value:
    """Current of one group at a voltage."""
    if not constant_current(desk.fixture):
        return desk.work(name, group_current, voltage=voltage, rated_voltage=desk["tape.voltage"],
                         rated_current=desk["group.rated_current"], ideality=ideality(desk),
                         **_leds(desk))  # fmt: skip
    return desk.work(name, held.held_current, voltage=voltage,
                     group_resistance=desk["group.chip_resistance"],
                     rated_current=desk["group.rated_current"], rated_voltage=desk["tape.voltage"],
                     regulation=desk["tape.line_regulation"], **_leds(desk))  # fmt: skip


def slope_resistance(desk: Desk) -> Value:
    """Volts for an ampere more through a group at its rated voltage, its LEDs left out."""
    chips = constant_current(desk.fixture)
    return desk["group.slope_resistance" if chips else "group.resistance"]


def holds(desk: Desk, voltage: Value) -> bool:
    """Whether chips hold their current at this voltage."""
    return constant_current(desk.fixture) and voltage.si > desk["tape.holds_from"].si


def behind(desk: Desk, name: str, amps: Value, drop: Value, voltage: Value) -> Value:
    """Current behind resistances that lose so much at the current without them."""
    if holds(desk, voltage):
        return desk.work(name, held.held_behind, current=amps, drop=drop, voltage=voltage,
                         rated=desk["tape.voltage"],
                         regulation=desk["tape.line_regulation"])  # fmt: skip
    return desk.work(name, loaded.lowered_current, current=amps, drop=drop, voltage=voltage,
                     tangent=_tangent(desk))  # fmt: skip


def _tangent(desk: Desk) -> Value:
    if "tape.tangent" in desk:
        return desk["tape.tangent"]
    return desk.work("tape.tangent", tangent_voltage, threshold=desk["tape.threshold"],
                     leds=desk["tape.leds_per_group"], ideality=ideality(desk),
                     thermal=thermal(desk))  # fmt: skip


def power_ratio(desk: Desk, name: str, voltage: Value) -> Value:
    """Power of the tape at a voltage against that at its rated one."""
    rated = desk["tape.voltage"]
    if constant_current(desk.fixture):
        return desk.work(name, held.held_power_ratio, voltage=voltage, rated=rated,
                         regulation=desk["tape.line_regulation"])  # fmt: skip
    return desk.work(name, trimming.power_ratio, voltage=voltage, tangent=_tangent(desk),
                     rated=rated)  # fmt: skip


def named(desk: Desk) -> tuple[str, ...]:
    """Values of the tape's own law, beside those of every tape."""
    return CHIP if constant_current(desk.fixture) else ()


def solved(desk: Desk, **other: float) -> GroupLaw:
    """The law of a group in the network, with `current` [A] or `forward` [V] as given."""
    return network_law(lambda name: desk[name].si, constant_current(desk.fixture), **other)


def network_law(of: Callable[[str], float], held: bool, **other: float) -> GroupLaw:
    """The law of a group in the panel's network.

    Parameters
    ----------
    of : callable
        The design's values by name. [SI]
    held : bool
        Whether a chip holds the current.
    other : float
        `current` [A] or `forward` [V] in the place of the design's.
    """
    rated: dict[str, Any] = {
        "voltage": of("tape.voltage"), "current": of("group.rated_current"),
        "leds": of("tape.leds_per_group"), "forward": of("tape.forward_voltage"),
    } | other  # fmt: skip
    if held:
        return HeldGroup.held(**rated, dropout=of("tape.chip_dropout"),
                              regulation=of("tape.line_regulation"))  # fmt: skip
    return GroupLaw.rated(**rated)


def thermal(desk: Desk) -> Value:
    """Thermal voltage of the LEDs, wherever it is first asked for. [V]."""
    return desk.once("network.thermal_voltage", MilliVolt, BOLTZMANN * ROOM,
                     "kT/q of the SI of 2019, at 25 °C")  # fmt: skip


def ideality(desk: Desk) -> Value:
    """Of the LEDs, wherever it is first asked for. [-]."""
    return desk.once("network.ideality", Count, IDEALITY, "from memory: 1.5 to 3.5 are measured")
