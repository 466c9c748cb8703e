"""One sheet filled with blocks of equal pieces, by through cuts only.

A plate is filled by putting one block of nx × ny equal pieces in its corner and cutting the rest
into two plates, which are filled in their turn; so the way it was filled is the way it is cut.
All sizes have the saw blade added: n pieces and n − 1 blades fit a side when n enlarged pieces
fit the side with one blade added. What is left at the end may then be thinner than the blade.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from guidegen.calc.cutting.model import Work


@dataclass(frozen=True, slots=True)
class Node:
    """A plate: strips side by side, one piece, or (with neither) a rest."""

    width: int
    height: int
    along: str = ""
    """`x`: the strips lie side by side along the width; `y`: along the height."""
    strips: tuple[Node, ...] = ()
    kind: int = -1
    """Index of the piece; −1: none."""
    turned: bool = False


Way = tuple[int, int, int, bool]
"""(kind, width, height, turned)"""
Block = tuple[Way, int, int, bool]
"""A piece, how many side by side and above one another, and whether the first cut beside the
block runs the whole height."""


@dataclass(frozen=True, slots=True)
class Job:
    """Merged pieces and the stock of one plan, in whole steps, the blade added."""

    kinds: tuple[tuple[int, int, bool], ...]
    """(width, height, turns), the largest first."""
    counts: tuple[int, ...]
    plates: tuple[tuple[int, int], ...]
    prices: tuple[int, ...]
    quantities: tuple[int | None, ...]
    kerf: int
    min_strip: int
    unit: int
    """Every side of a piece is a multiple of this."""

    def area(self, kind: int) -> int:
        """Area of a piece with its blade."""
        width, height, _ = self.kinds[kind]
        return width * height

    def fits(self, kind: int, stock: int) -> bool:
        """One piece alone can be cut from this stock, no strip beside it too narrow."""
        width, height, turns = self.kinds[kind]
        plate, least = self.plates[stock], self.kerf + self.min_strip
        return any(
            all(
                side <= room and not self.kerf < room - side < least
                for room, side in zip(plate, way, strict=True)
            )
            for way in ((width, height), (height, width))[: 1 + turns]
        )

    def ways(self) -> list[Way]:
        """Every piece as it may lie: (kind, width, height, turned)."""
        lying = []
        for kind, (width, height, turns) in enumerate(self.kinds):
            lying.append((kind, width, height, False))
            if turns:
                lying.append((kind, height, width, True))
        return lying


@dataclass(frozen=True, slots=True)
class Taste:
    """What a fill prefers."""

    worth: tuple[float, ...]
    """Of each kind, as a multiple of its area."""
    dead: float = 1.0
    """Weight of area that no sum of sides can use."""
    tall_first: bool | None = None
    """First cut across the width always, never, or (None) where it spoils less."""
    single: bool = False
    """One row or column at a time, never a block."""
    pilots: int = 1
    """So many of the best blocks are each tried to the end before one is chosen."""


class Reach:
    """The longest sum of sides within a length."""

    __slots__ = ("bits", "memo", "unit")

    def __init__(self, sides: Iterable[tuple[int, int]], unit: int, longest: int) -> None:
        self.unit = unit
        self.memo: dict[int, int] = {}
        full = (1 << (longest // unit + 1)) - 1
        bits = 1
        for side, count in sides:
            shift, left, step = side // unit, min(count, longest // side), 1
            while left > 0:  # doubling: 1, 2, 4, ... and what remains of the count
                take = min(step, left)
                bits |= (bits << (shift * take)) & full
                left, step = left - take, step * 2
        self.bits = bits

    def __call__(self, length: int) -> int:
        """Largest sum of sides, in steps."""
        found = self.memo.get(length)
        if found is None:
            within = self.bits & ((1 << (length // self.unit + 1)) - 1)
            found = self.memo[length] = (within.bit_length() - 1) * self.unit
        return found


@lru_cache(maxsize=4096)
def blocks(across: int, upright: int, count: int, single: bool) -> tuple[tuple[int, int], ...]:
    """Numbers (nx, ny) of equal pieces worth trying in one corner."""
    found = {(across, 1), (1, upright)}
    if across * upright <= count:
        found.add((across, upright))
    if not single:
        columns = {across, across - 1, count // upright, -(-count // upright), 2}
        for nx in columns:
            if 1 <= nx <= across:
                found.add((nx, min(upright, count // nx)))
        rows = {upright - 1, count // across}
        for ny in rows:
            if 1 <= ny <= upright:
                found.add((min(across, count // ny), ny))
    return tuple(sorted(found, reverse=True))


class Filler:
    """Fills plates one after another from what is left of the pieces."""

    def __init__(self, job: Job, left: Sequence[int], taste: Taste, work: Work) -> None:
        self.job, self.left, self.taste, self.work = job, list(left), taste, work
        self.ways = [way for way in job.ways() if left[way[0]]]
        self.value = [job.area(i) * worth for i, worth in enumerate(taste.worth)]
        longest = max(max(plate) for plate in job.plates)
        self.reach_x = Reach(((w, left[i]) for i, w, h, t in self.ways), job.unit, longest)
        self.reach_y = Reach(((h, left[i]) for i, w, h, t in self.ways), job.unit, longest)

    def fill(self, width: int, height: int, pilots: int | None = None) -> Node:
        """The plate with as much in it as the taste finds; takes the pieces from `left`."""
        self.work.spend()
        ranked = self._ranked(width, height)
        if not ranked:
            return Node(width, height)
        pilots = self.taste.pilots if pilots is None else pilots
        ranked.sort(key=lambda scored: -scored[0])
        if pilots == 1 or len(ranked) == 1 or self.work.over:
            return self._split(width, height, ranked[0][1], 1)
        best, top = ranked[0][1], -1.0
        for _, block in ranked[:pilots]:
            before = list(self.left)
            self._split(width, height, block, 1)
            used = sum(
                (a - b) * value for a, b, value in zip(before, self.left, self.value, strict=True)
            )
            self.left = before
            if used > top:
                best, top = block, used
        return self._split(width, height, best, pilots)

    def _ranked(self, width: int, height: int) -> list[tuple[float, Block]]:
        """Blocks with their scores: worth of the pieces to area that is used or spoilt.

        Without pilots only the best one is kept.
        """
        best: list[tuple[float, Block]] = []
        top, only = 0.0, self.taste.pilots == 1
        left, value, taste = self.left, self.value, self.taste
        reach_x, reach_y, choice = self.reach_x, self.reach_y, taste.tall_first
        kerf, strip, dead = self.job.kerf, self.job.min_strip, taste.dead
        for way in self.ways:
            kind, w, h, _ = way
            count = left[kind]
            if not count or w > width or h > height:
                continue
            for nx, ny in blocks(
                min(width // w, count), min(height // h, count), count, taste.single
            ):
                bw, bh = nx * w, ny * h
                rx, ry = width - bw, height - bh
                if strip and (kerf < rx < kerf + strip or kerf < ry < kerf + strip):
                    continue
                lost_x, lost_y = rx - reach_x(rx), ry - reach_y(ry)
                tall_lost, wide_lost = lost_x * height + lost_y * bw, lost_y * width + lost_x * bh
                tall = choice
                if tall is None:
                    # Equal loss: the larger rest stays whole.
                    tall = (tall_lost, -max(rx * height, bw * ry)) <= (
                        wide_lost,
                        -max(ry * width, rx * bh),
                    )
                score = (
                    nx * ny * value[kind] / (bw * bh + dead * (tall_lost if tall else wide_lost))
                )
                if not only:
                    best.append((score, (way, nx, ny, tall)))
                elif score > top:
                    best, top = [(score, (way, nx, ny, tall))], score
        return best

    def _split(self, width: int, height: int, block: Block, pilots: int) -> Node:
        """The plate cut into the block and the two rests, the smaller rest filled first."""
        (kind, w, h, turned), nx, ny, tall = block
        self.left[kind] -= nx * ny
        bw, bh = nx * w, ny * h
        piece = Node(w, h, kind=kind, turned=turned)
        beside = (width - bw, height if tall else bh)
        above = (bw if tall else width, height - bh)
        rests: dict[str, Node | None] = {"beside": None, "above": None}
        by_size = sorted((("beside", beside), ("above", above)), key=lambda r: r[1][0] * r[1][1])
        for name, (rw, rh) in by_size:
            if rw > 0 and rh > 0:
                rests[name] = self.fill(rw, rh, pilots)
        rows = [row(piece, nx)] * ny
        columns = [column(piece, ny)] * nx
        if tall and rests["above"] is None:
            return stack("x", [*columns, rests["beside"]])
        if tall:
            return stack("x", [stack("y", [*rows, rests["above"]]), rests["beside"]])
        if rests["beside"] is None:
            return stack("y", [*rows, rests["above"]])
        return stack("y", [stack("x", [*columns, rests["beside"]]), rests["above"]])


def row(piece: Node, count: int) -> Node:
    """Equal pieces side by side."""
    return stack("x", [piece] * count)


def column(piece: Node, count: int) -> Node:
    """Equal pieces above one another."""
    return stack("y", [piece] * count)


def stack(along: str, parts: Iterable[Node | None]) -> Node:
    """One plate of these strips; strips that are cut the same way become its own."""
    flat: list[Node] = []
    for part in parts:
        if part is not None:
            flat += part.strips if part.along == along else (part,)
    if len(flat) == 1:
        return flat[0]
    if along == "x":
        return Node(sum(s.width for s in flat), flat[0].height, along, tuple(flat))
    return Node(flat[0].width, sum(s.height for s in flat), along, tuple(flat))


def pieces_of(node: Node) -> Iterable[Node]:
    """All pieces of a plate."""
    if node.kind >= 0:
        yield node
    for strip in node.strips:
        yield from pieces_of(strip)
