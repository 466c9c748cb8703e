"""Hole tables: a table a piece, read from the solids; what is drilled through a partner's holes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.bits import bit_for, round_widths
from guidegen.design.model import Model, Part
from guidegen.design.result import Design
from guidegen.design.seen import made_from, seen
from guidegen.design.solid import Hole
from guidegen.kinds import FineMetre, kind_of


@dataclass(frozen=True)
class Line:
    """One hole as text."""

    number: str
    what: str
    holds: str
    along: str
    up: str
    size: str
    depth: str
    sink: str
    face: str
    corners: tuple[Corner, ...] = ()
    """Of an outline."""


@dataclass(frozen=True)
class Corner:
    """One corner of an outline as text, from the same edges as the hole."""

    number: str
    along: str
    up: str


@dataclass(frozen=True)
class Table:
    """The holes of one piece, or of equal pieces."""

    ref: str
    what: str
    measured: str
    """From which edges, and from where these are seen."""
    lines: tuple[Line, ...]

    @property
    def outlines(self) -> list[Line]:
        """Holes that are told by their corners."""
        return [line for line in self.lines if line.corners]

    @property
    def drawn(self) -> str:
        """The piece whose hole plan stands for all."""
        return self.ref.partition(",")[0]


@dataclass(frozen=True)
class Matched:
    """Pilot holes that follow the holes of a partner."""

    what: str
    refs: str
    through: str
    size: str
    depth: str
    count: str


@dataclass(frozen=True)
class Bit:
    """With what holes of one width are made."""

    wide: str
    bit: str
    then: str


def bits(design: Design, words: Words) -> tuple[Bit, ...]:
    """A line for each width of a round hole, narrowest first."""
    text, phrases, found = kind_of(FineMetre).text, words.phrases, []
    for width in round_widths(design.model):
        kind, bit, filed = bit_for(width)
        then = phrases["bit_file"].format(size=text(width)) if filed else "–"
        found.append(Bit(text(width), phrases[kind].format(size=text(bit)), then))
    return tuple(found)


def tables(design: Design, words: Words) -> tuple[Table, ...]:
    """A table for each piece with holes that are marked on itself."""
    groups: dict[tuple[str, str, tuple[Line, ...]], list[str]] = defaultdict(list)
    for part in design.model.parts:
        solid = part.solid
        holes = [hole for hole in solid.holes if not hole.follows] if solid else []
        if solid is None or not holes:
            continue
        lines = tuple(_line(n, hole, part, design.model, words)
                      for n, hole in enumerate(holes, 1))  # fmt: skip
        what = part.called or words.role(part.role).one
        view = seen(design.model, part)
        flat = view == "light" and all(hole.axis == "z" for hole in holes)
        measured = words.phrases["measured_flat" if flat else f"measured_{view}"]
        groups[what, measured, lines].append(part.ref)
    return tuple(Table(", ".join(refs), *known) for known, refs in groups.items())


def _line(number: int, hole: Hole, part: Part, model: Model, words: Words) -> Line:
    solid, text = part.solid, kind_of(FineMetre).text
    assert solid
    along, up = (text(place) for place in solid.marked(hole))
    size = f"{hole.width} × {text(hole.length)}" if hole.length else str(hole.width)
    places = (solid.on_face(spot, hole.axis) for spot in hole.spots)
    corners = tuple(Corner(str(n), *map(text, place)) for n, place in enumerate(places, 1))
    what = f"{words.holes[hole.role]} {hole.fixes}".rstrip()
    return Line(
        str(number), what, hole.holds or "–", along, up, size,
        str(hole.depth) if hole.depth is not None else words.phrases["through"],
        str(hole.countersink) if hole.countersink is not None else "–",
        words.phrases[_face(hole, part, model)], corners,
    )  # fmt: skip


def _face(hole: Hole, part: Part, model: Model) -> str:
    """Which face it is made from: `front`, `back`, `outside` or `inside`."""
    if hole.axis != "z":
        return "inside" if hole.role.endswith("_pocket") else "outside"
    assert part.solid
    return made_from(model, part, part.solid.behind(hole))


def matched(design: Design, words: Words) -> tuple[Matched, ...]:
    """Pilot holes by kind: in which pieces, through the holes of which, how wide and deep."""
    groups: dict[tuple[str, str, str], list[tuple[Part, Hole]]] = defaultdict(list)
    for part in design.model.parts:
        for hole in part.solid.holes if part.solid else ():
            if hole.follows:
                groups[hole.role, str(hole.width), str(hole.depth)].append((part, hole))
    found = []
    for (role, size, depth), pairs in groups.items():
        refs = dict.fromkeys(part.ref for part, _ in pairs)
        through = _guides(design.model, {hole.holds for _, hole in pairs}, set(refs))
        found.append(Matched(words.holes[role], ", ".join(refs), ", ".join(through), size, depth,
                             str(len(pairs))))  # fmt: skip
    return tuple(found)


def _guides(model: Model, screws: set[str], without: set[str]) -> list[str]:
    """Pieces whose holes the same screws pass."""
    return [
        part.ref
        for part in model.parts
        if part.ref not in without and part.solid
        and any(hole.holds in screws for hole in part.solid.holes)
    ]  # fmt: skip
