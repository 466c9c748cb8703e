"""The body: rim, cover, box behind the board, mount; their pieces, holes and fixings."""

from __future__ import annotations

from guidegen.calc import geometry
from guidegen.design import panels
from guidegen.design.enclosure import enclosure
from guidegen.design.extras import own_holes, own_pieces
from guidegen.design.handles import HEAD_AIR, handles, misses_rows
from guidegen.design.model import Box, Hole, block
from guidegen.design.pieces import COUNTERSUNK, THICK, Pieces, screw_for, thickness_of
from guidegen.design.result import Desk, Section
from guidegen.design.rim import border, cover, pilot, shank
from guidegen.kinds import Metre
from guidegen.spec.body import Mount
from guidegen.spec.model import Fixture
from guidegen.spec.parts import catalogue_part

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
        finish_before=body.finish is not None and body.finish.when == "before wiring",
        cover_screwed=False,
        filter_slot=False,
        slot_top=False,
        slot_left=False,
        border_screwed=False,
        mount_screw_under_row=False,
        conductive_board=body.board.sheet.words.get("conducting") == "yes",
    )
    if body.border:
        border(desk, pieces, body.border, board)
    cover(desk, pieces, board)
    if body.mount:
        _mount(desk, pieces, body.mount, board)
    of_panel = {part.ref for part in pieces.parts}
    if body.enclosure:
        enclosure(desk, pieces, body.enclosure, board)
    of_box = {part.ref for part in pieces.parts} - of_panel
    handles(desk, pieces, board)
    own_pieces(desk, pieces, board)
    own_holes(desk, pieces, board, body.board.holes)
    if fixture.panel_count > 1:
        alike = [part for part in pieces.parts if part.ref not in of_box]
        pieces.repeat(alike, {n: panels.origin(desk, n) for n in panels.numbers(desk)[1:]})
    _materials(desk, pieces)
    return desk.section(tuple(pieces.parts))


def _mount(desk: Desk, pieces: Pieces, mount: Mount, board: str) -> None:
    length = desk.given("mount.length", Metre, 0.06, "project default")
    wide, deep = desk.put(mount.block["width"]), desk.put(mount.block["thickness"])
    middle, tall = desk["board.width"].si / 2, desk["board.height"].si
    bottom = 0.0 if mount.edge == "bottom" else tall - wide.si
    under = -desk["board.thickness"].si
    outline = Box(middle - length.si / 2, bottom, length.si, wide.si)
    home = pieces.add("U", "mount_block", mount.block, made=True, on=board, cures=True,
                      size=(length, wide, deep), side="back",
                      solid=block(outline, under, under - deep.si), fixed_by="glue")  # fmt: skip
    bore, bored = (desk.put(mount.insert[name]) for name in ("hole", "length"))
    insert = pieces.add("H", "insert", mount.insert, on=home)
    end = 0.0 if mount.edge == "bottom" else tall
    pieces.bore(home, Hole("insert", (middle, end, under - deep.si / 2), "y", "round",
                           bore, depth=bored, holds=insert))  # fmt: skip
    _mount_screws(desk, pieces, home, outline, board)


def _mount_screws(desk: Desk, pieces: Pieces, home: str, outline: Box, board: str) -> None:
    """Two screws from the light side, between the rows: a head under a tape lifts it."""
    keys: tuple[str, ...] = THICK
    y = _clear_line(desk, outline, THICK[0])
    if y is None:
        keys, y = COUNTERSUNK, _clear_line(desk, outline, COUNTERSUNK[0])
    desk.set(mount_screw_under_row=y is None)
    line = outline.y + outline.height / 2 if y is None else y
    mount = desk.fixture.body.mount
    assert mount is not None
    deep = desk["mount.thickness"].si if "mount.thickness" in desk else mount.block["thickness"].si
    fixing = screw_for(desk, "mount", keys, desk["board.thickness"], deep,
                       mount.block.words.get("material", ""))  # fmt: skip
    ref = pieces.add("H", "mount_screw", on=board, key=fixing.key, count=2)
    under = -desk["board.thickness"].si
    points = [(outline.x + outline.width * share, line) for share in (1 / 6, 5 / 6)]
    pieces.bore(board, *(shank(fixing, "mount_screw", (x, y, 0.0), ref) for x, y in points))
    pieces.bore(home, *(pilot(fixing, "mount_pilot", (x, y, under), ref) for x, y in points))


def _clear_line(desk: Desk, outline: Box, key: str) -> float | None:
    """The height nearest to the block's middle at which a screw's head lies clear of all rows."""
    figures = catalogue_part(key)
    clear = misses_rows(desk, figures)
    middle, least = outline.y + outline.height / 2, 2 * figures["diameter"].si
    steps = int((outline.height / 2 - least) / HEAD_AIR)
    for step in range(steps + 1):
        for line in (middle + step * HEAD_AIR, middle - step * HEAD_AIR):
            if clear(line):
                return line
    return None


def _materials(desk: Desk, pieces: Pieces) -> None:
    body = desk.fixture.body
    words = {part.stock.words.get("material", "") for part in pieces.parts if part.stock}
    desk.set(
        wood=bool(words & WOOD),
        mdf="mdf" in words,
        acrylic="acrylic" in words,
        metal_sheet="aluminium" in words,
    )
    if body.finish:
        coat = body.finish.coat
        desk.put(coat["drying"], coat["coats"])
        desk.work("coat.total", geometry.drying, each=coat["drying"], coats=coat["coats"])
        pieces.add("H", "coat", coat, on=pieces.ref("board"), cures=True)
        area = desk.work("coat.area", geometry.area, width=desk["board.width"],
                         height=desk["board.height"])  # fmt: skip
        desk.work("coat.amount", geometry.paint_needed, area=area, coats=desk["coat.coats"],
                  coverage=desk.put(coat["coverage"]))  # fmt: skip
