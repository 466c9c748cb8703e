"""Every conductor from terminal to terminal, as straight lines between boxes; not to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from guidegen.design.model import Model, Part
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    letter,
    links,
    minus,
    pin,
    ranges,
    words,
)
from guidegen.diagrams.style import SHEET, TALL, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure
from guidegen.diagrams.symbols import through, upright_resistor

_ROW, _HEAD, _APART = 24, 24, 12
_BOX, _STUB = 172, 90
_TOP = 52.0
#: Room of one column, its notes left out.
_MOST = TALL - 130.0
#: What stands left while both columns have room: the way from the supply to the converters.
_LEFT = "GXFQKW"


@dataclass(frozen=True)
class Block:
    """A box with its terminals, and the conductors at each."""

    title: str
    ends: tuple[tuple[str, str, tuple[Link, ...]], ...]
    """Terminal key, the text that stands for it, and what is joined there."""
    rail: bool = False
    left: bool = True

    @property
    def high(self) -> float:
        """Height of the box."""
        return _HEAD + _ROW * sum(max(len(links), 1) for _, _, links in self.ends)


@dataclass
class Column:
    """Boxes one below another, with a row for each conductor's end."""

    edge: float
    """x where the conductors leave."""
    way: int
    """+1: they leave to the right."""
    top: float
    ends: dict[tuple[str, str], float] = field(default_factory=dict)
    """y of each (terminal, conductor)."""


def wiring(design: DesignLike) -> list[Figure]:
    """Draw all connections but the jumpers, as `wiring-back`, `wiring-back-2`, ..."""
    model = design.model
    joined = [link for link in links(model) if not (link.wire and link.wire.role == "jumper")]
    if not joined:
        return []
    # Rows and what carries them stand in the panel's figure.
    parts = [part for part in model.parts if letter(part.ref) not in "EU"]
    blocks = [block for part in parts if (block := _block(model, part, joined)).ends]
    pages = _pages(blocks)
    return [_page(pages, number, joined) for number in range(len(pages))]


def _block(model: Model, part: Part, joined: Sequence[Link]) -> Block:
    """A part with its terminals; of a rail those that are joined here."""
    ends = []
    for terminal in model.terminals:
        if terminal.part == part.ref:
            found = tuple(link for link in joined if terminal.key in (link.start, link.end))
            if found or part.role != "rail":
                ends.append((terminal.key, minus(pin(terminal.key)), found))
    name = " ".join(text for text in (part.ref, minus(part.polarity), words(part)) if text)
    return Block(name, tuple(ends), part.role == "rail", letter(part.ref) in _LEFT)


def _tall(blocks: Sequence[Block]) -> float:
    return sum(block.high + _APART for block in blocks)


def _pages(blocks: Sequence[Block]) -> list[list[Block]]:
    """As few figures as the sheet allows, in the order of the current."""
    if _tall(blocks) <= 2 * (_MOST - 90):  # the columns differ by a part at the most
        return [list(blocks)]
    pages: list[list[Block]] = [[]]
    for block in blocks:
        # A figure that leads on needs room for the list of what lies elsewhere.
        if pages[-1] and _tall([*pages[-1], block]) > 2 * _MOST * 0.8:
            pages.append([])
        pages[-1].append(block)
    return pages


def _columns(blocks: Sequence[Block]) -> tuple[list[Block], list[Block]]:
    """Supply left and control right; where that is too tall, in two equal columns."""
    sides = [b for b in blocks if b.left], [b for b in blocks if not b.left]
    if max(_tall(side) for side in sides) <= _MOST:
        return sides
    left: list[Block] = []
    for block in blocks:
        if _tall(left) + block.high / 2 > _tall(blocks) / 2:
            break
        left.append(block)
    return left, list(blocks[len(left) :])


def _page(pages: Sequence[Sequence[Block]], number: int, joined: Sequence[Link]) -> Figure:
    own = {key for block in pages[number] for key, _, _ in block.ends}
    here = [link for link in joined if {link.start, link.end} & own]
    away = _elsewhere(here, own)
    left, right = _columns([*pages[number], *away])
    canvas = Canvas("wiring-back" if number == 0 else f"wiring-back-{number + 1}", SHEET)
    part = f", part {number + 1} of {len(pages)}" if len(pages) > 1 else ""
    canvas.text((8, 20), f"Conductors, terminal to terminal{part}; not to scale", size=TITLE)
    columns = Column(8 + _BOX, 1, _TOP), Column(SHEET - 8 - _BOX, -1, _TOP)
    for column, blocks in zip(columns, (left, right), strict=True):
        for block in blocks:
            _draw(canvas, column, block)
    _tracks(canvas, here, *columns)
    notes = ["Solid +, dashed −, dotted: control. Lines that cross without a dot do not join.",
             "Every conductor bears number, pole and colour at both ends.",
             *_plugged(pages[number]), *_colours(here)]  # fmt: skip
    low = rows_of_text(canvas, wrapped(notes, SHEET - 16), max(c.top for c in columns) + 4)
    names = ranges(link.ref for link in here)
    return canvas.figure(
        low,
        f"Wiring drawing{part}: conductors {names} from terminal to terminal",
        "; ".join(f"{link.marks}: {link.start} to {link.end}" for link in here),
        f"Wiring{part}. Every conductor bears its number at both ends.",
    )


def _elsewhere(here: Sequence[Link], own: set[str]) -> list[Block]:
    """A box that stands for the terminals of other figures."""
    far: dict[str, list[Link]] = {}
    for link in here:
        for key in (link.start, link.end):
            if key not in own:
                far.setdefault(key, []).append(link)
    if not far:
        return []
    ends = tuple((key, minus(key), tuple(found)) for key, found in far.items())
    return [Block("In another figure", ends, left=False)]


def _plugged(blocks: Sequence[Block]) -> list[str]:
    """A supply that no conductor is joined to."""
    free = [block for block in blocks if not any(found for _, _, found in block.ends)]
    return [f"{block.title}: plugged in, no wire is joined to it."
            for block in free if block.title.startswith("G")]  # fmt: skip


def _colours(joined: Sequence[Link]) -> list[str]:
    """The letters of the colours in words, after IEC 60757 (from memory)."""
    names = {"BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow",
             "GN": "green", "BU": "blue", "VT": "violet", "GY": "grey", "WH": "white",
             "PK": "pink", "TQ": "turquoise"}  # fmt: skip
    used = {link.wire.colour for link in joined if link.wire}
    known = [f"{short} {names[short]}" for short in names if short in used]
    return [f"Colours: {', '.join(known)}."] if known else []


def _draw(canvas: Canvas, column: Column, block: Block) -> None:
    """Draw a box with its terminals, and note where each conductor's end is."""
    x = column.edge - _BOX if column.way > 0 else column.edge
    canvas.box("body", Area(x, column.top, x + _BOX, column.top + block.high))
    canvas.text((x + 6, column.top + 17), clip(block.title, TEXT, _BOX - 12))
    y = column.top + _HEAD + _ROW / 2 - 2
    align = "end" if column.way > 0 else "start"
    for key, text, found in block.ends:
        canvas.text((column.edge - column.way * 8, y + 5), clip(text, TEXT, _BOX - 40), align)
        for link in found or (None,):
            if block.rail:
                through(canvas, column.edge, y)
            if link:
                column.ends[key, link.ref] = y
            y += _ROW
    column.top += block.high + _APART


def _tracks(canvas: Canvas, joined: Sequence[Link], left: Column, right: Column) -> None:
    """Lead every conductor over a vertical track of its own between the columns."""
    start, end = left.edge + _STUB, right.edge - _STUB
    step = (end - start) / (len(joined) + 1)
    resistors: list[tuple[float, float, float]] = []
    for number, link in enumerate(sorted(joined, key=lambda link: _order(link, left, right)), 1):
        x = start + step * number
        places = []
        for key in (link.start, link.end):
            column = left if (key, link.ref) in left.ends else right
            if (key, link.ref) in column.ends:
                places.append((column, column.ends[key, link.ref]))
        (one, y0), (other, y1) = places
        style = {"+": "wide", "-": "minus"}.get(link.polarity, "signal")
        canvas.line(style, [(one.edge, y0), (x, y0), (x, y1), (other.edge, y1)])
        for column, y in places:
            _stub(canvas, link, column, y)
        if link.wire is None:
            resistors.append((x, y0, y1))
    for x, y0, y1 in resistors:
        # Between two rows, so that no other conductor seems to end in the resistor.
        rows = round(abs(y1 - y0) / _ROW)
        upright_resistor(canvas, x, min(y0, y1) + _ROW * ((rows - 1) // 2 + 0.5), 9)


def _stub(canvas: Canvas, link: Link, column: Column, y: float) -> None:
    align = "start" if column.way > 0 else "end"
    text = clip(link.marks, TEXT, _STUB - 8)
    canvas.text((column.edge + column.way * 7, y - 4), text, align)


def _order(link: Link, left: Column, right: Column) -> tuple[int, float]:
    """Links within a column stay near it, short ones nearest; the others lie between."""
    sides, ys = [], []
    for key in (link.start, link.end):
        for column in (left, right):
            if (key, link.ref) in column.ends:
                sides.append(column.way)
                ys.append(column.ends[key, link.ref])
    span = max(ys) - min(ys) if ys else 0
    if sides == [1, 1]:
        return 0, span
    return (2, -span) if sides == [-1, -1] else (1, -sum(ys))
