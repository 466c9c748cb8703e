"""From the way a sheet was filled to the places of its pieces and the cuts in working order.

The edges are trimmed first; then all cuts that one fence setting serves follow one another, and
the direction changes only when nothing is left to cut in the present one. A plate that is cut off
gets a letter; what is left of a plate keeps its name, so few names are on the bench at a time.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from guidegen.calc.cutting.fill import Node
from guidegen.calc.cutting.model import STEPS, Cut, Placed, metres

#: An offcut with both sides this long is kept and named: 100 mm. Common practice, no source.
KEEP = STEPS // 10
WASTE = "waste"
SHEET = "sheet"


class Name(NamedTuple):
    """What one piece or offcut is called."""

    label: str
    copy: int
    text: str
    """Label and copy."""
    swapped: bool = False
    """Its own width is the height of its kind."""


@dataclass(frozen=True)
class Layout:
    """What lies on one sheet and how it is cut."""

    placed: tuple[Placed, ...]
    offcuts: tuple[Placed, ...]
    cuts: tuple[Cut, ...]


@dataclass
class _Plate:
    """A plate on the bench and its next cut; lower left corner in steps, within the trims."""

    node: Node
    x: int
    y: int
    name: str
    depth: int = 0
    """How many times the direction changed on the way to it."""
    done: int = 0

    @property
    def strip(self) -> Node:
        return self.node.strips[self.done]

    @property
    def setting(self) -> tuple[str, int]:
        """Direction and breadth of the next cut, the blade added."""
        return self.node.along, breadth(self.strip, self.node.along)


def breadth(node: Node, along: str) -> int:
    """Size across strips that lie along this direction."""
    return node.width if along == "x" else node.height


def tidy(node: Node) -> Node:
    """Equal strips together, the widest first, the rest at the end where it stays whole."""
    if not node.strips:
        return node
    strips = [tidy(strip) for strip in node.strips]
    strips.sort(key=lambda strip: (is_rest(strip), -breadth(strip, node.along)))
    return replace(node, strips=tuple(strips))


def is_rest(node: Node) -> bool:
    """Nothing is cut from this plate."""
    return node.kind < 0 and not node.strips


def lay_out(
    node: Node, size: tuple[int, int], edge: int, kerf: int, names: Mapping[int, deque[Name]]
) -> Layout:
    """Places and cuts of one filled sheet.

    Parameters
    ----------
    node : Node
        The sheet within its trimmed edges, the blade added to every size.
    size : (width, height)
        The whole sheet, in steps.
    edge, kerf : int
        Trimmed from each edge, the cut included; width of the blade. In steps.
    names : mapping of kind to names
        Names still free; those used are taken off.
    """
    node = tidy(node)
    leaves = list(_leaves(node, 0, 0))
    placed: dict[tuple[int, int], Placed] = {}
    for leaf, x, y in leaves:
        if leaf.kind >= 0:
            placed[x, y] = _placed(leaf, x + edge, y + edge, kerf, names[leaf.kind].popleft())
    rests = [leaf for leaf in leaves if is_rest(leaf[0]) and _whole(leaf[0], kerf)]
    rests.sort(key=lambda leaf: (-leaf[0].width * leaf[0].height, leaf[1], leaf[2]))
    offcuts = {
        (x, y): _placed(leaf, x + edge, y + edge, kerf, Name("offcut", n, f"offcut {n}"))
        for n, (leaf, x, y) in enumerate(rests, 1)
    }
    called = {at: piece.name for at, piece in (placed | offcuts).items()}
    cuts = _Bench(node, size, edge, kerf, called).cuts
    return Layout(tuple(placed.values()), tuple(offcuts.values()), tuple(cuts))


def _whole(node: Node, kerf: int) -> bool:
    return min(node.width, node.height) - kerf >= KEEP


def _leaves(node: Node, x: int, y: int) -> Iterator[tuple[Node, int, int]]:
    """Pieces and rests with their lower left corners."""
    if not node.strips:
        yield node, x, y
    for strip in node.strips:
        yield from _leaves(strip, x, y)
        if node.along == "x":
            x += strip.width
        else:
            y += strip.height


def _placed(node: Node, x: int, y: int, kerf: int, name: Name) -> Placed:
    return Placed(
        name.label,
        name.copy,
        metres(x),
        metres(y),
        metres(node.width - kerf),
        metres(node.height - kerf),
        node.turned != name.swapped,
        name.text,
    )


class _Bench:
    """Plates that wait for the saw, and the cuts made so far."""

    def __init__(
        self,
        root: Node,
        size: tuple[int, int],
        edge: int,
        kerf: int,
        called: Mapping[tuple[int, int], str],
    ) -> None:
        self.edge, self.kerf, self.called = edge, kerf, called
        self.cuts: list[Cut] = []
        self.letters = letters()
        self.last = ("", 0)
        self.setting = 0
        name = SHEET if root.strips else self._name(root, 0, 0)
        if edge:
            self._trim(size, name)
        self.plates = [_Plate(root, 0, 0, name)] if root.strips else []
        while self.plates:
            self._cut(self._next())

    def _trim(self, size: tuple[int, int], name: str) -> None:
        """The four edges: left, right, bottom, top; the sheet's own fresh edge is the guide."""
        (width, height), edge = size, self.edge
        inner = width - 2 * edge
        upper = height - 2 * edge
        strip = WASTE if edge > self.kerf else ""
        near = edge - self.kerf
        for along, at, x, y, long, gives in (
            ("x", near, 0, 0, height, (strip, SHEET)),
            ("x", inner, edge, 0, height, (SHEET, strip)),
            ("y", near, edge, 0, inner, (strip, SHEET)),
            ("y", upper, edge, edge, inner, (name, strip)),
        ):
            self._add((along, at), (x, y), long, SHEET, gives)

    def _next(self) -> _Plate:
        """The plate whose cut needs no new fence setting, else the setting that serves most."""
        served = Counter(plate.setting for plate in self.plates)

        def rank(plate: _Plate) -> tuple[bool, int, int, int]:
            along, size = plate.setting
            same = (along, size - self.kerf) == self.last
            return same, -plate.depth, served[plate.setting], size

        return max(self.plates, key=rank)

    def _cut(self, plate: _Plate) -> None:
        """The next strip of a plate cut off; strip and rest go where they belong."""
        strip, (along, size) = plate.strip, plate.setting
        x, y = plate.x, plate.y
        plate.done += 1
        rest = plate.node.strips[plate.done :]
        if along == "x":
            plate.x += size
        else:
            plate.y += size
        near = next(self.letters) if strip.strips else self._name(strip, x, y)
        far = plate.name
        if len(rest) == 1:
            self.plates.remove(plate)
            if rest[0].strips:
                self.plates.append(_Plate(rest[0], plate.x, plate.y, plate.name, plate.depth + 1))
            else:
                far = self._name(rest[0], plate.x, plate.y)
        if strip.strips:
            self.plates.append(_Plate(strip, x, y, near, plate.depth + 1))
        long = (plate.node.height if along == "x" else plate.node.width) - self.kerf
        corner = (x + self.edge, y + self.edge)
        self._add((along, size - self.kerf), corner, long, plate.name, (near, far))

    def _name(self, node: Node, x: int, y: int) -> str:
        """What a piece or rest is called; a rest that the blade took is nothing."""
        if is_rest(node) and min(node.width, node.height) <= self.kerf:
            return ""
        return self.called.get((x, y), WASTE)

    def _add(
        self,
        setting: tuple[str, int],
        corner: tuple[int, int],
        long: int,
        plate: str,
        gives: tuple[str, str],
    ) -> None:
        """One more cut, its line along the near side of the blade."""
        if setting != self.last:
            self.setting += 1
        self.last = setting
        (along, at), (x, y) = setting, corner
        start = (x + at, y) if along == "x" else (x, y + at)
        end = (x + at, y + long) if along == "x" else (x + long, y + at)
        self.cuts.append(
            Cut(
                len(self.cuts) + 1,
                plate,
                "width" if along == "x" else "height",
                metres(at),
                "left" if along == "x" else "bottom",
                metres(start[0]),
                metres(start[1]),
                metres(end[0]),
                metres(end[1]),
                gives,
                self.setting,
            )
        )


def letters() -> Iterator[str]:
    """A, B, ... Z, AA, AB, ..."""
    number = 0
    while True:
        number += 1
        text, rest = "", number
        while rest:
            rest, digit = divmod(rest - 1, 26)
            text = chr(ord("A") + digit) + text
        yield text


def deal(kinds: Sequence[Sequence[Name]]) -> dict[int, deque[Name]]:
    """Names of each kind, to be taken in order."""
    return {kind: deque(names) for kind, names in enumerate(kinds)}
