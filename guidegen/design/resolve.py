"""Parts where the spec says `auto`: chosen once, before anything is settled, from the label."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from guidegen.calc import supply, tables
from guidegen.design.bank import INPUT_FACTOR, is_bank
from guidegen.design.beside import all_beside, is_behind
from guidegen.design.choose import chosen_part
from guidegen.design.parts import (
    battery_window,
    first_stage,
    is_battery,
    rated_at_input,
    rated_group_current,
    regulator_of,
    supply_window,
)
from guidegen.design.pulse import NO_EFFECT
from guidegen.design.result import Choice
from guidegen.errors import GuidegenError
from guidegen.kinds import Ampere, Volt, Watt, kind_of
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.stages import CutOffStage
from guidegen.values import Given

#: A rating over the expected current, as everywhere in `protection`.
OVER = 1.25
#: Rows assumed where the spec leaves count or length to the design.
ROWS, LENGTH = 12, 0.6


def resolved(fixture: Fixture) -> tuple[Fixture, tuple[Choice, ...]]:
    """The fixture with a part in every place, and the choices made.

    Raises
    ------
    GuidegenError
        If the catalogue has nothing that fits.
    """
    choices: list[Choice] = []
    need = _Need(fixture)
    source = fixture.supply
    if isinstance(source.part, Auto):
        fits, by = (need.battery, "capacity") if source.stores else (need.supply, "power")
        prefix = "battery" if source.stores else "adapter"
        part = _pick(source.kind, prefix, fits, choices, by, need)
        source = source.model_copy(update={source.kind: part})
        need.part = part
    else:
        need.part = source.part
    chain = tuple(_stage(stage, need, choices) for stage in fixture.chain)
    own = tuple(_stage(stage, need, choices) for stage in source.chain)
    source = source.model_copy(update={"chain": own})
    return fixture.model_copy(update={"supply": source, "chain": chain}), tuple(choices)


class _Need:
    """What the chain will have to carry, from the tape's label."""

    def __init__(self, fixture: Fixture) -> None:
        figures, rows = fixture.rows.tape, fixture.rows
        count = rows.count.si if isinstance(rows.count, Given) else ROWS
        length = rows.length.si if isinstance(rows.length, Given) else LENGTH
        regulator = regulator_of(fixture)
        self.full = regulator.output_high.si if regulator else figures["voltage"].si
        self.least = regulator.output_low.si if regulator else self.full
        self.regulator = regulator is not None
        self.steps_up = regulator is not None and _named_step_up(regulator.part)
        groups = count * fixture.panel_count * (length / figures["increment"].si)
        self.amps = rated_group_current(figures) * groups
        #: Of what hangs on the regulator's output.
        self.behind = sum(part["current"].si for _, wish, part in all_beside(fixture)
                          if is_behind(wish))  # fmt: skip
        cut_off = first_stage(fixture, CutOffStage)
        trips = cut_off.trips_at if cut_off is not None else None
        self.trips = trips.si - trips.spread if isinstance(trips, Given) else 0.0
        self.part: Part | None = None
        self.margin = fixture.limits.adapter_margin.si
        # Ampere-hours and hours go together: energies are in watt-hours here.
        self.hours = fixture.use.run_time.si if fixture.use.run_time else 0.0

    def __str__(self) -> str:
        """What a builder looks for, where the catalogue has nothing."""
        volts, amps, watts = (kind_of(kind).text for kind in (Volt, Ampere, Watt))
        tape = f"{volts(self.full)} and {amps(self.amps)} at the tape"
        if self.part is None:
            return f"{tape}, {watts(self.watts)} from the supply"
        return f"{tape}, up to {volts(self.highest)} and {amps(self.input_amps)} at the supply"

    @property
    def volts(self) -> float:
        """Nominal voltage of the supply; of the tape while there is none."""
        return self.part["voltage"].si if self.part else self.full

    @property
    def highest(self) -> float:
        """Highest voltage of the supply: a full battery, an adapter at its upper tolerance."""
        if self.part is None:
            return self.full
        # A module on a vehicle's socket outlasts the peaks of its generator.
        peak = self.part.get("load_dump")
        return peak.si if peak else supply_window(self.part)[1]

    @property
    def lowest(self) -> float:
        """Lowest voltage of the supply, where the current is greatest."""
        if self.part is None:
            return self.full
        return max(supply_window(self.part)[0], self.trips if is_battery(self.part) else 0.0)

    @property
    def short(self) -> float:
        """Current into a short."""
        if self.part is None:
            return 0.0
        return (self.part.get("short_circuit_current") or self.part["highest_current"]).si

    @property
    def watts(self) -> float:
        """Power from the supply, a regulator's loss included."""
        return supply.input_power(output_power=self.full * (self.amps + self.behind),
                                  efficiency=0.9)  # fmt: skip

    @property
    def input_amps(self) -> float:
        """Current from the supply."""
        return self.watts / self.lowest

    def supply(self, part: Part) -> bool:
        """An adapter with margin, above the wanted output, as low as will do."""
        enough = part["power"].si * (1 - self.margin) >= self.watts
        low = self.full + 3.0 if self.regulator else self.full * 0.99
        high = self.full + 10 if self.regulator else self.full * 1.01
        if self.steps_up:
            low, high = self.least / 2, self.least / 1.05
        return enough and low <= part["voltage"].si <= high

    def battery(self, part: Part) -> bool:
        """A battery above the wanted output until it is empty, that lasts as long as asked."""
        low, high = battery_window(part)
        window = low >= self.full + 2.0 if self.regulator else high <= self.full * 1.05
        if self.steps_up:
            window = high <= self.least
        lasts = part["voltage"].si * part["capacity"].si * part["usable"].si
        strong = part["highest_current"].si >= OVER * self.watts / low
        return window and strong and lasts >= self.watts * self.hours

    def regulator_fits(self, part: Part) -> bool:
        """A module for these voltages: stepping down with a current limit to set, or up."""
        up = part.words["topology"] == "step-up"
        amps = self.input_amps if rated_at_input(part) else self.amps + self.behind
        return (
            up == (self.highest <= self.full and self.part is not None)
            and part["current"].si >= amps * 1.1
            and part["input_low"].si <= self.lowest
            and part["input_high"].si >= self.highest * self.room
            and part["output_high"].si >= self.full
            and (up or part.get("limit_high") is not None)
        )

    def pulses(self, part: Part, frequency: Given | Auto) -> bool:
        """A pulse-width stage by current and voltage, fast enough to have no observable effect."""
        asked = frequency.low if isinstance(frequency, Auto) else None
        least = max(asked.si if asked else 0.0, NO_EFFECT)
        highest = self.full if self.regulator else self.highest * self.room
        pulses = part["frequency"]
        return (
            part["current"].si >= OVER * self.amps
            and part["voltage_low"].si <= self.full
            and part["voltage"].si >= highest
            and pulses.si - pulses.spread >= least
        )

    @property
    def room(self) -> float:
        """What a module's input rating has over the highest voltage, in parts of it."""
        return INPUT_FACTOR if self.part is not None and is_bank(self.part) else 1.0

    def plugs(self, part: Part) -> bool:
        """A connector that takes the adapter's own plug, where that is known."""
        plug = self.part.words.get("plug") if self.part else ""
        covered = part.words.get("exposed") == "shrouded" or not self.battery_powered
        return self.contact(part) and covered and (not plug or part.key == plug)

    @property
    def battery_powered(self) -> bool:
        """Whether the supply's half of a connector stays live when it is unplugged."""
        return self.part is not None and is_battery(self.part)

    def contact(self, part: Part) -> bool:
        """Switch, cut-off: by current and DC voltage."""
        return part["current"].si >= OVER * self.input_amps and part["voltage"].si >= self.highest

    def fuse(self, part: Part) -> bool:
        """A fuse series by its DC voltage, its breaking capacity and its largest rating."""
        largest = max(tables.fuse_ratings(part.words["series"]))
        return (
            part["voltage"].si >= self.highest
            and part["breaking"].si >= self.short
            and largest >= OVER * self.input_amps
        )


def _named_step_up(part: Part | Auto) -> bool:
    return isinstance(part, Part) and part.words.get("topology") == "step-up"


def _pick(
    kind: str,
    prefix: str,
    fits: Callable[[Part], bool],
    choices: list[Choice],
    by: str,
    need: _Need,
) -> Part:
    part = chosen_part(kind, prefix, fits, by)
    if part is None:
        name = kind.replace("_", "-")
        raise GuidegenError(f"the catalogue has no {name} that fits {need}: name one")
    choices.append(Choice(f"{prefix}.part", part.label))
    return part


def _stage(stage: Any, need: _Need, choices: list[Choice]) -> Any:
    if not isinstance(getattr(stage, "part", None), Auto):
        return stage
    fits, by = {
        "connector": (need.plugs, "current"),
        "switch": (need.contact, "current"),
        "cut_off": (need.contact, "current"),
        "fuse": (need.fuse, "voltage"),
        "regulator": (need.regulator_fits, "current"),
        "pulse_width": (lambda part: need.pulses(part, stage.frequency), "current"),
        "lead": (lambda part: part["cores"].si == 2, "temperature"),
        "feed": (lambda part: part["cores"].si <= 2, "temperature"),
    }[stage.kind]
    part = _pick("conductor" if stage.kind in ("lead", "feed") else stage.kind, stage.kind, fits,
                 choices, by, need)  # fmt: skip
    return stage.model_copy(update={"part": part})
