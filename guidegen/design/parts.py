"""Stages of the chain and their parts, after `resolve` has put a part wherever `auto` stood."""

from __future__ import annotations

from typing import TypeVar

from guidegen.calc import tape as label
from guidegen.spec.cooling import Sink
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.stages import (
    AnyStage,
    ConnectorStage,
    PulseWidthStage,
    RegulatorStage,
    Stage,
    ThermalCutOutStage,
)

#: Figures of a battery or bank of which one is its highest voltage.
HIGHEST = ("full_voltage", "rest", "absorption", "equalising")
#: One kind of stage.
One = TypeVar("One", bound=Stage)


def rated_group_current(tape: Part) -> float:
    """Current of a group of a tape at its rated voltage, by its label. [A]."""
    return label.rated_group_current(power=tape["power"].si, increment=tape["increment"].si,
                                     voltage=tape["voltage"].si)  # fmt: skip


def part_of(stage: AnyStage) -> Part:
    """The part of a stage.

    Raises
    ------
    AssertionError
        If the fixture was not resolved, or the stage is a cut-off built into the battery.
    """
    # No bad spec leads here: `settle` resolves the fixture before any subject sees it.
    assert isinstance(stage.part, Part), f"{stage.path} has no part"
    return stage.part


def supply_part(fixture: Fixture) -> Part:
    """The adapter, the battery or the bank.

    Raises
    ------
    AssertionError
        If the fixture was not resolved.
    """
    # As for a stage: `auto` is gone before any subject asks.
    assert isinstance(fixture.supply.part, Part), "the supply has no part"
    return fixture.supply.part


def battery_window(part: Part) -> tuple[float, float]:
    """Voltage of a battery or bank when it is empty, and the highest that it ever has. [V].

    A bank stays joined while it is charged: equalising is its highest.
    """
    highest = max(figure.si for name in HIGHEST if (figure := part.get(name)) is not None)
    return part["empty_voltage"].si, highest


def supply_window(part: Part) -> tuple[float, float]:
    """Lowest and highest voltage of any supply, cut-offs not counted. [V]."""
    if is_battery(part):
        return battery_window(part)
    voltage, most = part["voltage"], part.get("highest_voltage")
    if most is not None:
        return part["lowest_voltage"].si, most.si
    return voltage.si - voltage.spread, voltage.si + voltage.spread


def is_vehicle(part: Part) -> bool:
    """Whether a supply is the socket of a vehicle."""
    return part.kind == "vehicle"


def is_battery(part: Part) -> bool:
    """Whether a supply stores energy: a battery or a bank."""
    return part.get("empty_voltage") is not None


def all_stages(fixture: Fixture) -> tuple[AnyStage, ...]:
    """Both chains as the current flows: what stays with the supply, then the light's own."""
    return (*fixture.supply.chain, *fixture.chain)


def first_stage(fixture: Fixture, kind: type[One]) -> One | None:
    """The first stage of a kind as the current flows; None where there is none."""
    return next((stage for stage in all_stages(fixture) if isinstance(stage, kind)), None)


def connector_label(fixture: Fixture) -> str:
    """What the connector is bought as; empty where there is none."""
    stage = first_stage(fixture, ConnectorStage)
    return part_of(stage).label if stage is not None else ""


def steps_up(stage: RegulatorStage | None) -> bool:
    """Whether a regulator's output lies above its input."""
    return stage is not None and part_of(stage).words.get("topology") == "step-up"


def rated_at_input(part: Part) -> bool:
    """Whether a regulator's current is that of its input: a step-up's, if nothing else is said."""
    default = "input" if part.words.get("topology") == "step-up" else "output"
    return part.words.get("current_at", default) == "input"


def regulator_of(fixture: Fixture) -> RegulatorStage | None:
    """The regulator stage of the chain; None where there is none."""
    return first_stage(fixture, RegulatorStage)


def pulse_of(fixture: Fixture) -> PulseWidthStage | None:
    """The pulse-width stage of the chain; None where there is none."""
    return first_stage(fixture, PulseWidthStage)


def thermal_cut_out_of(fixture: Fixture) -> ThermalCutOutStage | None:
    """The thermal cut-out of the chain; None where there is none."""
    return first_stage(fixture, ThermalCutOutStage)


def cut_out_on_board(fixture: Fixture) -> bool:
    """Whether the thermal cut-out touches the board's back, and not the air of the box."""
    stage = thermal_cut_out_of(fixture)
    if stage is None or stage.touches != "auto":
        return stage is not None and stage.touches == "board"
    return fixture.body.enclosure is None


def sink_of(fixture: Fixture) -> Sink | None:
    """The heat sink on the regulator; None where it has none of its own."""
    stage = regulator_of(fixture)
    return stage.sink if stage is not None else None
