"""The workings page: every result with its formula, its numbers and its source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeGuard

from markupsafe import Markup

from guidegen.content.files import SearchPath, read
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.design.result import Design
from guidegen.design.solved_checks import BY_HAND
from guidegen.design.solved_panel import OF, SOURCE
from guidegen.design.tape_law import CHIP
from guidegen.kinds import FineMetre, Hour, Minute, kind_of
from guidegen.values import (
    Given,
    Result,
    Value,
    is_formula,
    printed_inputs,
    redo,
    references,
    shown_band,
    substituted,
    summary,
    written,
)
from guidegen.values import givens as rests_on


@dataclass(frozen=True)
class Working:
    """One computed value."""

    anchor: str
    name: str
    what: str
    formula: Markup
    """Empty where the law is a search, a look-up or a solver."""
    sum: Markup
    described: str
    """Plain words, where there is no formula."""
    symbols: tuple[tuple[Markup, str, str], ...]
    """(symbol, name, number with unit) of every input."""
    result: str
    low: str
    high: str
    source: str


@dataclass(frozen=True)
class Assumed:
    """A given: what it is, its value and band, and where it comes from."""

    anchor: str
    name: str
    value: str
    low: str
    high: str
    source: str


def workings(design: Design, words: Words, search: SearchPath) -> tuple[Working, ...]:
    """Every result, in the order in which it was computed.

    Raises
    ------
    ContentError
        If the text that stands for a solver's formula can't be read.
    """
    return tuple(
        _working(value, words, search)
        for value in design.values.values()
        if isinstance(value, Result)
    )


@dataclass(frozen=True)
class SolvedValue:
    """What the panel's network gives, with a sum by hand beside it."""

    anchor: str
    name: str
    value: str
    low: str
    """Of its band; empty where it has none."""
    high: str
    by_hand: Working | None
    """None where the worst case has no shorter way: then its likely band's own sum stands."""


def solved(design: Design, words: Words, search: SearchPath) -> tuple[SolvedValue, ...]:
    """Everything that the network of the panel gives, in the order in which it was solved.

    Raises
    ------
    ContentError
        If the text that stands for a solver's formula can't be read.
    """
    found = []
    for value in design.values.values():
        if not is_solved(value):
            continue
        plain = BY_HAND + value.name.partition(".")[2].removesuffix("_worst")
        check = design.values.get(plain) or design.values.get(f"{plain}_high")
        band = shown_band(value)
        low, high = (band.low, band.high) if value.band != (value.si, value.si) else ("", "")
        found.append(SolvedValue(
            value.anchor, called(value, words), str(value), low, high,
            _working(check, words, search) if isinstance(check, Result) else None,
        ))  # fmt: skip
    return tuple(found)


def is_solved(value: Value) -> TypeGuard[Given]:
    """Whether the panel's network gave it."""
    return isinstance(value, Given) and value.source.startswith(SOURCE)


def network_of(design: Design, words: Words) -> tuple[tuple[str, str, str], ...]:
    """(anchor, name, value) of all that the network is made of."""
    names = (*OF, *(name for name in CHIP if name in design.values), "network.ideality",
             "network.temperature")  # fmt: skip
    named = [design.values[name] for name in names]
    return tuple((one.anchor, called(one, words), str(one)) for one in named)


def _symbol(name: str, words: Words) -> str:
    return words.symbols.get(name, name.replace("_", " "))


def _working(value: Result, words: Words, search: SearchPath) -> Working:
    formula = total = Markup("")
    described = ""
    if is_formula(value.law):
        symbols = {name: f"<var>{_symbol(name, words)}</var>" for name in value.inputs}
        formula, total = Markup(written(value.law, symbols)), Markup(substituted(value))
    else:
        described = _described(value.law.__name__, search)
    printed = printed_inputs(value)
    band = shown_band(value)
    return Working(
        value.anchor,
        called(value, words),
        summary(value.law),
        formula,
        total,
        described,
        tuple(
            (Markup(f"<var>{_symbol(name, words)}</var>"), called(item, words),
             printed[name])
            for name, item in value.inputs.items()
            if isinstance(item, Value)
        ),
        str(value),
        band.low,
        band.high,
        references(value.law),
    )  # fmt: skip


def _described(law: str, search: SearchPath) -> str:
    name = f"workings/{law}.md"
    file = search.words(name)
    return " ".join(read(search, name, file).body.split()) if file else ""


def called(value: Value, words: Words) -> str:
    """A value's name for the reader: from the words of the language, else made of its id."""
    said = words.values.get(value.name)
    if said:
        return said
    solved_one = value.name.replace(BY_HAND, "network.").removesuffix("_high")
    if value.name.startswith(BY_HAND) and solved_one in words.values:
        return f"{words.phrases['by_hand']}: {words.values[solved_one]}"
    where, _, what = value.name.partition(".")
    plain = what.replace("_", " ").replace(".", " ")
    return f"{where.replace('_', ' ')}: {plain}" if plain else where.replace("_", " ")


def givens(design: Design, words: Words) -> tuple[Assumed, ...]:
    """Every given, with its band and source."""
    found = []
    for value in design.values.values():
        if isinstance(value, Given) and not is_solved(value):
            band = shown_band(value)
            low, high = (band.low, band.high) if value.band != (value.si, value.si) else ("", "")
            found.append(Assumed(value.anchor, called(value, words), str(value), low, high,
                                 value.source))  # fmt: skip
    return tuple(found)


def choices(design: Design, words: Words) -> tuple[tuple[str, str, str], ...]:
    """(what, chosen, against what) of every `auto`."""
    return tuple(
        (
            words.choices.get(choice.id, choice.id.replace(".", ": ").replace("_", " ")),
            choice.chosen,
            f"{called(choice.wanted, words)}: {choice.wanted}" if choice.wanted else "–",
        )
        for choice in design.choices
    )


def designations(design: Design, words: Words) -> tuple[tuple[str, str], ...]:
    """(letter, meaning) of every reference designation in the guide.

    Raises
    ------
    KeyError
        If the words of the language have no meaning for a letter.
    """
    letters = sorted({ref[0] for ref in design.model.refs()})
    return tuple((letter, words.letters[letter]) for letter in letters)


def hours(number: float) -> str:
    r"""A time as a page shows it: minutes below two hours.

    Examples
    --------
    >>> hours(1.5)
    '90\xa0min'
    """
    if number < 2:
        return kind_of(Minute).text(number * 60, toward="up")
    return kind_of(Hour).text(number, toward="up")


def sizes(design: Design, words: Words) -> tuple[tuple[str, str, str, str], ...]:
    """(reference, what, material, size) of every piece that is cut here, wires apart."""
    found = []
    for part in design.model.parts:
        if part.made and part.size and part.role != "row":
            texts = [str(value) for value in part.size]
            found.append((part.ref, part.called or words.role(part.role).one, part.material or "–",
                          " × ".join(texts)))  # fmt: skip
    return tuple(found)


#: How much thicker a sheet is taken to be, to see what follows. [m].
THICKER = 0.001


def by_thickness(design: Design, words: Words) -> list[dict[str, str]]:
    """Sizes that follow from the real thickness of a sheet or strip, and by how much.

    A size does so if it changes when the given thickness is moved: the design's own sum, done
    once more. One line for equal sizes of parts of a role.
    """
    found: dict[tuple[str, str, str], list[str]] = {}
    more: dict[tuple[str, str, str], str] = {}
    for part in design.model.parts:
        for size in part.size if part.made and part.role not in ("row", "rail") else ():
            for thickness in (one for one in rests_on(size) if one.name.endswith(".thickness")):
                change = redo(size, {thickness: thickness.si + THICKER}, {}) - size.si
                if thickness is size or abs(change) < THICKER / 10:
                    continue
                key = (part.called or words.role(part.role).one, str(size), thickness.name)
                found.setdefault(key, []).append(part.ref)
                way = words.phrases["larger" if change > 0 else "smaller"]
                more[key] = f"{size.kind.text(abs(change))} {way}"
    return [
        {
            "refs": ", ".join(dict.fromkeys(refs)),
            "what": what,
            "size": size,
            "of": called(design.values[name], words),
            "planned": str(design.values[name]),
            "change": more[what, size, name],
        }
        for (what, size, name), refs in found.items()
    ]


def places_on_board(design: Design, words: Words) -> tuple[tuple[str, str, str], ...]:
    """(what, x, y) of what is marked on the board; from its lower left corner, seen from the front.

    Rows and rails by their ends, what stands on the board by its lower left corner.
    """
    return tuple(line for one in design.model.panels for line in _on_panel(one, words))


def _on_panel(model: Model, words: Words) -> list[tuple[str, str, str]]:
    """What is marked on the board of one panel."""
    said, edge = words.places, model.board

    def line(key: str, ref: str, x: float, y: float) -> tuple[str, str, str]:
        text = kind_of(FineMetre).text
        return said[key].format(ref=ref), text(x - edge.x), text(y - edge.y)

    rows = [row for row in model.by_role("row") if row.box]
    found = []
    for row in (rows[0], rows[-1]) if len(rows) > 1 else rows:
        assert row.box
        found.append(line("row", row.ref, row.box.x, row.box.y + row.box.height / 2))
    for rail in model.by_role("rail"):
        if rail.line:
            # A straight rail runs upward; where one bends, the table of bends says.
            found.append(line("rail_first" if rail.bends else "rail", rail.ref, *rail.line[0]))
    # A box beside the light has no place on the board.
    lids = [] if model.by_role("bottom") else model.by_role("lid")
    layers = [*model.by_role("mount_layer"), *model.by_role("mount_pocket")]
    # Layers that stand on the board's edge: the lowest has the block's corner.
    blocks = model.by_role("mount_block") or sorted(
        layers, key=lambda part: part.box.y if part.box else 0.0)[:1]  # fmt: skip
    pieces = [part for role in ("handle_block", "piece") for part in model.by_role(role)]
    for part, key in (
        *((lid, "box") for lid in lids),
        *((b, "mount") for b in blocks),
        *((piece, f"piece_{piece.side}") for piece in pieces),
    ):
        if part.box:
            found.append(line(key, part.ref, part.box.x, part.box.y))
    return found
