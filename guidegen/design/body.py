"""The body: rim, cover, box behind the board, mount; their pieces, holes and fixings."""

from __future__ import annotations

from guidegen.calc import geometry
from guidegen.design import panels
from guidegen.design.enclosure import enclosure
from guidegen.design.extras import own_holes, own_pieces
from guidegen.design.handles import handles
from guidegen.design.lining import lining
from guidegen.design.mount import mount
from guidegen.design.pieces import Pieces, thickness_of
from guidegen.design.result import Desk, Mend, Section
from guidegen.design.rim import border, cover
from guidegen.design.solid import Box, block
from guidegen.spec.model import Fixture

WOOD = {"mdf", "plywood", "softwood", "hardwood"}


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle every wooden, plastic and metal piece, and what fixes it."""
    desk, pieces = Desk("body", fixture, before), Pieces()
    body = fixture.body
    thickness = thickness_of(desk, body.board.thickness, "board", body.board.sheet)
    width, height = desk["board.width"], desk["board.height"]
    outline = Box(0, 0, width.si, height.si)
    board = pieces.add("U", "board", body.board.sheet, made=True, size=(width, height, thickness),
                       solid=block(outline, -thickness.si, 0.0))  # fmt: skip
    desk.set(
        border=body.border is not None,
        cover=body.cover is not None,
        enclosure=body.enclosure is not None,
        enclosure_separate=False,
        mount=body.mount is not None,
        finish=body.finish is not None,
        oil_finish=body.finish is not None and body.finish.coat.words.get("binder") == "drying oil",
        finish_before=body.finish is not None and body.finish.when == "before wiring",
        cover_screwed=False,
        cover_taped=False,
        filter_slot=False,
        slot_top=False,
        slot_left=False,
        border_screwed=False,
        mount_screw_under_row=False,
        mount_layers=False,
        mount_back=False,
        seat_square=False,
        seat_outline=False,
        seat_through=False,
        nut_pronged=False,
        conductive_board=body.board.sheet.words.get("conducting") == "yes",
    )
    if body.border:
        border(desk, pieces, body.border, board)
    cover(desk, pieces, board)
    lining(desk, pieces, board)
    if body.mount:
        mount(desk, pieces, body.mount, board)
    of_panel = {part.ref for part in pieces.parts}
    if body.enclosure:
        enclosure(desk, pieces, body.enclosure, board)
    of_box = {part.ref for part in pieces.parts} - of_panel
    handles(desk, pieces, board)
    own_pieces(desk, pieces, board)
    own_holes(desk, pieces, board, body.board.holes)
    _materials(desk, pieces)
    if fixture.panel_count > 1:
        alike = [part for part in pieces.parts if part.ref not in of_box]
        pieces.repeat(alike, {n: panels.origin(desk, n) for n in panels.numbers(desk)[1:]})
    return desk.section(tuple(pieces.parts))


def _materials(desk: Desk, pieces: Pieces) -> None:
    body = desk.fixture.body
    words = {part.stock.words.get("material", "") for part in pieces.parts if part.stock}
    desk.set(
        wood=bool(words & WOOD),
        mdf="mdf" in words,
        acrylic="acrylic" in words,
        metal_sheet="aluminium" in words,
    )
    bare = body.board.sheet.words.get("material", "") in WOOD and body.finish is None
    lined = body.lining is not None and "board" in body.lining.where
    desk.find_if(bare and not lined, "tape-on-wood", "advice", place=desk.fixture.place("body"),
                 mends=(Mend({"body.finish": "{coat: varnish-clear}"}),))  # fmt: skip
    if body.finish:
        coat = body.finish.coat
        desk.put(coat["drying"], coat["coats"])
        desk.work("coat.total", geometry.drying, each=coat["drying"], coats=coat["coats"])
        pieces.add("H", "coat", coat, on=pieces.ref("board"), cures=True)
        area = desk.work("coat.area", geometry.both_faces, width=desk["board.width"],
                         height=desk["board.height"])  # fmt: skip
        desk.work("coat.amount", geometry.paint_needed, area=area, coats=desk["coat.coats"],
                  coverage=desk.put(coat["coverage"]))  # fmt: skip
