"""The lead at a battery: what stays with it, in order, with lengths and the fuse's place.

The same drawing is the picture of every step that works on it, with what is new in strong line.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from guidegen.design.model import Conductor, Model, Part, owner
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip, width
from guidegen.diagrams.source import DesignLike, letter, minus, pin, pole, ranges, shown, words
from guidegen.diagrams.step_words import Probed, marks, part_lines, wire_lines
from guidegen.diagrams.style import PHONE, TEXT, TITLE, stepped
from guidegen.diagrams.svg import Canvas, Figure, circle
from guidegen.diagrams.symbols import ring

_COLUMNS = {"+": (44.0, "wide"), "-": (PHONE - 44.0, "minus")}
_HIGH, _GAP, _TOP = 58.0, 46.0, 40.0
#: From a conductor that passes a part by to the box of that part.
_BESIDE = 14.0
_SCENE = "At the battery, in this order; not to scale"


def battery_lead(design: DesignLike) -> Figure | None:
    """Draw it; None where no conductor begins at the supply."""
    lead = _Lead(design, "battery-lead", None)
    if len(lead.parts) < 2:
        return None
    lead.draw()
    notes = _notes(design)
    return lead.canvas.figure(
        lead.write(notes),
        f"Lead at the battery: {', '.join(lead.refs)} in order, with wires and lengths",
        " ".join(notes),
        "What stays at the battery, from its poles on.",
    )


def lead_refs(model: Model) -> set[str]:
    """The parts of the lead at the battery, their holders, and the conductors between them.

    Empty where no conductor begins at the supply.
    """
    parts = _parts(model)
    if len(parts) < 2:
        return set()
    refs = {part.ref for part in parts}
    held = {holder.ref for part in parts for holder in _holders(model, part)}
    return refs | held | {wire.ref for wire in _wires(model, refs)}


def lead_step(
    design: DesignLike, name: str, new: Collection[str], probes: Sequence[Probed] = ()
) -> Figure:
    """Draw the lead as the picture of a step: what is new in strong line, the rest thin.

    Parameters
    ----------
    design : DesignLike
        A design with a lead at its battery.
    name : str
        Name of the figure.
    new : collection of str
        References of parts and conductors that the step adds; empty: it only reads.
    probes : sequence of Probed
        Readings whose places are marked, as far as they lie here.
    """
    lead = _Lead(design, name, set(new), probes)
    lead.draw()
    said = [one.said(minus(one.red), minus(one.black)) for one in probes]
    notes = [*said, *part_lines(design.model, new), *wire_lines(design.model, new)]
    names = ranges(ref for ref in design.model.refs() if ref in new)
    drawn = f"{names} in strong line" if names else "where the probes go"
    return lead.canvas.figure(
        lead.write(notes),
        f"Step drawing, lead at the battery: {drawn}",
        f"In order: {', '.join(lead.refs)}. New: {names or 'nothing'}. " + " ".join(said),
        "At the battery. " + ("New in strong line; thin: what was there, or comes later."
                              if names else "Where the probes go."),
    )  # fmt: skip


def _parts(model: Model) -> list[Part]:
    """From the battery over whatever follows to the first connector, as the conductors lead."""
    source = next((part for part in model.parts if letter(part.ref) == "G"), None)
    found = [source] if source else []
    ends = [(owner(w.start), owner(w.end)) for w in model.conductors if w.polarity == "+"]
    for _ in model.parts:
        last = found[-1].ref if found else ""
        if not last or letter(last) == "X":
            break
        known = {part.ref for part in found}
        after = [b if a == last else a for a, b in ends if last in (a, b)]
        following = [ref for ref in after if ref not in known and letter(ref) in "FQKX"]
        if not following:
            break
        found.append(model.part(following[0]))
    return found


def _wires(model: Model, refs: Collection[str]) -> list[Conductor]:
    """The conductors of either pole between two of these parts."""
    return [wire for wire in model.conductors if pole(wire.polarity)
            and {owner(wire.start), owner(wire.end)} <= set(refs)
            and owner(wire.start) != owner(wire.end)]  # fmt: skip


def _holders(model: Model, part: Part) -> list[Part]:
    """What holds a part of the lead: the holder of its fuse."""
    return model.by_role(f"supply_{part.role}_holder")


class _Lead:
    """The drawing in the making; without `new` all of it is drawn alike."""

    def __init__(
        self, design: DesignLike, name: str, new: set[str] | None, probes: Sequence[Probed] = ()
    ) -> None:
        self.model, self.new = design.model, new
        self.canvas = Canvas(name)
        self.parts = _parts(self.model)
        self.refs = [part.ref for part in self.parts]
        self.wires = _wires(self.model, self.refs)
        self.tops = {ref: _TOP + n * (_HIGH + _GAP) for n, ref in enumerate(self.refs)}
        self.marks = marks(probes)

    def draw(self) -> None:
        """Boxes from the battery to the connector, then the conductors between them."""
        self.canvas.text((8, 20), _SCENE, size=TITLE)
        for part in self.parts:
            held = [part, *_holders(self.model, part)]
            area = self._area(part)
            self.canvas.box(self._style({one.ref for one in held}, "body", "strong", "ghost"), area)
            name = " in ".join(f"{one.ref} {words(one)}" for one in held)
            self.canvas.text((area.middle[0], area.middle[1] + 5),
                             clip(name, TEXT, area.width - 16), "middle")  # fmt: skip
        for wire in self.wires:
            ends = [(wire.start, wire.start_treatment), (wire.end, wire.end_treatment)]
            self._wire(wire, sorted(ends, key=lambda end: self.refs.index(owner(end[0]))))

    def _area(self, part: Part) -> Area:
        """The box of a part, short of the conductors that pass it by."""
        at, left, right = self.refs.index(part.ref), 8.0, PHONE - 8.0
        for wire in self.wires:
            first, last = sorted(self.refs.index(owner(key)) for key in (wire.start, wire.end))
            if first < at < last:
                x, _ = _COLUMNS[pole(wire.polarity)]
                left, right = (left, x - _BESIDE) if x > PHONE / 2 else (x + _BESIDE, right)
        return Area(left, self.tops[part.ref], right, self.tops[part.ref] + _HIGH)

    def write(self, notes: list[str]) -> float:
        """Write lines below the last box; returns where they end."""
        low = max(self.tops.values()) + _HIGH + 10
        return rows_of_text(self.canvas, wrapped(notes, PHONE - 16), low)

    def _style(self, refs: set[str], plain: str, strong: str, thin: str) -> str:
        if self.new is None:
            return plain
        return strong if refs & self.new else thin

    def _wire(self, wire: Conductor, ends: list[tuple[str, str]]) -> None:
        """A straight line from box to box with number, sign, colour and length."""
        sign = pole(wire.polarity)
        x, plain = _COLUMNS[sign]
        y0, y1 = self.tops[owner(ends[0][0])] + _HIGH, self.tops[owner(ends[1][0])]
        style = self._style({wire.ref}, plain, stepped(sign, True), stepped(sign, False))
        self.canvas.line(style, [(x, y0), (x, y1)])
        side = 1 if x < PHONE / 2 else -1
        align = "start" if side > 0 else "end"
        for y, (key, treatment), drop in ((y0, ends[0], -6), (y1, ends[1], 15)):
            held = self.marks.get(key, [])
            if held:
                self.canvas.path("solid", circle(x, y, 4))
            else:
                ring(self.canvas, x, y)
            text = minus(pin(key)) + (", lug" if "lug" in treatment else "")
            self.canvas.text((x + side * 8, y + drop), self._marked(text, held), align)
        texts = (f"{wire.ref} {minus(wire.polarity)} {wire.colour}", str(wire.length))
        middle = (y0 + y0 + _GAP) / 2
        for text, y in zip(texts, (middle - 3, middle + 14), strict=True):
            self.canvas.text((x + side * 9, y), text, align)

    @staticmethod
    def _marked(text: str, held: Sequence[str]) -> str:
        """A terminal's name and the probes that are held there, in half the box at the most."""
        if not held:
            return text
        long = f"{text}: {', '.join(held)}"
        letters = ", ".join(dict.fromkeys(mark.split(" ")[0] for mark in held))
        return long if width(long, TEXT) < PHONE / 2 - 64 else f"{text}: {letters}"


def _notes(design: DesignLike) -> list[str]:
    if not any(letter(part.ref) == "F" for part in _parts(design.model)):
        return ["No fuse stands in these wires."]
    rated, at = shown(design, "fuse.rating"), shown(design, "supply.highest")
    lines = [f"Fuse: {rated}, made for {at} DC or more."] if rated and at else []
    most = shown(design, "fuse.from_battery")
    if most:
        lines.append(f"The fuse sits at most {most} of wire from the + pole: before it, nothing "
                     "guards the wire.")  # fmt: skip
    return [*lines, "The fuse goes in last."]
