"""A dead short before the regulator: whether the fuse opens, or the source folds back, in time."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.calc import protection, short_circuit, wire
from guidegen.calc.short_circuit import Gates
from guidegen.design import resistances
from guidegen.design.beside import WIRE, all_beside
from guidegen.design.parts import all_stages, part_of, regulator_of, steps_up, supply_part
from guidegen.design.result import Desk, Mend
from guidegen.design.sizes import size_for
from guidegen.design.source import most_short_current, short_current, stores_or_starts
from guidegen.kinds import AmpereRating, Celsius, Count, HeatCapacity, LongMetre, OhmMetre
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import (
    ConnectorStage,
    CutOffStage,
    FuseStage,
    LeadStage,
    SwitchStage,
    ThermalCutOutStage,
)
from guidegen.values import Given, Value, band

TABLE = "gates"
#: Copper: heat capacity of a volume, where its line of resistance ends, and 20 °C. [J/(m³ K), K].
CAPACITY, ZERO, REFERENCE = 3.45e6, 273.15 - 234.5, 273.15 + 20.0
COPPER = "IEC 60949, copper, from memory"
RESISTIVITY = 17.241e-9
#: What insulation of PVC and soldered joints bear for seconds. [K].
FINAL = 273.15 + 160.0
JOINTS = "IEC 60364-5-54, PVC and soldered joints, from memory"
#: A conductor under load is no warmer, whatever its insulation bears. [K].
WARMEST = 273.15 + 90.0
#: The fuse of a vehicle's socket.
BLADE = "fuse-blade-58v"
HOUR = 3600.0
#: At either end of a conductor, the current at which it is judged.
DRIVES = {"near": "near", "far": "far_least"}
#: The longest wire in a box. [m].
IN_BOX, LONGEST = 0.3, "project default: the longest way in a box"
#: A connector has a contact in each pole; the others open one of them.
CONTACTS = {ConnectorStage: 2, SwitchStage: 1, CutOffStage: 1, ThermalCutOutStage: 1}


@dataclass(frozen=True)
class Reach:
    """A conductor, and the fuse that a short behind it has to open."""

    name: str
    rating: Value
    opens_at: Value
    gates: Gates
    by_heart: bool
    before: Value
    """Resistance of the short's way up to its near end."""
    contacts: int
    """Those between it and the conductor before."""
    sized_as: str
    """The conductor whose size in the spec is this one's; empty: it can't be chosen."""


def settle(desk: Desk, fuse: FuseStage | None) -> tuple[str, ...]:
    """Judge every conductor of the supply side; returns those that the page has a line for."""
    if not stores_or_starts(desk):
        _folds_back(desk)
        return ()
    reaches = _reaches(desk, fuse)
    if reaches:
        _constants(desk)
    judged = [_judged(desk, one) for one in reaches]
    times = [one for one in judged if one is not None]
    if times:
        # The one that comes nearest to its limit stands for all of them; the page shows each.
        name, where, by_heart = min(times, key=lambda one: _room(desk, one[0], one[1]))
        opens, bears = desk[f"short_{name}.{where}_opens"], desk[f"short_{name}.{where}_bears"]
        current = desk[f"short_{name}.{DRIVES[where]}"]
        ratio = (opens.si / bears.si) ** 0.5
        sized = next(one.sized_as for one in reaches if one.name == name)
        area = desk[f"{name}.size"].si
        desk.limit("short-in-time", bears, opens, by_heart=by_heart, conductor=name, where=where,
                   size=desk[f"{name}.size"], current=current,
                   mends=size_for(desk, sized, lambda wider: wider >= ratio * area)
                   if sized else ())  # fmt: skip
    return tuple(one[0] for one in times)


def _thicker(desk: Desk, one: Reach) -> tuple[Mend, ...]:
    """The next size through which a short at the far end opens the fuse."""
    build = desk[f"{one.name}.resistance"].inputs["build"]  # type: ignore[attr-defined]
    needed = max(one.gates[0][1] * one.rating.si, one.opens_at.si)

    def opens(area: float) -> bool:
        per_metre = wire.resistance_per_metre(area=area, build=build)
        way = desk[f"short_{one.name}.way"].si
        thinner = desk[f"{one.name}.resistance"].si - per_metre
        ohms = way - 2 * thinner * desk[f"{one.name}.length"].si
        return desk["supply.lowest"].si / ohms >= needed

    return size_for(desk, one.sized_as, opens) if one.sized_as else ()


def _room(desk: Desk, name: str, where: str) -> float:
    bears, opens = desk[f"short_{name}.{where}_bears"], desk[f"short_{name}.{where}_opens"]
    return bears.si / opens.si


def _folds_back(desk: Desk) -> None:
    """An adapter gives no more than what it shuts off at: the thinnest conductor must bear that."""
    names = [name for name in ("lead", "lead_2", "link") if f"{name}.ampacity" in desk]
    does = supply_part(desk.fixture).words.get("overload", "unknown")
    if names:
        name = min(names, key=lambda one: desk[f"{one}.ampacity"].si)
        desk.limit("short-folds", desk[f"{name}.ampacity"], desk["adapter.highest_current"],
                   level="advice", by_heart=True, conductor=name, size=desk[f"{name}.size"],
                   shuts_off=does == "shuts off", limits=does == "limits the current")  # fmt: skip


def _gates(part: Part) -> Gates:
    """Of a fuse, the lowest multiple first; of one without, the time of its figure alone."""
    found = part.points(TABLE) or ((HOUR, part["opens"].si),)
    return tuple(sorted(found, key=lambda gate: gate[1]))


def _remembered(part: Part) -> bool:
    return any(one.from_memory for point in part.tables.get(TABLE, ()) for one in point)


def _reaches(desk: Desk, fuse: FuseStage | None) -> list[Reach]:
    """The conductors behind a fuse as the current flows, each with the way up to it."""
    least = _least_short(desk)
    way = _Way(desk, desk.work("short.source", short_circuit.inner_resistance,
                               voltage=desk["supply.lowest"], current=least))  # fmt: skip
    if desk.fact("vehicle"):
        # Its plug's cable is not this guide's; the light's wires begin at the connector.
        way.guard = (desk["socket.fuse"], desk["socket.opens_at"],
                     _gates(catalogue_part(BLADE)), True)  # fmt: skip
    number = 0
    regulator = regulator_of(desk.fixture)
    for stage in all_stages(desk.fixture):
        way.contacts += CONTACTS.get(type(stage), 0)
        if stage is fuse:
            part = part_of(stage)
            for point in part.tables.get(TABLE, ()):
                desk.put(*point)
            way.before = desk.work("short.fused", short_circuit.behind_fuse, before=way.before,
                                   drop=resistances.fuse_drop(desk),
                                   rating=desk["fuse.rating"])  # fmt: skip
            way.guard = (desk["fuse.rating"], desk["fuse.opens_at"], _gates(part),
                         _remembered(part) or least.from_memory)  # fmt: skip
        elif isinstance(stage, LeadStage):
            number += 1
            name = "lead" if number == 1 else f"lead_{number}"
            way.goes_on(name, name)
        if stage in desk.fixture.chain and stage is not regulator:
            _beside(desk, way, stage.kind)
    if desk.fixture.body.enclosure is not None and number:
        # All box wires are of one size: one of them, at the end of all leads, stands for all.
        desk.given("link.length", LongMetre, IN_BOX, LONGEST)
        way.goes_on("link", "lead")
    if regulator is not None and steps_up(regulator):
        # One that steps down holds a short behind it; this one passes it on.
        _beside(desk, way, regulator.kind)
        for name in ("feed", "rail", "jumper"):
            way.goes_on(name, name)
    return way.found


def _beside(desk: Desk, way: _Way, stage: str) -> None:
    """What of thin wires beside the rows, fed after a stage, their short hangs on."""
    build = catalogue_part(WIRE).words["build"]
    for name in (kind.wire for kind, wish, _ in all_beside(desk.fixture)
                 if wish.fed_after == stage):  # fmt: skip
        desk.work(f"{name}.resistance", wire.resistance_per_metre, area=desk[f"{name}.size"],
                  build=build)  # fmt: skip
        desk.given(f"{name}.length", LongMetre, IN_BOX, LONGEST)
        way.branches(name)


class _Way:
    """The way of a short, conductor by conductor."""

    def __init__(self, desk: Desk, source: Value) -> None:
        self.desk, self.before, self.contacts = desk, source, 0
        self.guard: tuple[Value, Value, Gates, bool] | None = None
        self.found: list[Reach] = []

    def branches(self, name: str, sized_as: str = "") -> None:
        """A conductor that leaves the way here."""
        if self.guard is not None:
            self.found.append(Reach(name, *self.guard, self.before, self.contacts, sized_as))

    def goes_on(self, name: str, sized_as: str) -> None:
        """A conductor that the way goes through."""
        self.branches(name, sized_as)
        self.before, self.contacts = _on(self.desk, name, self.before, self.contacts), 0


def _on(desk: Desk, name: str, before: Value, contacts: int) -> Value:
    if f"short_{name}.way" in desk:
        return desk[f"short_{name}.way"]
    passed = desk.given(f"short_{name}.contacts", Count, contacts, "counted in the chain")
    return desk.work(f"short_{name}.way", short_circuit.loop, before=before,
                     resistance_per_metre=desk[f"{name}.resistance"],
                     length=desk[f"{name}.length"], joint=resistances.joint(desk),
                     contacts=passed, contact=resistances.contact(desk))  # fmt: skip


def _least_short(desk: Desk) -> Given:
    """The least that the source drives into a short, on whose strength a fuse must open."""
    short = short_current(desk)
    assert isinstance(short, Given)
    return desk.given("supply.short_least", AmpereRating, band(short)[0],
                      f"lower end of the band: {short.source}")  # fmt: skip


def _constants(desk: Desk) -> None:
    desk.given("short.capacity", HeatCapacity, CAPACITY, COPPER)
    desk.given("short.resistivity", OhmMetre, RESISTIVITY, COPPER)
    desk.given("short.final", Celsius, FINAL, JOINTS)
    desk.given("short.reference", Celsius, REFERENCE, COPPER)
    desk.given("short.zero", Celsius, ZERO, COPPER)


def _judged(desk: Desk, one: Reach) -> tuple[str, str, bool] | None:
    """Both ends of a conductor: whether the fuse opens at all, and which end is the tighter."""
    name = f"short_{one.name}"
    way = _on(desk, one.name, one.before, one.contacts)
    far = desk.work(f"{name}.far", protection.short_circuit_current,
                    voltage=desk["supply.lowest"], loop_resistance=way)  # fmt: skip
    opening = max(one.gates[0][1] * one.rating.si, one.opens_at.si)
    if far.si < opening:
        desk.limit("short-far", one.opens_at, far, at_most=False, conductor=one.name,
                   size=desk[f"{one.name}.size"], mends=_thicker(desk, one))  # fmt: skip
        return None
    near = desk.given(f"{name}.near", AmpereRating, most_short_current(desk).si,
                      "greatest current into a short")  # fmt: skip
    told = desk[f"{one.name}.ampacity"].inputs.get("insulation_temperature")  # type: ignore[attr-defined]
    start = min(told.si if told is not None else WARMEST, WARMEST)
    warm = desk.given(f"{name}.start", Celsius, start, "under load, as its insulation bears it")
    # The fuse is slowest at the least current: every joint and contact on the way at its worst.
    least = desk.given(f"{name}.far_least", AmpereRating, max(band(far)[0], opening),
                       "lower end of the band of the current at the far end")  # fmt: skip
    for where, current in (("far", least), ("near", near)):
        desk.work(f"{name}.{where}_opens", short_circuit.opening_time, current=current,
                  rating=one.rating, gates=one.gates)  # fmt: skip
        desk.work(f"{name}.{where}_bears", short_circuit.heating_time, current=current,
                  area=desk[f"{one.name}.size"], capacity=desk["short.capacity"],
                  resistivity=desk["short.resistivity"], start=warm, final=desk["short.final"],
                  known_at=desk["short.reference"], line_end=desk["short.zero"])  # fmt: skip
    where = min(("far", "near"), key=lambda end: _room(desk, one.name, end))
    return one.name, where, one.by_heart
