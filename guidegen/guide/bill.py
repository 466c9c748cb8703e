"""What is bought: every part of a copy, totals for all copies, packs, and where it is used."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.making import Cutting
from guidegen.design.model import Conductor, Part
from guidegen.design.result import Design
from guidegen.errors import Place
from guidegen.guide.bench import Bench
from guidegen.guide.fittings import fittings, wider
from guidegen.guide.meter import meter_needs
from guidegen.guide.selectors import ranges
from guidegen.guide.speech import EXTENSION
from guidegen.guide.step import Step, Tool
from guidegen.guide.used import used_in
from guidegen.kinds import Count, LongMetre, kind_of
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue, catalogue_part
from guidegen.values import shown_band

#: Bought one over the need, or a share of it (project default).
SPARE_SHARE = 0.1
SPARE_ROLES = {"fuse": 1, "across_resistor": 1, "end_resistor": 1}
_WORDS = Place("templates/words/en.yaml")
#: Roles that lie within another bought part, or are cut from stock that has a line of its own.
INSIDE = frozenset({"wiper_tie"})


@dataclass(frozen=True)
class Item:
    """One line of the parts table."""

    number: int
    name: str
    refs: str
    material: str
    at_least: str
    each: str
    spare: str
    total: str
    steps: str


@dataclass(frozen=True)
class Supply:
    """A consumable or a tool over the whole guide."""

    name: str
    amount: str
    steps: str
    check: str = ""
    pack: str = ""
    packs: str = ""
    at_least: str = ""
    """Of a consumable: what it must fit."""


def items(design: Design, steps: Sequence[Step], bench: Bench) -> tuple[Item, ...]:
    """Every bought part, then stock by the piece and by the metre."""
    copies = int(design.values["making.copies"].si)
    used = used_in(steps, design.model)
    return tuple(
        Item(
            number,
            line.name,
            ranges(line.refs, bench.chooser.words) if line.refs else "–",
            "" if line.material in line.name else line.material,
            line.at_least,
            line.each_text,
            line.spare_text,
            line.total_text(copies),
            ", ".join(_steps_of(line.refs, used)) or "–",
        )
        for number, line in enumerate(lines(design, bench), 1)
    )


def lines(design: Design, bench: Bench) -> list[Line]:
    """What the parts table lists, in its order."""
    pieces = _pieces(design, bench)
    # What is chosen with care comes first, then stock, then screws and the like.
    small = [line for line in pieces if line.refs[0].startswith("H")]
    chosen = [line for line in pieces if line not in small]
    return [*chosen, *_stock(design, bench.chooser.words), *_metres(design, bench), *small]


@dataclass(frozen=True)
class Line:
    """One line of the parts table, not yet in words."""

    name: str
    refs: tuple[str, ...]
    material: str
    at_least: str
    each: float
    spare: float = 0.0
    metres: bool = False
    for_all: str = ""
    """What all copies need, where it is no plain sum: sheets, bars, reels."""
    part: CataloguePart | None = None
    """Its data sheet, which says how it is sold."""
    along: float = 0.0
    """Length that its pieces take of a roll, for one copy. [m]."""

    def _text(self, number: float) -> str:
        kind = kind_of(LongMetre) if self.metres else kind_of(Count)
        return kind.text(number)

    @property
    def each_text(self) -> str:
        """For one copy."""
        return self._text(self.each) if self.each else "–"

    @property
    def spare_text(self) -> str:
        """Over the need."""
        return self._text(self.spare) if self.spare else "–"

    def total_text(self, copies: int) -> str:
        """For all copies, spares in."""
        if self.for_all:
            return self.for_all
        total = self.each * copies + self.spare * (copies if self.metres else 1)
        return self._text(total if self.metres else math.ceil(total))


def _pieces(design: Design, bench: Bench) -> list[Line]:
    """Bought parts, equal ones on one line."""
    groups: dict[tuple[str, str, str], list[Part]] = defaultdict(list)
    for part in design.model.parts:
        if not part.made and part.role not in INSIDE:
            groups[part.role, part.key, part.rating].append(part)
    by_ref = {part.ref: part for part in design.model.parts}
    return [_piece(role, parts, by_ref, bench) for (role, _, _), parts in groups.items()]


def _piece(role: str, parts: list[Part], by_ref: Mapping[str, Part], bench: Bench) -> Line:
    words = bench.chooser.words
    count = sum(part.count for part in parts)
    first = parts[0]
    known = first.stock or _known(first.key)
    material = first.material or (known.label if known else words.role(role).one)
    if first.rating:
        material = f"{material}, {first.rating}"
    least, along = at_least(role, bench, known), 0.0
    if known is not None and known.get("roll"):
        along = sum(_along(part, by_ref) for part in parts)
        length = kind_of(LongMetre).text(along, toward="up")
        least = words.phrases["of_a_roll"].format(least=least, length=length)
    return Line(
        words.role(role).one,
        tuple(part.ref for part in parts),
        material,
        least,
        count,
        SPARE_ROLES.get(role, 0),
        part=known,
        along=along,
    )


def _along(part: Part, by_ref: Mapping[str, Part]) -> float:
    """Length of tape that a strip takes: what it lies along, and a hand's width over. [m]."""
    if part.size:
        return part.size[0].si * part.count
    host = by_ref.get(part.on)
    longest = max((size.si for size in host.size), default=0.0) if host else 0.0
    return (longest + 0.1) * part.count


def _known(key: str) -> CataloguePart | None:
    """The catalogue's part; None for a maker's own, whose sheet the design keeps to itself."""
    try:
        return catalogue_part(key) if key else None
    except KeyError:
        return None


def _conductor(label: str) -> CataloguePart | None:
    return next((one for one in catalogue("conductor") if one.label == label), None)


def at_least(role: str, bench: Bench, known: CataloguePart | None = None) -> str:
    """What a substitute must reach, in words and numbers.

    Raises
    ------
    ContentError
        If the words name a value that this design has not.
    """
    said = bench.chooser.words.ratings.get(role)
    if not said:
        return known.words.get("rating", "–") if known else "–"
    return str(bench.renderer.text(said, _WORDS, bench.speech().context()))


def _stock(design: Design, words: Words) -> list[Line]:
    """Sheets, bars and reels, as the cutting plans need them for all copies."""
    cutting: Cutting = design.result("making")
    found = []
    for work in cutting.sheets:
        label = f"{work.part.label}, {work.thickness}"
        sheets = (sheet.stock.name for sheet in work.plan.sheets)
        warmth = work.part.get("highest_temperature")
        least = f"{work.thickness}, {warmth}" if warmth else str(work.thickness)
        found.append(Line(label, _refs(p.label for p in work.pieces), label, least, 0.0,
                          for_all=_counted(sheets)))  # fmt: skip
    for bar in cutting.bars:
        label = bar.part.label
        least = f"{bar.part['width']} × {bar.part['thickness']}"
        if bar.part.words.get("section") == "round":
            least = words.phrases["round_bar"].format(size=bar.part["width"])
        found.append(Line(label, _refs(p.label for p in bar.pieces), label, least, 0.0,
                          for_all=_counted(b.stock.name for b in bar.plan.bars)))  # fmt: skip
    films = [part for part in design.model.by_role("lining") if part.stock]
    if films and films[0].stock:
        length = design.values["lining.length"].si * len(design.model.panels)
        found.append(Line(films[0].stock.label, tuple(part.ref for part in films),
                           films[0].stock.label, films[0].stock.words.get("rating", "–"), length,
                           length * SPARE_SHARE, metres=True))  # fmt: skip
    if cutting.reels is not None:
        tape = design.fixture.rows.tape
        rows = tuple(part.ref for part in design.model.by_role("row"))
        reels = _counted(str(tape["reel"]) for _ in cutting.reels.plan.bars)
        found.append(Line(tape.label, rows, tape.label,
                           tape_must(tape, words),
                           len(rows) * design.values["row.length"].si,
                           metres=True, for_all=reels))  # fmt: skip
    return found


def tape_must(tape: CataloguePart, words: Words) -> str:
    """What another tape must have: more power than computed would overheat, so it must be equal."""
    said = words.phrases
    power, flux, track = (shown_band(tape[name]) for name in ("power", "flux", "track_resistance"))
    colour = tape.get("colour_temperature")
    shown = shown_band(colour) if colour is not None else None
    return said["tape_must"].format(
        voltage=tape["voltage"], power=said["from_to"].format(low=power.low, high=power.high),
        increment=tape["increment"], leds=tape["leds_per_group"], width=tape["width"],
        kind=said["tape_held" if tape.get("chip_dropout") is not None else "tape_resistors"],
        flux=flux.low, rendering=tape["rendering"], highest=tape["highest_voltage"],
        track=track.high,
        colour=said["tape_colour"].format(low=shown.low, high=shown.high) if shown else "",
    )  # fmt: skip


def _refs(labels: Iterable[str]) -> tuple[str, ...]:
    return tuple(ref for label in labels for ref in label.split("/"))


def _counted(names: Iterable[str]) -> str:
    """`3 × 600 mm × 400 mm, 1 × ...`."""
    counts: dict[str, int] = defaultdict(int)
    for name in names:
        counts[name] += 1
    return "; ".join(f"{count} of {name}" for name, count in counts.items())


def _metres(design: Design, bench: Bench) -> list[Line]:
    """Wire by material, size and colour."""
    groups: dict[tuple[str, str, str], list[Conductor]] = defaultdict(list)
    for wire in design.model.conductors:
        # A twin cable is bought by its length, whatever its cores are used for.
        colour = wire.colour if wire.cores == 1 else ""
        groups[wire.material, wire.size_text, colour].append(wire)
    found = []
    for (material, size, colour), wires in groups.items():
        length = _cable(wires)
        name = _colours(wires, bench) if not colour else bench.chooser.words.colours.get(
            colour, colour)  # fmt: skip
        cable = _conductor(material)
        least = f"{size}, {cable['temperature']}" if cable else size
        refs = tuple(wire.ref for wire in wires)
        found.append(Line(f"{material}, {size}, {name}", refs, material, least, length,
                          length * SPARE_SHARE, metres=True, part=cable))  # fmt: skip
    rails = design.model.by_role("rail")
    # Bars are cut from bars, which have a line of their own.
    if rails and not design.facts["rail_bar"]:
        length = sum(rail.size[0].si for rail in rails)
        found.append(Line(f"{rails[0].material}, {rails[0].rating}", tuple(r.ref for r in rails),
                          rails[0].material, rails[0].rating, length, length * SPARE_SHARE,
                          metres=True, part=_conductor(rails[0].material)))  # fmt: skip
    return found


def _cable(wires: Sequence[Conductor]) -> float:
    """Length of cable: of a twin one, what its more used core needs."""
    if wires[0].cores == 1:
        return sum(wire.length.si for wire in wires)
    by_colour: dict[str, float] = defaultdict(float)
    for wire in wires:
        by_colour[wire.colour] += wire.length.si
    return max(by_colour.values())


def _colours(wires: Sequence[Conductor], bench: Bench) -> str:
    said = bench.chooser.words.colours
    return " + ".join(dict.fromkeys(said.get(wire.colour, wire.colour) for wire in wires))


def _steps_of(refs: Iterable[str], used: Mapping[str, list[str]]) -> list[str]:
    found = {number for ref in refs for number in used.get(ref, ())}
    return sorted(found, key=lambda number: [int(part) for part in number.split(".")])


def tools(steps: Sequence[Step], bench: Bench) -> tuple[Supply, ...]:
    """Every tool, what it must reach in this fixture, what to look at before, and its steps."""
    found: dict[str, list[Step]] = defaultdict(list)
    known: dict[str, Tool] = {}
    for step in steps:
        for tool in step.tools:
            found[tool.id].append(step)
            known.setdefault(tool.id, tool)
    # Fault finding reads along the supply's wires, whatever the steps read.
    extension = bench.chooser.words.tools[EXTENSION]
    known.setdefault(EXTENSION, Tool(EXTENSION, extension.name, extension.check))
    found.setdefault(EXTENSION, [])
    said, stop = bench.chooser.words.tools, bench.values["tape.highest_voltage"].si
    context = {**bench.speech().context(), "meter": meter_needs(steps, stop)}
    place = Place("templates/words/en.yaml")
    return tuple(
        Supply(known[name].name, bench.renderer.text(said[name].needs, place, context),
               ", ".join(step.number for step in needing) or bench.chooser.words.phrases["finding"],
               known[name].check)
        for name, needing in found.items()
    )  # fmt: skip


def packs(total: float, pack: float) -> int:
    """The least number of packs that holds a total, both in one unit.

    A total that a pack holds but for rounding errors needs no second one.
    """
    return math.ceil(total / pack - 1e-9)


def consumables(steps: Sequence[Step], design: Design, words: Words) -> tuple[Supply, ...]:
    """Every consumable, its amount for one copy and for all, and the packs that hold it."""
    found: dict[str, list[tuple[Step, float]]] = defaultdict(list)
    kinds = {}
    fit = fittings(design, steps, words)
    copies = int(design.values["making.copies"].si)
    for step in steps:
        for use in step.consumables:
            found[use.id].append((step, use.amount.si))
            kinds[use.id] = use
    result = []
    for name, uses in found.items():
        kind = kinds[name].amount.kind
        # As it is printed for one copy, so that copies times it is what is printed for all.
        amount = kind.as_shown(sum(number for _, number in uses), "up")
        once = words.consumables[name].once
        pack = words.consumables[name].pack / kind.scale
        # Each size is a pack of its own: so many more than one size hold whatever each one takes.
        sizes = fit.get(name, ())
        # What a bench keeps is used up once, and nothing of it is spilled copy by copy.
        whole = amount if once else amount * copies * (1 + SPARE_SHARE)
        said = words.phrases["each_bench"] if once else "{amount}"
        each, all_, count = (
            said.format(amount=text)
            for text in (kind.text(amount, toward="up"),
                         kind.text(amount if once else amount * copies, toward="up"),
                         kind_of(Count).text(packs(whole, pack) + len(sizes[1:])))
        )  # fmt: skip
        fits = "; ".join((*sizes, *wider(name, words)))
        result.append(Supply(kinds[name].name, each, ", ".join(step.number for step, _ in uses),
                             all_, kind.text(pack), count, fits))  # fmt: skip
    return tuple(result)
