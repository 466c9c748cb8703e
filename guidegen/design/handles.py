"""Handles: a round bar in blocks on the back of the board, along an edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from guidegen.calc import geometry, screws
from guidegen.design import places
from guidegen.design.box import HANDLE_BLOCK
from guidegen.design.pieces import COUNTERSUNK, THICK, Pieces, screw_for
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.design.rim import pilot, shank
from guidegen.design.solid import Box, Hole, block
from guidegen.kinds import FineMetre, Metre
from guidegen.spec.extras import Handle
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.spec.quantities import within
from guidegen.values import Given, Value, renamed

#: Wood that a block keeps over the bar. [m].
OVER_BAR = 0.012
#: Air behind the bar for a gloved hand. [m].
HAND = 0.035
#: Between the head of a screw and the edge of a tape. [m].
HEAD_AIR = 0.0005


@dataclass(frozen=True)
class _Plan:
    """One handle with its sizes as values."""

    name: str
    board: str
    stock: CataloguePart
    bar: Value
    """Diameter of the bar."""
    layer: Value
    """Thickness of one layer of a block, along the bar."""
    layers: int
    hand: Value
    """Air behind the bar that a hand needs."""
    over: Value
    """Wood that a block keeps over the bar."""
    out: Value
    """From the board's back to the end of a block."""
    tall: Value
    """Of a block, up the board."""
    low: float
    """Its lower end."""

    @property
    def wide(self) -> float:
        """Of a block, along the bar."""
        return self.layer.si * self.layers


def handles(desk: Desk, pieces: Pieces, board: str) -> None:
    """All handles of the spec, one an edge that it names."""
    number = 0
    for item, asked in enumerate(desk.fixture.body.handles, 1):
        for edge in asked.edges:
            number += 1
            name = "handle" if number == 1 else f"handle_{number}"
            _handle(desk, pieces, asked, _plan(desk, asked, edge, name, board), item)
    desk.set(handles=number > 0, several_handles=number > 1, count__handles=float(number))


def _plan(desk: Desk, asked: Handle, edge: str, name: str, board: str) -> _Plan:
    stock = asked.block
    hand = desk.given(f"{name}.hand", FineMetre, HAND, "common practice, from memory")
    over = desk.given(f"{name}.over", FineMetre, OVER_BAR, "project default")
    bar = desk.put(renamed(asked.bar["thickness"], f"{name}.bar"))
    if stock.kind == "bar":
        layer = desk.put(renamed(stock["thickness"], f"{name}.layer"))
        out = desk.put(renamed(stock["width"], f"{name}.stands_out"))
    else:
        sheet = asked.thickness if isinstance(asked.thickness, Given) else stock.thicknesses[-1]
        layer = desk.put(renamed(sheet, f"{name}.layer"))
        out = desk.work(f"{name}.stands_out", geometry.handle_depth, hand=hand, bar=bar, over=over)
    tall = desk.given(f"{name}.block_length", Metre, min(HANDLE_BLOCK, desk["board.height"].si),
                      "project default")  # fmt: skip
    low = desk["board.height"].si - tall.si if edge == "top" else 0.0
    layers = int(asked.layers.si) if stock.kind == "sheet" else 1
    return _Plan(name, board, stock, bar, layer, layers, hand, over, out, tall, low)


def _handle(desk: Desk, pieces: Pieces, asked: Handle, plan: _Plan, item: int) -> None:
    name, face = plan.name, -desk["board.thickness"].si
    number = within(asked.length, min(0.4, 0.8 * desk["board.width"].si))
    length = (
        desk.put(renamed(asked.length, f"{name}.length"))
        if isinstance(asked.length, Given)
        else desk.settle(asked.length, f"{name}.length", Metre, number)
    )
    thick = plan.bar
    radius, left = thick.si / 2, (desk["board.width"].si - length.si) / 2
    y, z = plan.low + plan.tall.si / 2, face - plan.out.si + plan.over.si + radius
    gap = (length.si - plan.wide) / (int(asked.blocks.si) - 1)
    blocks = [_block(pieces, plan, left + n * gap, face) for n in range(int(asked.blocks.si))]
    bar = pieces.add(
        "U", "handle_bar", asked.bar, made=True, on=blocks[0][0], side="back", cures=True,
        size=(length, thick), fixed_by="glue",
        solid=replace(
            block(Box(left, y - radius, length.si, thick.si), z - radius, z + radius),
            shape="cylinder", axis="x"),
    )  # fmt: skip
    bore = desk.work(f"{name}.bore", screws.shank_hole, screw=thick,
                     play=desk.given(f"{name}.play", FineMetre, 0.0005, PRACTICE))  # fmt: skip
    for n, refs in enumerate(blocks):
        for layer, ref in enumerate(refs):
            at = (left + n * gap + layer * plan.layer.si, y, z)
            pieces.bore(ref, Hole("handle_bar", at, "x", "round", bore, holds=bar))
    _screws(desk, pieces, plan, [refs[len(refs) // 2] for refs in blocks])
    _hand(desk, plan, item)


def _block(pieces: Pieces, plan: _Plan, left: float, face: float) -> list[str]:
    """The layers of one block, side by side along the bar."""
    return [
        pieces.add(
            "U", "handle_block", plan.stock, made=True, on=plan.board, side="back", cures=True,
            size=(plan.tall, plan.out, plan.layer), fixed_by="glue",
            solid=block(Box(left + n * plan.layer.si, plan.low, plan.layer.si, plan.tall.si),
                        face, face - plan.out.si, axis="x"),
        )
        for n in range(plan.layers)
    ]  # fmt: skip


def _hand(desk: Desk, plan: _Plan, item: int) -> None:
    """Air between bar and board, for a gloved hand."""
    room = desk.work(f"{plan.name}.room", geometry.handle_room, out=plan.out, bar=plan.bar,
                     over=plan.over)  # fmt: skip
    desk.limit("handle-room", plan.hand, room, at_most=False, level="advice", handle=plan.name,
               place=desk.fixture.place(f"body.handles.{item}"),
               mends=(Mend({f"body.handles.{item}.block": "hardwood-25x70"}),))  # fmt: skip


def _screws(desk: Desk, pieces: Pieces, plan: _Plan, refs: list[str]) -> None:
    """Two screws a block from the light side, clear of the rows where they can be."""
    keys: tuple[str, ...] = THICK if plan.layer.si >= 0.02 else COUNTERSUNK
    lines = clear_lines(desk, plan.low, plan.tall.si, keys[0])
    if lines is None:
        keys, lines = COUNTERSUNK, clear_lines(desk, plan.low, plan.tall.si, COUNTERSUNK[0])
    if lines is None:
        lines = (plan.low + plan.tall.si / 4, plan.low + 3 * plan.tall.si / 4)
    fixing = screw_for(desk, plan.name, keys, desk["board.thickness"], plan.out.si,
                       plan.stock.words.get("material", ""))  # fmt: skip
    screw = pieces.add("H", "handle_screw", on=plan.board, key=fixing.key, count=2 * len(refs))
    face = -desk["board.thickness"].si
    for part in [part for part in pieces.parts if part.ref in refs]:
        assert part.box is not None
        x = part.box.x + part.box.width / 2
        pieces.bore(plan.board, *(shank(fixing, "handle_screw", (x, y, 0.0), screw)
                                  for y in lines))  # fmt: skip
        pieces.bore(part.ref, *(pilot(fixing, "handle_pilot", (x, y, face), screw)
                                for y in lines))  # fmt: skip


def head_lies_clear(desk: Desk, screw: CataloguePart, rows: bool = True) -> Callable[[float], bool]:
    """Whether a screw's head misses the rim and all rows, asked of its height. [m]."""
    head = screw["head"].si / 2
    away = desk["tape.width"].si / 2 + head + HEAD_AIR
    ys = [places.row_y(desk, number) for number in range(1, int(desk["row.count"].si) + 1) if rows]
    # The strips of the rim lie on the edges of the board, and have screws of their own.
    rim, tall = desk["border.thickness"].si, desk["board.height"].si
    low = rim + head + (HEAD_AIR if rim else 0.0)
    return lambda line: (low - 1e-9 <= line <= tall - low + 1e-9
                         and all(abs(line - y) >= away - 1e-9 for y in ys))  # fmt: skip


def clear_lines(desk: Desk, low: float, tall: float, key: str) -> tuple[float, float] | None:
    """The lowest and the highest line between two ends at which a screw's head lies clear.

    None where there are no two lines a third of the height apart.
    """
    figures = catalogue_part(key)
    inset = 2 * figures["diameter"].si
    start, end = low + inset, low + tall - inset
    lines = [start + n * HEAD_AIR for n in range(max(int((end - start) / HEAD_AIR), 0) + 1)]
    free = list(filter(head_lies_clear(desk, figures), lines))
    return (free[0], free[-1]) if free and free[-1] - free[0] >= tall / 3 else None
