"""The panel of the circuit: rails, junction, rows and their jumpers."""

from __future__ import annotations

from guidegen.design import panels, places
from guidegen.design.box import JUNCTION
from guidegen.design.circuit_chain import lead_on
from guidegen.design.growing import SCREW, Wiring
from guidegen.design.parts import first_stage
from guidegen.design.rail_lines import RailPlace, feed_point
from guidegen.design.rail_parts import rail_parts
from guidegen.design.solid import Box, block
from guidegen.design.wiring import feed_cores
from guidegen.spec.stages import FeedStage


def panel(wiring: Wiring, number: int, board: str) -> None:
    """Enter what one panel carries: its rails, what feeds them, and its rows."""
    _rows(wiring, _rails(wiring, number, board), number, board)


def _rails(wiring: Wiring, panel: int, board: str) -> list[tuple[str, RailPlace]]:
    """Enter the rails and lead the feed to them."""
    desk = wiring.desk
    made = rail_parts(wiring, panel, board)
    if panel == 1:
        _junction(wiring)
    stage = first_stage(desk.fixture, FeedStage)
    cores = feed_cores(stage) if stage else 1
    for ref, place in made:
        feed = wiring.terminal(ref, "feed", place.polarity, feed_point(desk, place))
        for _ in range(cores):
            wiring.wire("feed", wiring.poles[place.polarity].terminal, feed, place.polarity)
    return made


def _junction(wiring: Wiring) -> None:
    """Where a lead meets the feed with nothing between them, both go under one screw."""
    bare = [polarity for polarity, pole in wiring.poles.items() if pole.pending != "link"]
    if not bare:
        return
    solid = places.in_box(wiring.desk, "junction")
    ref = wiring.part("X", "junction", None, wiring.home(solid), side="back", key=JUNCTION,
                      solid=solid)  # fmt: skip
    x, y, high = solid.high[0], (solid.low[1] + solid.high[1]) / 2, solid.size[1]
    for polarity in bare:
        up = high / 4 if polarity == "+" else -high / 4
        lead_on(wiring, polarity, wiring.terminal(ref, polarity, polarity, (x, y + up), SCREW))


def _rows(wiring: Wiring, rails: list[tuple[str, RailPlace]], panel: int, board: str) -> None:
    """Enter the rows of a panel and their jumpers."""
    desk = wiring.desk
    tape = desk.fixture.rows.tape
    width, count = desk["tape.width"].si, int(desk["row.count"].si)
    thick = tape["thickness"].si
    pads: dict[str, str] = {}
    numbers = range((panel - 1) * count + 1, panel * count + 1)
    for number in numbers:
        y = places.row_y(desk, number)
        left, right = places.row_ends(desk, number)
        ref = wiring.part("E", "row", tape, board, made=True, row=number,
                          size=(desk["row.length"],), panel=panels.label(desk, panel),
                          solid=block(Box(left, y - width / 2, right - left, width), 0.0,
                                      thick))  # fmt: skip
        fed = [("M", places.pad_x(desk, "middle", number))] if desk.fact("fed_middle") else []
        for side, x in (("L", left), ("R", right), *fed):
            for polarity, shift in (("+", width / 4), ("-", -width / 4)):
                name = f"{side}{polarity}"
                pads[f"{number}{name}"] = wiring.terminal(ref, name, polarity, (x, y + shift))
    for ref, place in rails:
        for number, at in zip(numbers, place.taps, strict=True):
            pad = pads[f"{number}{place.side[0].upper()}{place.polarity}"]
            tap = wiring.terminal(ref, str(number), place.polarity, at)
            wiring.wire("jumper", tap, pad, place.polarity, row=number)
