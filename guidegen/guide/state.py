"""The light on the bench while the walk goes on: what is made, fitted, joined, set, powered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from guidegen.content.when import Fact
from guidegen.design.model import Conductor, Model, Part, owner
from guidegen.guide.net import CONNECTOR, SWITCH, Net
from guidegen.guide.step import Act
from guidegen.islands import Islands

#: Wires that stay with the battery when the light is unplugged.
AT_BATTERY = ("battery_wire", "supply_lead")
#: A limit above this burns: bare live metal must be covered first. [A]
HARMLESS = 1.0


@dataclass(frozen=True)
class Power:
    """What feeds the circuit."""

    source: str
    points: tuple[str, str]
    limit: float
    """In A; the supply's own if no other holds it back."""
    volts: float = 0.0
    """As it is set; of the light's own supply its nominal one. [V]."""
    plugged: bool = False
    """Whether the connector is plugged in: the light hangs on its own supply."""


@dataclass(frozen=True)
class Before:
    """The state before a step, in numbers."""

    made: int
    fitted: int
    joined: int
    wet: tuple[str, ...]
    power: str
    """Where it comes from: `bench`, `supply`, or empty for none."""
    positions: tuple[tuple[str, str], ...]


@dataclass
class State:
    """All that changes during the walk."""

    model: Model
    facts: Mapping[str, Fact]
    net: Net
    made: set[str] = field(default_factory=set)
    fitted: set[str] = field(default_factory=set)
    wet: set[str] = field(default_factory=set)
    joints: set[str] = field(default_factory=set)
    cold: set[str] = field(default_factory=set)
    """Terminals whose net was read against its opposite pole since its last joint."""
    positions: dict[str, str] = field(default_factory=dict)
    """By reference; what is not in it is unknown."""
    power: Power | None = None
    powered_before: bool = False
    """Whether the assembled light had power before."""
    own_supply: bool = False
    """Whether the light was fed from its own supply."""
    hold_points: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.things: dict[str, Part | Conductor] = {
            **{part.ref: part for part in self.model.parts},
            **{wire.ref: wire for wire in self.model.conductors},
        }
        self.by_joint = {joint.ref: joint for joint in self.model.joints}
        self.own_legs = {joint.conductor for joint in self.model.joints} & set(self.net.parts)
        # What the battery's wires end on and nothing carries stays with the battery.
        self.outside = {
            owner(end) for wire in self.model.conductors if wire.role in AT_BATTERY
            for end in (wire.start, wire.end) if not self._carried(owner(end))
        }  # fmt: skip
        self.coverers = [part for part in self.model.parts if part.covers]

    def before(self) -> Before:
        """A snapshot for the table of the walk."""
        power = self.power.source if self.power else ""
        return Before(len(self.made), len(self.fitted), len(self.joints),
                      tuple(sorted(self.wet)), power,
                      tuple(sorted(self.positions.items())))  # fmt: skip

    def _carried(self, ref: str) -> bool:
        thing = self.things.get(ref)
        return isinstance(thing, Part) and bool(thing.on)

    def is_made(self, ref: str) -> bool:
        """Whether a part exists: bought, or cut; conductors are cut to length."""
        thing = self.things[ref]
        bought = isinstance(thing, Part) and not thing.made
        return bought or ref in self.made

    def is_fitted(self, ref: str) -> bool:
        """Whether a part is in its place; what nothing carries lies on the bench."""
        thing = self.things[ref]
        if isinstance(thing, Conductor) or not thing.on or ref in self.own_legs:
            return self.is_made(ref)
        return ref in self.fitted

    def coverer(self, ref: str) -> str:
        """The fitted part that keeps hands and probes off another, or an empty text."""
        for cover in self.coverers:
            if cover.ref in self.fitted and self.covers(cover, ref):
                return cover.ref
        return ""

    def covers(self, cover: Part, ref: str) -> bool:
        """Whether a part, once fitted, lies over another part or conductor."""
        thing = self.things[ref]
        host = self.things.get(cover.on)
        if thing.role not in cover.covers or ref in self.outside:
            return False
        if host is None or host.role not in cover.covers:
            return True
        # A sleeve on one rail covers that rail and what ends on it, not the rail beside it.
        ends = (thing.start, thing.end) if isinstance(thing, Conductor) else ()
        return cover.on == ref or any(owner(end) == cover.on for end in ends)

    def closed(self, unknown: bool, power: Power | None = None) -> set[str]:
        """Switches that are closed; one that nobody has set counts as `unknown` says.

        With power from the light's own supply also the connector, which is plugged in then.
        """
        power = power or self.power
        plugged = power is not None and power.plugged
        return {
            ref for ref in self.net.parts
            if (ref[0] == CONNECTOR and plugged)
            or (ref[0] == SWITCH
                and (self.positions.get(ref) == "closed"
                     or (unknown and ref not in self.positions)))
        }  # fmt: skip

    def islands(self) -> Islands:
        """What hangs together now; a switch of unknown position lets nothing pass."""
        return self.net.islands(self.joints, self.closed(False))

    def live(self, power: Power) -> set[str]:
        """Terminals that may have power; a switch of unknown position counts as closed."""
        return self.net.live(self.joints, self.closed(True, power), power.points)

    def fed(self, power: Power) -> set[str]:
        """Terminals that do have power, each from its own pole."""
        return self.net.fed(self.joints, self.closed(False, power), power.points)

    def joined_points(self) -> set[str]:
        """Terminals with at least one joint."""
        return {self.net.ends[ref][1] for ref in self.joints}

    def supply_current(self) -> float:
        """What the design's own supply can give. [A]."""
        for name in ("supply.highest_current", "adapter.highest_current", "socket.opens_at",
                     "battery.highest_current", "adapter.current"):  # fmt: skip
            found = self.facts.get(name)
            if isinstance(found, int | float):
                return float(found)
        return float("inf")

    def power_of(self, act: Act) -> Power:
        """What a `powers` deed brings."""
        if act.source == "bench":
            limit = act.limit.si if act.limit else float("inf")
            return Power("bench", act.at, limit, act.volts.si if act.volts else 0.0)
        volts = self.facts.get("supply.voltage", 0.0)
        own = float(volts) if isinstance(volts, int | float) else 0.0
        held = act.limit.si if act.limit else self.supply_current()
        if act.at[0]:
            return Power("supply", act.at, held, own)
        return Power("supply", self.net.supply_points(), held, own, plugged=True)

    def trimmers(self) -> Iterator[str]:
        """What sets the output, and must stand at the design's position in the end."""
        # A control in the trimmer's place leaves none to set, though the module came with one.
        if self.facts.get("trimmer") is not False:
            yield from self._within("trimmer", "regulator.trimmer")
        yield from (ref for ref, part in self.net.parts.items() if part.role == "trimmer")

    def limits(self) -> Iterator[str]:
        """What sets the current limit, and must stand at the design's position in the end."""
        yield from self._within("limit", "limit.set")

    def _within(self, name: str, value: str) -> Iterator[str]:
        for ref, part in self.net.parts.items():
            if part.role == "regulator" and value in self.facts:
                yield f"{ref}.{name}"
