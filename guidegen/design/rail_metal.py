"""What rails are made of where they are no wire: bars on their strips, and foil."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from guidegen.calc import flats
from guidegen.design.result import Desk, Mend
from guidegen.kinds import FineMetre
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue
from guidegen.values import Given, Value, renamed

#: What a strip has beyond its bar on both sides together. [m] (common practice, no source).
OVERHANG = 0.002
#: Mends that name another part: no more than these are tried.
MOST_MENDS = 2


def strip_of(fixture: Fixture) -> CataloguePart | None:
    """The insulating strip under each bar; None where rails are no bars.

    The narrowest of the catalogue that stands out on both sides; the widest where none does.
    """
    rails = fixture.wiring.rails
    if rails.bar is None:
        return None
    if isinstance(rails.strip, CataloguePart):
        return rails.strip
    return _laminate(rails.bar["width"].si + OVERHANG - 1e-9)


@cache
def _laminate(needed: float) -> CataloguePart:
    """The strip of the catalogue: one object, as a given that enters several masses counts once."""
    known = sorted((part for part in catalogue("bar") if part.words["material"] == "laminate"),
                   key=lambda part: part["width"].si)  # fmt: skip
    found = next((part for part in known if part["width"].si >= needed), known[-1])
    return found.named("rail_strip")


def half_width(fixture: Fixture) -> float:
    """What a bar with its strip, or a foil, takes beside its middle line; a wire nothing. [m]."""
    rails, strip = fixture.wiring.rails, strip_of(fixture)
    wide = [part["width"].si for part in (rails.bar, rails.foil, strip) if part is not None]
    return max(wide, default=0.0) / 2


def enter_half(desk: Desk) -> Value:
    """The same as a value."""
    wire = desk.fixture.wiring.rails.kind == "wire"
    return desk.given("rail.half_width", FineMetre, half_width(desk.fixture),
                      "a wire lies within the air" if wire else "half its width")  # fmt: skip


def flat_size(desk: Desk, part: CataloguePart) -> Value:
    """Enter size, resistance and ampacity of a bar or foil, and return its area."""
    width, thickness, resistivity = (
        desk.put(part[name]) for name in ("width", "thickness", "resistivity")
    )
    size = desk.work("rail.size", flats.flat_area, width=width, thickness=thickness)
    desk.work("rail.resistance", flats.flat_resistance, resistivity=resistivity, area=size)
    said = part.get("current")
    if said is not None:
        desk.put(renamed(said, "rail.ampacity"))
        return size
    desk.work("rail.ampacity", flats.flat_ampacity, width=width, thickness=thickness,
              resistivity=resistivity, coefficient=desk.put(part["coefficient"]),
              temperature=desk.put(part["temperature"]),
              ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
    return size


def size_text(desk: Desk) -> str:
    """The size of a rail as its drawings and lists say it."""
    if desk.fixture.wiring.rails.kind == "wire":
        return str(desk["rail.size"])
    return f"{desk['rail.width']} × {desk['rail.thickness']}"


def per_metre(part: CataloguePart) -> float:
    """Resistance of a metre of a bar or foil. [ohm/m]."""
    area = part["width"].si * part["thickness"].si
    return flats.flat_resistance(resistivity=part["resistivity"].si, area=area)


def carried(part: CataloguePart, ambient: float) -> float:
    """What a bar or foil carries for good. [A]."""
    said: Given | None = part.get("current")
    if said is not None:
        return said.si
    return flats.flat_ampacity(
        ambient=ambient, **{name: part[name].si for name in (
            "width", "thickness", "resistivity", "coefficient", "temperature")})  # fmt: skip


def wider(fixture: Fixture, fits: Callable[[CataloguePart], bool]) -> tuple[Mend, ...]:
    """The mend of a bar or foil: the smallest larger one of the catalogue that does."""
    rails, own = fixture.wiring.rails, fixture.wiring.rails.part
    key = "bar" if rails.bar else "foil"

    def area(part: CataloguePart) -> float:
        return part["width"].si * part["thickness"].si

    larger = [part for part in catalogue(own.kind)
              if area(part) > area(own) * 1.01 and fits(part)]  # fmt: skip
    larger.sort(key=lambda part: (part.words["metal"] != own.words["metal"], area(part)))
    return tuple(Mend({f"wiring.rails.{key}": part.key}) for part in larger[:MOST_MENDS])
