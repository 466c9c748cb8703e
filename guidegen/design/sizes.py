"""Sizes of conductors: their resistance, what they carry, and the next size that does."""

from __future__ import annotations

from collections.abc import Callable

from guidegen.calc import tables, wire
from guidegen.design.parts import all_stages
from guidegen.design.rail_metal import carried, wider
from guidegen.design.result import Desk, Mend
from guidegen.design.rows import place_of
from guidegen.errors import RangeError
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.quantities import Auto
from guidegen.spec.stages import LeadStage
from guidegen.values import Given, Value, band


def leads(fixture: Fixture) -> list[LeadStage]:
    """All leads, supply side first."""
    return [stage for stage in all_stages(fixture) if isinstance(stage, LeadStage)]


def standard_areas(smallest: float) -> list[float]:
    """Standard conductor areas from this one on. [m²]."""
    return [area for area in tables.standard_sizes() if area >= smallest * (1 - 1e-9)]


def resistance(desk: Desk, name: str, part: CataloguePart, size: Value) -> Value:
    """Resistance of a metre of wire, as a value. [ohm/m]."""
    return desk.work(f"{name}.resistance", wire.resistance_per_metre, area=size,
                     build=part.words["build"])  # fmt: skip


def ampacity(desk: Desk, name: str, part: CataloguePart, size: Value) -> Value:
    """What a wire carries for good, as a value. [A]."""
    return desk.work(f"{name}.ampacity", wire.ampacity, area=size,
                     insulation_temperature=desk.put(part["temperature"]),
                     ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip


def size_for(desk: Desk, name: str, fits: Callable[[float], bool]) -> tuple[Mend, ...]:
    """The mend of a conductor: the smallest larger standard size that does."""
    path = {"rail": "wiring.rails.size", "jumper": "wiring.jumpers.size"}.get(
        name, f"chain.{name}.size"
    )
    stage = next((s for n, s in enumerate(leads(desk.fixture), 1)
                  if name == ("lead" if n == 1 else f"lead_{n}")), None)  # fmt: skip
    size = desk[f"{name}.size"].si
    build = desk[f"{name}.resistance"].inputs["build"]  # type: ignore[attr-defined]

    def does(area: float) -> bool:
        try:
            return wire.resistance_per_metre(area=area, build=build) > 0 and fits(area)
        except RangeError:  # this build is not made in this size
            return False

    found = next((area for area in standard_areas(size) if area > size * 1.01 and does(area)), None)
    text = f"{found * 1e6:.4g} mm²" if found else ""
    return (Mend({f"{stage.path}.size" if stage else path: text}),) if found else ()


def carrier(desk: Desk, name: str, amps: float) -> tuple[Mend, ...]:
    """The mend that lets a conductor carry so much."""
    if name == "rail" and desk.fixture.wiring.rails.kind != "wire":
        return wider(desk.fixture, lambda part: carried(
            part, desk.fixture.use.ambient_high.si) >= amps)  # fmt: skip
    temperature = desk[f"{name}.ampacity"].inputs["insulation_temperature"].si  # type: ignore[attr-defined]
    ambient = desk.fixture.use.ambient_high.si
    return size_for(desk, name, lambda area: wire.ampacity(
        area=area, insulation_temperature=temperature, ambient=ambient) >= amps)  # fmt: skip


def carries(desk: Desk, name: str, current: Value, asked: Given | Auto) -> None:
    """The conductor's own limit; the mend is the next standard size that carries the current."""
    desk.limit("ampacity", desk[f"{name}.ampacity"], current, worst=True, place=place_of(asked),
               mends=carrier(desk, name, band(current)[1]), conductor=name,
               size=desk[f"{name}.size"])  # fmt: skip
