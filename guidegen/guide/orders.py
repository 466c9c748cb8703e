"""What is ordered: packs, coils, rolls and tins, on the totals of all copies with their spares."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.result import Design
from guidegen.guide.bench import Bench
from guidegen.guide.bill import SPARE_SHARE, Line, lines, packs
from guidegen.kinds import Count, Kind, LongMetre, Millilitre, kind_of

_COUNT, _LENGTH, _VOLUME = kind_of(Count), kind_of(LongMetre), kind_of(Millilitre)


@dataclass(frozen=True)
class Order:
    """One thing that is bought, whatever lines of the parts table it serves."""

    lines: str
    """Their numbers."""
    what: str
    need: str
    """For all copies, without spares."""
    spare: str
    sold: str
    """`singly`, `pack of 100`, `coil of 10 m`; empty where the plan counts what is bought."""
    buy: str


@dataclass(frozen=True)
class _Sold:
    """How a line is sold: so much at once, in this kind."""

    key: str
    """A phrase of the words: `singly`, `pack`, `coil`, `roll`, `tin`."""
    size: float
    kind: Kind
    each: float
    """Of one copy, in SI."""


def orders(design: Design, bench: Bench) -> tuple[Order, ...]:
    """Every line of the parts table once, equal things of several lines in one order.

    Packs follow from the total of all copies and its spares, never from one copy.
    """
    words = bench.chooser.words
    copies = int(design.values["making.copies"].si)
    groups: dict[tuple[str, str], list[tuple[int, Line, _Sold]]] = defaultdict(list)
    for number, line in enumerate(lines(design, bench), 1):
        sold = _sold(line, design, words)
        name = line.material or line.name
        groups[line.name if line.metres or line.for_all else name, sold.key].append(
            (number, line, sold)
        )
    return tuple(_order(what, group, copies, words) for (what, _), group in groups.items())


def _order(what: str, group: Sequence[tuple[int, Line, _Sold]], copies: int, words: Words) -> Order:
    numbers = ", ".join(str(number) for number, _, _ in group)
    _, first, sold = group[0]
    if first.for_all:
        return Order(numbers, what, first.for_all, "–", words.phrases["as_planned"], first.for_all)
    need = sum(one.each for _, _, one in group) * copies
    spare = _spare(group, need, copies)
    count = packs(need + spare, sold.size)
    return Order(
        numbers,
        what,
        sold.kind.text(need, toward="up"),
        sold.kind.text(spare, toward="up") if spare else "–",
        words.phrases[sold.key].format(size=sold.kind.text(sold.size)),
        _COUNT.text(count),
    )


def _spare(group: Sequence[tuple[int, Line, _Sold]], need: float, copies: int) -> float:
    sold = group[0][2]
    if sold.key == "singly":
        return sum(line.spare for _, line, _ in group)
    if group[0][1].metres:
        return sum(line.spare for _, line, _ in group) * copies
    # What comes in packs is dropped, cut askew or spilled now and then.
    spare = need * SPARE_SHARE
    return math.ceil(spare - 1e-9) if sold.kind is _COUNT else spare


def _sold(line: Line, design: Design, words: Words) -> _Sold:
    part = line.part
    if line.metres:
        coil = part.get("coil") if part else None
        return _Sold("coil", coil.si, _LENGTH, line.each) if coil else _Sold(
            "by_the_metre", 0.01, _LENGTH, line.each)  # fmt: skip
    if part is not None and part.kind == "coat":
        tin = words.consumables["paint"].pack / _VOLUME.scale
        each = _VOLUME.as_shown(design.values["coat.amount"].si * line.each, "up")
        return _Sold("tin", tin, _VOLUME, each)
    if part is not None and (roll := part.get("roll")):
        return _Sold("roll", roll.si, _LENGTH, line.along)
    if part is not None and (pack := part.get("pack")):
        return _Sold("pack", pack.si, _COUNT, line.each)
    return _Sold("singly", 1.0, _COUNT, line.each)
