"""Light at the subject: flux, luminance, illuminance, evenness, exposure, stripes on the cover."""

from __future__ import annotations

from guidegen.calc import geometry, light
from guidegen.design.result import PRACTICE, Desk, Mend, Section
from guidegen.design.rows import place_of
from guidegen.kinds import Count, Metre, Percent
from guidegen.spec.model import Fixture
from guidegen.values import Value, given, renamed

SIDES = {"front": "front", "left": "left", "right": "right", "above": "top", "below": "bottom"}
FLAT_RECEPTOR = 250.0
STRIPES = 0.05
#: Of a reading of evenness: lights and meter stand a little off, and the meter is not linear.
EVENNESS_ALLOWANCE = 0.05
#: A sheet that lets more light through shows the rows themselves, and no stripes of light.
CLEAR = 0.85
DAZZLE_DISTANCE, DAZZLE = 0.2, 10_000.0


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what arrives at the subject at the full setting."""
    desk = Desk("light", fixture, before)
    luminance = _luminance(desk)
    _axis(desk, luminance)
    _field(desk, luminance)
    _exposure(desk)
    cover = fixture.body.cover
    if cover and cover.sheet["transmittance"].si < CLEAR:
        _stripes(desk)
    desk.set(stripes="cover.ripple" in desk)
    desk.set(target=fixture.light.target is not None or fixture.light.exposure is not None,
             field=fixture.light.field_width is not None)  # fmt: skip
    return desk.section()


def _luminance(desk: Desk) -> Value:
    cover = desk.fixture.body.cover
    through = desk["cover.transmittance"] if cover else desk["no_cover"]
    flux = desk.work("light.flux", light.emitted_flux, flux_per_metre=desk.put(
        desk.fixture.rows.tape["flux"]), length=desk["tape.length"],
        ratio=desk["panel.light_ratio"], transmittance=through)  # fmt: skip
    if cover and "cover.emitting_width" in desk:
        width, height = desk["cover.emitting_width"], desk["cover.emitting_height"]
    else:
        width, height = desk["row.length"], desk["rows.span"]
    area = desk.work("light.area", geometry.area, width=width, height=height)
    return desk.work("light.luminance", light.panel_luminance, flux=flux, area=area)


def _size(desk: Desk) -> dict[str, Value]:
    lit = {value.name: value for value in desk["light.area"].inputs.values()}  # type: ignore[attr-defined]
    width, height = lit.values()
    return {"width": width, "height": height}


def _axis(desk: Desk, luminance: Value) -> None:
    """One light, on its axis: what a lux meter can check at the bench."""
    placed = desk.fixture.light.placed[0]
    distance = desk.put(renamed(placed.distance, "light.axis_distance"))
    desk.work("light.axis_illuminance", light.centre_illuminance, luminance=luminance,
              distance=distance, **_size(desk))  # fmt: skip
    near = desk.given("light.near", Metre, DAZZLE_DISTANCE, "project default")
    dazzle = desk.work("light.near_illuminance", light.centre_illuminance, luminance=luminance,
                       distance=near, **_size(desk))  # fmt: skip
    desk.set(bright=dazzle.si > DAZZLE)


def _field(desk: Desk, luminance: Value) -> None:
    """All lights together, over the field."""
    wishes = desk.fixture.light
    placed = wishes.placed
    width = wishes.field_width or given("light.field_width", Metre, 0.1, "a hand's breadth")
    height = wishes.field_height or given("light.field_height", Metre, 0.1, "a hand's breadth")
    same = {(p.distance.si, p.angle.si) for p in placed}
    desk.find_if(len(same) > 1, "lights-differ", "advice", place=place_of(placed[-1].distance))
    inputs = {
        "luminance": luminance, "distance": desk["light.axis_distance"],
        "angle": desk.put(renamed(placed[0].angle, "light.angle")),
        "field_width": desk.put(width), "field_height": desk.put(height),
        "sides": tuple(SIDES[p.side] for p in placed), **_size(desk),
    }  # fmt: skip
    reached = desk.work("light.illuminance", light.field_centre, **inputs)
    desk.work("light.evenness", light.field_evenness, **inputs)
    nine = desk.work("light.nine_evenness", light.nine_point_evenness, **inputs)
    desk.work("light.nine_greatest", light.nine_point_greatest, **inputs)
    target = wishes.target or _asked_by_exposure(desk)
    if target is not None:
        desk.put(target)
        more = int(desk["row.count"].si * target.si / reached.si) + 1
        desk.limit("light-target", target, reached, at_most=False, level="advice",
                   place=place_of(wishes.target) if wishes.target else None,
                   mends=(Mend({"rows.1.count": str(more), "body.board.height": "auto"}),)
                   if more <= 60 else ())  # fmt: skip
    if wishes.evenness is not None and wishes.field_width is not None:
        wanted = desk.put(renamed(wishes.evenness, "light.wanted_evenness"))
        desk.limit("light-evenness", wanted, desk["light.evenness"], at_most=False,
                   level="advice", place=place_of(wishes.evenness))  # fmt: skip
        desk.given("light.least_evenness", Percent, wanted.si, "light.evenness of the spec")
    else:
        allowed = desk.given("light.evenness_allowance", Percent, EVENNESS_ALLOWANCE, PRACTICE)
        desk.work("light.least_evenness", light.accepted_evenness, computed=nine,
                  allowance=allowed)  # fmt: skip


def _asked_by_exposure(desk: Desk) -> Value | None:
    asked = desk.fixture.light.exposure
    if asked is None:
        return None
    return desk.work("light.target", light.exposure_illuminance, aperture=desk.put(asked.aperture),
                     shutter=desk.put(renamed(asked.shutter, "light.asked_shutter")),
                     sensitivity=desk.put(asked.sensitivity),
                     constant=_constant(desk))  # fmt: skip


def _constant(desk: Desk) -> Value:
    if "light.meter_constant" in desk:
        return desk["light.meter_constant"]
    return desk.put(given("light.meter_constant", light.LuxSecond, FLAT_RECEPTOR,
                          "ISO 2720, flat receptor: 240 to 400"))  # fmt: skip


def _exposure(desk: Desk) -> None:
    """The exposure that this light allows, for the photographer's page."""
    aperture = desk.given("light.sample_aperture", Count, 8.0, "project default")
    speed = desk.given("light.sample_speed", Count, 100.0, "project default")
    desk.work("light.shutter", light.shutter_time, aperture=aperture,
              illuminance=desk["light.illuminance"], sensitivity=speed,
              constant=_constant(desk))  # fmt: skip


def _stripes(desk: Desk) -> None:
    """The rows seen through the cover."""
    if "cover.gap" not in desk or desk["cover.gap"].si <= 0:
        return
    most = desk.given("cover.most_ripple", Percent, STRIPES, "project default")
    ripple = desk.work("cover.ripple", light.cover_ripple, gap=desk["cover.gap"],
                       pitch=desk["row.pitch"])  # fmt: skip
    gap = desk["row.pitch"].si * 1.1 * 1000
    desk.limit("cover-ripple", most, ripple, level="advice", gap=desk["cover.gap"],
               place=desk.fixture.place("body.cover"),
               mends=(Mend({"body.cover.gap": f"auto at least {gap:.0f} mm",
                            "body.border.height": "auto"}),)
               if desk.fixture.body.border and desk.fixture.body.border.sheet else ())  # fmt: skip
