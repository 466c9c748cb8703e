"""The mount: the block with the threaded insert by which the light is held."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.handles import HEAD_AIR
from guidegen.design.model import Box, Hole, block
from guidegen.design.pieces import COUNTERSUNK, THICK, Pieces, screw_for
from guidegen.design.result import Desk
from guidegen.design.rim import pilot, shank
from guidegen.kinds import Metre
from guidegen.spec.body import Mount
from guidegen.spec.parts import catalogue_part


def mount(desk: Desk, pieces: Pieces, mount: Mount, board: str) -> None:
    """A block at an edge of the board's back, its thread in the edge."""
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
    away = desk["tape.width"].si / 2 + figures["head"].si / 2 + HEAD_AIR
    ys = [places.row_y(desk, number) for number in range(1, int(desk["row.count"].si) + 1)]
    middle, least = outline.y + outline.height / 2, 2 * figures["diameter"].si
    steps = int((outline.height / 2 - least) / HEAD_AIR)
    for step in range(steps + 1):
        for line in (middle + step * HEAD_AIR, middle - step * HEAD_AIR):
            if all(abs(line - y) >= away - 1e-9 for y in ys):
                return line
    return None
