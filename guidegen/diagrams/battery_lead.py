"""The lead at a battery: what stays with it, in order, with lengths and the fuse's place."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from guidegen.design.model import Conductor, Model, Part, owner
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.source import DesignLike, letter, minus, pin, pole, ranges, shown, words
from guidegen.diagrams.steps import Probed
from guidegen.diagrams.style import PHONE, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure
from guidegen.diagrams.symbols import ring

_COLUMNS = {"+": (44.0, "wide"), "-": (PHONE - 44.0, "minus")}
_HIGH, _GAP, _TOP = 46.0, 54.0, 40.0


def stays_there(model: Model) -> set[str]:
    """What the figure shows: the parts that stay with the battery, and the wires between them."""
    parts = {part.ref for part in _parts(model)}
    between = {wire.ref for wire in model.conductors
               if {owner(wire.start), owner(wire.end)} <= parts}  # fmt: skip
    return parts | between if between else set()


def battery_lead(
    design: DesignLike,
    name: str = "battery-lead",
    new: Collection[str] | None = None,
    probes: Sequence[Probed] = (),
) -> Figure | None:
    """Draw it; None where no conductor begins at the supply.

    Parameters
    ----------
    design : DesignLike
        The design.
    name : str
        Name of the figure.
    new : collection of str, optional
        What a step adds, in strong line, the rest thin; None: everything alike.
    probes : sequence of Probed
        Readings of the step, in words.
    """
    model = design.model
    parts = _parts(model)
    if len(parts) < 2:
        return None
    canvas = Canvas(name)
    canvas.text((8, 20), "At the battery, in this order; not to scale", size=TITLE)
    tops = {part.ref: _TOP + number * (_HIGH + _GAP) for number, part in enumerate(parts)}
    for part in parts:
        area = Area(8, tops[part.ref], PHONE - 8, tops[part.ref] + _HIGH)
        canvas.box("body" if new is None else "strong" if part.ref in new else "ghost", area)
        canvas.text((PHONE / 2, area.middle[1] + 5), clip(f"{part.ref} {words(part)}", TEXT, 140),
                    "middle")  # fmt: skip
    refs = [part.ref for part in parts]
    for wire in model.conductors:
        ends = [key for key in (wire.start, wire.end) if owner(key) in refs]
        if len(ends) == 2 and pole(wire.polarity):
            ends.sort(key=lambda key: refs.index(owner(key)))
            _wire(canvas, wire, ends, tops, None if new is None else wire.ref in new)
    notes = _notes(design)
    if new is not None:
        read = [f"{one.letter}: red on {minus(one.red)}, black on {minus(one.black)}."
                for one in probes]  # fmt: skip
        notes = [f"New: {ranges(ref for ref in model.refs() if ref in new)}.", *read, *notes]
    low = rows_of_text(canvas, wrapped(notes, PHONE - 16), max(tops.values()) + _HIGH + 10)
    return canvas.figure(
        low,
        f"Lead at the battery: {', '.join(refs)} in order, with wires and lengths",
        " ".join(notes),
        "What stays at the battery, from its poles on.",
    )


def _parts(model: Model) -> list[Part]:
    """From the battery over whatever follows to the first connector, as the conductors lead."""
    source = next((part for part in model.parts if letter(part.ref) == "G"), None)
    found = [source] if source else []
    for _ in model.parts:
        last = found[-1].ref if found else ""
        if not last or letter(last) == "X":
            break
        ends = [(owner(w.start), owner(w.end)) for w in model.conductors if w.polarity == "+"]
        known = {part.ref for part in found}
        after = [b if a == last else a for a, b in ends if last in (a, b)]
        following = [ref for ref in after if ref not in known and letter(ref) in "FQKX"]
        if not following:
            break
        found.append(model.part(following[0]))
    return found


def _wire(
    canvas: Canvas,
    wire: Conductor,
    ends: list[str],
    tops: dict[str, float],
    new: bool | None,
) -> None:
    """A straight line from box to box with number, sign, colour and length."""
    x, style = _COLUMNS[pole(wire.polarity)]
    if new is not None:
        style = ("new" if new else "faint") + ("-minus" if pole(wire.polarity) == "-" else "")
    y0, y1 = tops[owner(ends[0])] + _HIGH, tops[owner(ends[1])]
    skipped = [top for top in tops.values() if y0 < top < y1]
    if skipped:  # the negative conductor passes what breaks the positive one
        x += -22 if x > PHONE / 2 else 22
    canvas.line(style, [(x, y0), (x, y1)])
    side = 1 if x < PHONE / 2 else -1
    align = "start" if side > 0 else "end"
    for y, key, drop in ((y0, ends[0], -6), (y1, ends[1], 15)):
        ring(canvas, x, y)
        canvas.text((x + side * 8, y + drop), minus(pin(key)), align)
    texts = (f"{wire.ref} {minus(wire.polarity)} {wire.colour}", str(wire.length))
    middle = (y0 + y0 + _GAP) / 2
    for text, y in zip(texts, (middle - 3, middle + 14), strict=True):
        canvas.text((x + side * 9, y), text, align)


def _notes(design: DesignLike) -> list[str]:
    if not any(letter(part.ref) == "F" for part in _parts(design.model)):
        return ["No fuse stands in these wires."]
    lines = []
    most = shown(design, "fuse.from_battery")
    if most:
        lines.append(f"The fuse sits at most {most} of wire from the + pole: before it, nothing "
                     "guards the wire.")  # fmt: skip
    return [*lines, "The fuse goes in last."]
