"""What is left of a sheet gathered into one plate that is worth keeping.

The pieces of a sheet are filled again into less and less of its width, or of its height; what
is cut off first is then one whole plate.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from guidegen.calc.cutting.fill import Filler, Job, Node, Taste, pieces_of, stack
from guidegen.calc.cutting.model import Work

#: (lean to large pieces, weight of spoilt area, first cut across the width, single rows)
GATHER: tuple[tuple[float, float, bool | None, bool], ...] = (
    (0.2, 1.0, None, False),
    (0.5, 0.5, True, False),
    (0.5, 0.5, False, False),
    (0.2, 1.0, None, True),
)
#: Halvings of the free width: to a hundredth of it.
STEPS = 7


def gathered(job: Job, stock: int, node: Node, effort: int) -> Node:
    """The same pieces on the same sheet, with a larger whole offcut if one is found."""
    width, height = job.plates[stock]
    counts = Counter(piece.kind for piece in pieces_of(node))
    wanted = [counts[kind] for kind in range(len(job.kinds))]
    need = sum(job.area(kind) * number for kind, number in enumerate(wanted))
    free = width * height - need
    best, offcut = node, max((rest.width * rest.height for rest in rests_of(node)), default=0)
    work = Work(effort)
    for along in ("x", "y"):
        # Only what would beat the best so far is worth a try.
        longest = width if along == "x" else height
        across = width * height // longest
        low, high = need // across, longest - offcut // across - 1
        for _ in range(STEPS):
            if low >= high or work.over or offcut >= free:
                break
            middle = (low + high) // 2
            room = (middle, height) if along == "x" else (width, middle)
            if not _whole(job, longest - middle):
                low = middle + 1
                continue
            filled = _all_in(job, wanted, room, work)
            if filled is None:
                low = middle + 1
                continue
            # What lies behind the last piece would be a sliver to saw off for nothing.
            tight = reach(filled, along)
            if tight < middle and _whole(job, longest - tight):
                room = (tight, height) if along == "x" else (width, tight)
                closer = _all_in(job, wanted, room, work)
                filled, middle = (filled, middle) if closer is None else (closer, tight)
            kept = longest - middle
            rest = Node(kept, height) if along == "x" else Node(width, kept)
            best, offcut, high = stack(along, [filled, rest]), kept * across, middle - 1
    return best


def reach(node: Node, along: str) -> int:
    """How far the pieces of a plate reach along its width (`x`) or its height (`y`)."""
    if node.kind >= 0:
        return node.width if along == "x" else node.height
    if node.along != along:
        return max((reach(strip, along) for strip in node.strips), default=0)
    last = next((n for n in range(len(node.strips) - 1, -1, -1) if reach(node.strips[n], along)),
                None)  # fmt: skip
    if last is None:
        return 0
    before = sum(strip.width if along == "x" else strip.height for strip in node.strips[:last])
    return before + reach(node.strips[last], along)


def _whole(job: Job, kept: int) -> bool:
    """The strip left over can be cut off."""
    return kept >= job.kerf + max(job.min_strip, 1)


def _all_in(job: Job, wanted: Sequence[int], room: tuple[int, int], work: Work) -> Node | None:
    """All pieces in this room, or None."""
    for lean, dead, tall, single in GATHER:
        worth = tuple((job.area(kind) / job.area(0)) ** lean for kind in range(len(wanted)))
        filler = Filler(job, wanted, Taste(worth, dead, tall, single), work)
        node = filler.fill(*room)
        if not any(filler.left):
            return node
    return None


def rests_of(node: Node) -> Iterator[Node]:
    """All rests of a plate."""
    if node.kind < 0 and not node.strips:
        yield node
    for strip in node.strips:
        yield from rests_of(strip)
