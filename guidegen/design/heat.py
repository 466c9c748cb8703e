"""Temperatures of board, cover and box in still air, at the full setting."""

from __future__ import annotations

from guidegen.calc import budget, geometry, heat, radiation, warm_box
from guidegen.calc.cooling import vented_temperature
from guidegen.design import cooling, panels, warm_insulation
from guidegen.design.enclosure import FILM_SCATTER
from guidegen.design.parts import part_of, sink_of
from guidegen.design.pulse import box_loss, tenderest
from guidegen.design.result import Desk, Mend, Section
from guidegen.kinds import Celsius, FineMetre, Percent, Ratio, WattPerMetreKelvin
from guidegen.spec.model import Fixture
from guidegen.values import Value, band, renamed

TAPE_EMISSIVITY = 0.9
#: Burn threshold of bare, smooth metal that is touched for a second: the lower end of 65 °C to
#: 70 °C (ISO 13732-1, from memory). [K].
METAL_BURNS = 273.15 + 65.0


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what gets how warm."""
    desk = Desk("heat", fixture, before)
    desk.put(fixture.use.ambient_low)
    ambient = desk.put(fixture.use.ambient_high)
    factor = desk.given("film_factor", Ratio, 1.0, "scatter of named correlations", FILM_SCATTER)
    cooling.resistance(desk)
    boxed = bool(fixture.body.enclosure) and box_loss(desk) is not None
    sink = sink_of(fixture)
    free = sink is not None and (sink.outside or not boxed)
    _panel(desk, ambient, factor, cooling.warmth(desk, ambient) if free else None)
    if boxed:
        _box(desk, ambient, factor)
        warm_insulation.in_box(desk)
    else:
        desk.set(warm_box=False)
        _cold_box(desk, ambient)
    if not free:
        cooling.warmth(desk, ambient)
    warm_insulation.at_joints(desk, ambient)
    return desk.section()


def _heat(desk: Desk) -> Value:
    """Electrical power less the light that leaves."""
    share = desk.given("light_share", Percent, 0.25, "from memory: white LED tape", 0.07)
    if desk.fixture.body.cover:
        through = desk.put(desk.fixture.body.cover.sheet["transmittance"])
    else:
        through = desk.given("no_cover", Ratio, 1.0, "no cover")
    out = desk.work("light.power_share", budget.share_out, share=share, transmittance=through)
    return desk.work("panel.heat", heat.heat_left, power=panels.one(desk, "power"), light_share=out)


def _panel(desk: Desk, ambient: Value, factor: Value, sink: Value | None) -> None:
    body = desk.fixture.body
    board = body.board.sheet
    warm = _heat(desk)
    area = desk.work("board.area", geometry.area, width=desk["board.width"],
                     height=desk["board.height"])  # fmt: skip
    flux = desk.work("panel.heat_flux", heat.heat_flux, heat=warm, area=area)
    conductivity = desk.put(board["conductivity"])
    common = {
        "heat_flux": flux, "width": desk["board.width"], "height": desk["board.height"],
        "tilt": desk.put(desk.fixture.use.faces.tilt), "ambient": ambient,
        "board_thickness": desk["board.thickness"], "board_conductivity": conductivity,
        "front_emissivity": _front(desk, area),
        "back_emissivity": desk.put(board["emissivity"]), "film_factor": factor,
    }  # fmt: skip
    if body.cover:
        common |= {"cover_gap": desk["cover.gap"], "cover_thickness": desk["cover.thickness"],
                   "cover_conductivity": desk.put(body.cover.sheet["conductivity"]),
                   "cover_emissivity": desk.put(body.cover.sheet["emissivity"])}  # fmt: skip
    else:
        none = desk.given("cover.none", FineMetre, 0.0, "no cover")
        common |= {"cover_gap": none, "cover_thickness": none,
                   "cover_conductivity": desk.given("cover.no_conductivity", WattPerMetreKelvin,
                                                    1.0, "no cover"),
                   "cover_emissivity": common["front_emissivity"]}  # fmt: skip
    face = desk.work("board.face_temperature", heat.tape_face_temperature, **common)
    back = desk.work("board.back_temperature", heat.board_back_temperature, **common)
    if body.cover:
        desk.work("cover.outer_temperature", heat.cover_temperature, **common)
    _under_tape(desk, warm, face, common)
    _limits(desk, back, sink)


def _front(desk: Desk, area: Value) -> Value:
    """Emissivity of the lit face; bright film between the rows radiates hardly any heat."""
    tape = desk.given("tape.emissivity", Ratio, TAPE_EMISSIVITY, "from memory")
    lining = desk.fixture.body.lining
    if lining is None or "board" not in lining.where:
        return tape
    length = desk.work("tape.length", geometry.all_rows, length=desk["row.length"],
                       rows=desk["row.count"])  # fmt: skip
    return desk.work("lining.face_emissivity", radiation.mean_emissivity, tape=tape,
                     film=desk.put(lining.film["emissivity"]), tape_length=length,
                     tape_width=desk["tape.width"], area=area)  # fmt: skip


def _under_tape(desk: Desk, warm: Value, face: Value, common: dict[str, Value]) -> None:
    length = desk["tape.length"] if "tape.length" in desk else desk.work(
        "tape.length", geometry.all_rows, length=desk["row.length"], rows=desk["row.count"]
    )  # fmt: skip
    metre = desk.work("tape.heat", heat.heat_per_metre, heat=warm, tape_length=length)
    front = desk.work("board.front_film", heat.front_film, **common)
    back = desk.work("board.back_film", heat.back_film, **common)
    rise = desk.work("tape.rise", heat.spreading_rise, heat_per_metre=metre,
                     pitch=desk["row.pitch"], tape_width=desk["tape.width"],
                     board_thickness=desk["board.thickness"],
                     board_conductivity=common["board_conductivity"], front_coefficient=front,
                     back_coefficient=back)  # fmt: skip
    desk.work("board.tape_temperature", budget.hottest_spot, mean=face, rise=rise)


def _limits(desk: Desk, back: Value, sink: Value | None) -> None:
    body = desk.fixture.body
    limit = desk.put(desk.fixture.limits.board_temperature)
    desk.work("board.warmest_reading", budget.warmest_reading, limit=limit,
              hottest=desk["board.tape_temperature"], read=back)  # fmt: skip
    desk.limit("board-temperature", limit, desk["board.tape_temperature"], worst=True,
               level="advice", place=desk.fixture.use.ambient_high.place,
               over=desk["board.tape_temperature"].si > limit.si, mends=_cooler(desk))  # fmt: skip
    _material(desk)
    warm_insulation.judge(desk)
    touch = desk.put(desk.fixture.limits.touch_temperature)
    surfaces = [("back", back)]
    if body.cover:
        outer = desk["cover.outer_temperature"]
        surfaces.append(("cover", outer))
        bears = desk.put(body.cover.sheet["highest_temperature"])
        desk.limit("cover-temperature", bears, outer, worst=True,
                   level="stop" if outer.si > bears.si else "advice",
                   place=desk.fixture.place("body.cover.sheet"))  # fmt: skip
    if sink is not None:  # in free air, where a hand gets at it
        surfaces.append(("sink", sink))
    hottest = max(surfaces, key=lambda item: item[1].si)
    kept = desk.limit("touch-temperature", touch, hottest[1], worst=True, level="advice",
                      surface=hottest[0], mends=_cooler(desk))  # fmt: skip
    # Paint counts for nothing: a thin coat hardly slows the heat into the skin.
    metal = bool(desk.fact("conductive_board"))
    desk.set(hot_surface=not kept, hot_metal=metal and not kept and band(back)[1] > METAL_BURNS)


def _material(desk: Desk) -> None:
    """What the board itself bears for good, under its rows."""
    bears = desk.put(renamed(desk.fixture.body.board.sheet["highest_temperature"], "board.bears"))
    desk.limit("board-bears", bears, desk["board.tape_temperature"], worst=True, level="advice",
               place=desk.fixture.place("body.board.sheet"), mends=_cooler(desk))  # fmt: skip


def _cooler(desk: Desk) -> tuple[Mend, ...]:
    """A metal board spreads the heat; fewer rows make less of it."""
    mends = []
    if not desk.fact("conductive_board"):
        mends.append(Mend({"body.board.sheet": "aluminium", "body.board.thickness": "3 mm"}))
    rows = int(desk["row.count"].si)
    if rows > 1:
        mends.append(Mend({"rows.1.count": str(max(1, rows * 2 // 3))}))
    return tuple(mends)


def _box(desk: Desk, ambient: Value, factor: Value) -> None:
    enclosure = desk.fixture.body.enclosure
    assert enclosure is not None
    sheet = enclosure.sheet
    common = {
        "loss": box_loss(desk), "area": desk["enclosure.surface"],
        "height": desk["enclosure.height"], "wall_thickness": desk["enclosure.thickness"],
        "wall_conductivity": desk.put(sheet["conductivity"]),
        "emissivity": desk.put(sheet["emissivity"]), "ambient": ambient, "film_factor": factor,
    }  # fmt: skip
    if enclosure.vents is None:
        inside = desk.work("box.temperature", warm_box.box_temperature, **common)
    else:
        inside = desk.work("box.temperature", vented_temperature, **common,
                           **cooling.vented(desk, enclosure.vents))  # fmt: skip
    stage = tenderest(desk.fixture)
    assert stage is not None  # without one there is no loss, and no call
    limit = desk.put(part_of(stage)["highest_ambient"])
    wall = {key: common[key] for key in common if key not in ("loss", "area")}
    outer = desk.work("box.wall_temperature", warm_box.box_wall_temperature, inside=inside, **wall)
    desk.work("box.warmest_reading", budget.warmest_reading, limit=limit, hottest=inside,
              read=outer)  # fmt: skip
    kept = desk.limit("box-temperature", limit, inside, worst=True, place=stage.place,
                      level="stop" if inside.si > limit.si else "advice",
                      module=stage.kind, mends=_larger_box(desk))  # fmt: skip
    desk.set(warm_box=not kept)


def _cold_box(desk: Desk, ambient: Value) -> None:
    """A box without a module in it: its lid is as warm as the room."""
    if desk.fixture.body.enclosure is not None:
        desk.given("box.wall_temperature", Celsius, ambient.si, "no module in the box", 2.0)
        desk.given("box.warmest_reading", Celsius, desk.fixture.limits.touch_temperature.si,
                   "limits.touch_temperature")  # fmt: skip


def _larger_box(desk: Desk) -> tuple[Mend, ...]:
    """As deep as it must be, and larger every way where depth alone does not do."""
    sizes = {f"body.enclosure.{name}": f"auto at least {desk[f'enclosure.{name}'].si * 1300:.0f} mm"
             for name in ("width", "height")}  # fmt: skip
    return (Mend({"body.enclosure.depth": "auto"}), Mend({"body.enclosure.depth": "auto", **sizes}))
