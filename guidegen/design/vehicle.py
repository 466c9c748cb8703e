"""A vehicle's socket: its fuse, its peaks, the start of the engine, and the battery behind it."""

from __future__ import annotations

from guidegen.calc import battery, budget
from guidegen.design.discharge import light_at
from guidegen.design.outputs import lower_output
from guidegen.design.parts import part_of, pulse_of, regulator_of, steps_up
from guidegen.design.result import PRACTICE, Desk, Finding, Mend
from guidegen.design.sizes import carrier
from guidegen.kinds import Hour, Percent, Ratio, Volt
from guidegen.spec.stages import FuseStage, LeadStage

#: Part of a starter battery's charge after which an engine may not start.
SPARED = 0.3
#: How long a light should burn on it, at the least. [h].
LEAST = 2.0


def settle(desk: Desk, fuse: FuseStage | None) -> None:
    """Judge everything that only a vehicle's socket asks; behind the wiring and the fuse."""
    if not desk.fact("vehicle"):
        return
    _socket_fuse(desk)
    _ahead_of_fuse(desk, fuse)
    _peaks(desk)
    _cranking(desk)
    _drain(desk)


def _socket_fuse(desk: Desk) -> None:
    """The fuse of the socket, or of the plug, carries the light with its margin."""
    rating, needed = desk["socket.fuse"], desk["contact.least"]
    factor = desk["contact.factor"].si
    desk.limit("socket-fuse", rating, needed, place=desk.fixture.place("supplies.1"),
               mends=lower_output(desk, regulator_of(desk.fixture),
                                  desk["input.highest_current"],
                                  lambda amps: amps * factor <= rating.si))  # fmt: skip


def _ahead_of_fuse(desk: Desk, fuse: FuseStage | None) -> None:
    """What lies before the light's own fuse is guarded by that of the socket alone."""
    chain = desk.fixture.chain
    ahead = chain[: chain.index(fuse)] if fuse in chain else chain
    number = sum(isinstance(stage, LeadStage) for stage in ahead)
    for name in ("lead", "lead_2")[:number]:
        opens = desk["socket.opens_at"]
        desk.limit("socket-wire", desk[f"{name}.ampacity"], opens, by_heart=True,
                   place=desk.fixture.place("supplies.1"), conductor=name,
                   size=desk[f"{name}.size"], mends=carrier(desk, name, opens.si))  # fmt: skip


def _peaks(desk: Desk) -> None:
    """The module that stands first bears a jump start for a minute, and a load dump."""
    regulator, pulses = regulator_of(desk.fixture), pulse_of(desk.fixture)
    stage = regulator or pulses
    _passed_on(desk)
    if stage is None:
        return
    bears = desk.put(part_of(stage)["input_high" if stage is regulator else "voltage"])
    for name in ("jump_start", "load_dump"):
        desk.limit(f"vehicle-{name.replace('_', '-')}", desk[f"socket.{name}"], bears,
                   at_most=False, place=stage.place, module=stage.kind,
                   mends=(Mend({stage.path: "auto"}),))  # fmt: skip


def _passed_on(desk: Desk) -> None:
    """Without a regulator, or behind one that steps up, the tape gets every peak."""
    regulator = regulator_of(desk.fixture)
    if regulator is not None and not steps_up(regulator):
        return
    drop = desk["regulator.dropout"] if regulator is not None else desk.given(
        "socket.no_drop", Volt, 0.0, "no regulator")  # fmt: skip
    for name, level in (("jump_start", "stop"), ("load_dump", "advice")):
        gets = desk.work(f"socket.{name}_passed", budget.passed_through,
                         voltage=desk[f"socket.{name}"], drop=drop)  # fmt: skip
        desk.limit("vehicle-passes", desk["tape.highest_voltage"], gets, by_heart=True,
                   level=level, place=desk.fixture.place("supplies.1"), peak=name,
                   jump=name == "jump_start")  # fmt: skip


def _cranking(desk: Desk) -> None:
    """What the light does while the engine starts."""
    low = desk["socket.cranking"]
    light, starts = light_at(desk, "cranking", low)
    dark = not starts or light.si <= 0
    if dark or light.si < 1:
        names = {"kept": True, "from_memory": True, "dark": dark, "light": light}
        place = desk.fixture.place("supplies.1")
        desk.find(Finding("vehicle-cranking", "advice", None, low, place, names))


def _drain(desk: Desk) -> None:
    """How long the light burns on the vehicle's battery before its engine may not start."""
    share = desk.given("socket.usable", Percent, SPARED, f"{PRACTICE}: an engine still starts")
    ideal = desk.given("socket.peukert", Ratio, 1.2, "from memory: starter batteries", 0.1)
    rated = desk.given("socket.rated_time", Hour, 20.0, PRACTICE)
    whole = desk.work("socket.whole_time", battery.lead_acid_time, rated_time=rated,
                      current=desk["input.current"], capacity=desk["socket.capacity"],
                      exponent=ideal)  # fmt: skip
    lasts = desk.work("socket.run_time", battery.usable_time, time=whole, usable=share)
    least = desk.given("socket.least_time", Hour, LEAST, "project default")
    desk.limit("vehicle-drain", least, lasts, at_most=False, level="advice", by_heart=True,
               place=desk.fixture.place("supplies.1"))  # fmt: skip
