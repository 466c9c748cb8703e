"""The mount: the block with the thread by which the light is held."""

from __future__ import annotations

from collections.abc import Callable

from guidegen.design.handles import HEAD_AIR, head_lies_clear
from guidegen.design.mount_layers import laminate
from guidegen.design.mount_plan import WIDTH
from guidegen.design.pieces import COUNTERSUNK, THICK, Pieces, Screw, screw_for
from guidegen.design.result import Desk, Finding, Mend
from guidegen.design.rim import pilot, shank
from guidegen.design.solid import Box, Hole, block
from guidegen.kinds import Metre
from guidegen.spec.mount import Mount
from guidegen.spec.parts import catalogue_part
from guidegen.spec.quantities import within
from guidegen.values import Value

#: Where along the block its two screws stand.
SHARES = (1 / 6, 5 / 6)
#: From the middle of a screw to the glue between two layers, in diameters (common practice, no
#: source).
FROM_GLUE = 1.5


def mount(desk: Desk, pieces: Pieces, mount: Mount, board: str) -> None:
    """A block at an edge of the board's back: of one bar, or of layers with a nut in them."""
    desk.set(mount_layers=bool(mount.layers), mount_back=mount.thread_faces == "back")
    plated = mount.insert.get("plate") is not None
    if plated is not bool(mount.layers):
        other = "insert-quarter-20" if plated else "t-nut-quarter-20"
        desk.find(Finding("mount-insert", "stop", place=desk.fixture.place("body.mount.insert"),
                          names={"plated": plated},
                          mends=(Mend({"body.mount.insert": other}),)))  # fmt: skip
    width = desk.settle(mount.width, "mount.width", Metre, within(mount.width, WIDTH))
    left = mount.along.low_end(desk["board.width"].si, width.si)
    if mount.layers:
        made = laminate(desk, pieces, mount, board, width, left)
        fixing, points = _screws(desk, made.outline, made.out, "", made.clear_of_glue)
        ref = _heads(desk, pieces, board, fixing, points)
        made.pilots(fixing, points, ref)
        return
    home, outline = _block(desk, pieces, mount, board, width, left)
    material = mount.block.words.get("material", "")
    fixing, points = _screws(desk, outline, mount.block["thickness"].si, material)
    ref = _heads(desk, pieces, board, fixing, points)
    under = -desk["board.thickness"].si
    pieces.bore(home, *(pilot(fixing, "mount_pilot", (x, y, under), ref) for x, y in points))


def _block(
    desk: Desk, pieces: Pieces, mount: Mount, board: str, length: Value, left: float
) -> tuple[str, Box]:
    """A piece of bar, with the hole for the insert."""
    wide, deep = desk.put(mount.block["width"]), desk.put(mount.block["thickness"])
    tall = desk["board.height"].si
    bottom = 0.0 if mount.edge == "bottom" else tall - wide.si
    under = -desk["board.thickness"].si
    outline = Box(left, bottom, length.si, wide.si)
    home = pieces.add("U", "mount_block", mount.block, made=True, on=board, cures=True,
                      size=(length, wide, deep), side="back",
                      solid=block(outline, under, under - deep.si), fixed_by="glue")  # fmt: skip
    bore, bored = (desk.put(mount.insert[name]) for name in ("hole", "length"))
    insert = pieces.add("H", "insert", mount.insert, on=home)
    middle = left + length.si / 2
    if mount.thread_faces == "back":
        at, axis = (middle, bottom + wide.si / 2, under - deep.si), "z"
    else:
        end = 0.0 if mount.edge == "bottom" else tall
        at, axis = (middle, end, under - deep.si / 2), "y"
    pieces.bore(home, Hole("insert", at, axis, "round", bore, depth=bored, holds=insert))
    return home, outline


def _anywhere(line: float, diameter: float) -> bool:
    return True


def _screws(
    desk: Desk,
    outline: Box,
    deep: float,
    material: str,
    sound: Callable[[float, float], bool] = _anywhere,
) -> tuple[Screw, list[tuple[float, float]]]:
    """Two screws from the light side, between the rows: a head under a tape lifts it."""
    keys: tuple[str, ...] = THICK
    y = _clear_line(desk, outline, THICK[0], sound)
    if y is None:
        keys, y = COUNTERSUNK, _clear_line(desk, outline, COUNTERSUNK[0], sound)
    desk.set(mount_screw_under_row=y is None)
    # A head under a row is sunk and taped over; under the rim nobody could drive it.
    if y is None:
        y = _clear_line(desk, outline, keys[0], sound, rows=False)
    line = outline.y + outline.height / 2 if y is None else y
    fixing = screw_for(desk, "mount", keys, desk["board.thickness"], deep, material)
    return fixing, [(outline.x + outline.width * share, line) for share in SHARES]


def _heads(
    desk: Desk, pieces: Pieces, board: str, fixing: Screw, points: list[tuple[float, float]]
) -> str:
    """The screws, and their holes in the board."""
    ref = pieces.add("H", "mount_screw", on=board, key=fixing.key, count=len(points))
    pieces.bore(board, *(shank(fixing, "mount_screw", (x, y, 0.0), ref) for x, y in points))
    return ref


def _clear_line(
    desk: Desk,
    outline: Box,
    key: str,
    sound: Callable[[float, float], bool],
    rows: bool = True,
) -> float | None:
    """The height nearest to the block's middle at which a screw's head lies clear."""
    figures = catalogue_part(key)
    clear = head_lies_clear(desk, figures, rows)
    thick = figures["diameter"].si
    middle, least = outline.y + outline.height / 2, 2 * thick
    steps = int((outline.height / 2 - least) / HEAD_AIR)
    for step in range(steps + 1):
        for line in (middle + step * HEAD_AIR, middle - step * HEAD_AIR):
            if clear(line) and sound(line, FROM_GLUE * thick):
                return line
    return None
