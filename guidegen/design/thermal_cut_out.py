"""The thermal cut-out: when it opens, against what is warm in use and what it is to spare."""

from __future__ import annotations

from collections.abc import Iterable

from guidegen.calc import protection
from guidegen.design.parts import cut_out_on_board, part_of, thermal_cut_out_of
from guidegen.design.pulse import tenderest
from guidegen.design.result import Desk, Finding, Mend, Section
from guidegen.kinds import Celsius
from guidegen.spec.model import Fixture
from guidegen.spec.parts import catalogue
from guidegen.spec.stages import ThermalCutOutStage
from guidegen.values import Value, band


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Judge the cut-out by the temperatures that the heat of the design came to."""
    desk = Desk("thermal cut-out", fixture, before)
    stage = thermal_cut_out_of(fixture)
    board = cut_out_on_board(fixture)
    desk.set(thermal_cut_out=stage is not None, cut_out_on_board=board)
    if stage is None:
        return desk.section()
    part = part_of(stage)
    opens, closes = desk.put(part["opens_at"]), desk.put(part["closes_at"])
    source = "lower end of the band of thermal_cut_out."
    lowest = desk.given("thermal_cut_out.lowest_opening", Celsius, band(opens)[0],
                        f"{source}opens_at")  # fmt: skip
    back = desk.given("thermal_cut_out.lowest_closing", Celsius, band(closes)[0],
                      f"{source}closes_at")  # fmt: skip
    watched = "board.back_temperature" if board else "box.temperature"
    if watched not in desk:
        # Nothing in the box makes heat: its air is as warm as the room.
        desk.find(Finding("cut-out-nothing", "stop", place=stage.place,
                          mends=(Mend({f"{stage.path}.touches": "board"}),)))  # fmt: skip
        return desk.section()
    warm = desk[watched]
    spared = list(_spared(desk, opens, warm, board))
    mends = _others(stage, warm, [(limit, found.si - opens.si) for _, limit, found in spared])
    desk.limit("cut-out-early", lowest, warm, worst=True, place=stage.place, mends=mends,
               board=board, boxed=fixture.body.enclosure is not None,
               level="stop" if warm.si >= lowest.si else "advice")  # fmt: skip
    for what, limit, found in spared:
        desk.limit("cut-out-late", limit, found, worst=True, place=stage.place, mends=mends,
                   board=board, opens=opens, module=what, spares=what,
                   level="stop" if found.si > limit.si else "advice")  # fmt: skip
    desk.limit("cut-out-stays-open", back, desk["use.ambient_high"], level="advice",
               place=stage.place)  # fmt: skip
    return desk.section()


def _spared(
    desk: Desk, opens: Value, warm: Value, board: bool
) -> Iterable[tuple[str, Value, Value]]:
    """What it is to spare: its word, what it bears, and how warm it is as the cut-out opens."""
    body, fixture = desk.fixture.body, desk.fixture
    module = tenderest(fixture)
    if not board:
        assert module is not None  # without one the air of the box has no temperature
        yield module.kind, desk[f"{module.kind}.highest_ambient"], opens
        return
    yield "board", desk["limits.board_temperature"], desk.work(
        "thermal_cut_out.tape_at_opening", protection.at_opening, opens_at=opens,
        spared=desk["board.tape_temperature"], watched=warm)  # fmt: skip
    if body.cover:
        yield "cover", desk["cover.highest_temperature"], desk.work(
            "thermal_cut_out.cover_at_opening", protection.at_opening, opens_at=opens,
            spared=desk["cover.outer_temperature"], watched=warm)  # fmt: skip


def _others(
    stage: ThermalCutOutStage, warm: Value, spared: list[tuple[Value, float]]
) -> tuple[Mend, ...]:
    """Cut-outs of the catalogue that open above what is warm, and below what is to be spared."""
    own = part_of(stage)
    fits = (
        part for part in catalogue("thermal_cut_out")
        if part["opens_at"].si - part["opens_at"].spread > warm.si
        and all(part["opens_at"].si + above <= limit.si for limit, above in spared)
    )  # fmt: skip
    return tuple(Mend({stage.path: part.key}) for part in fits if part.key != own.key)
