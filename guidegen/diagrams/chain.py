"""Block diagram: the way of the energy, with volts and amperes at each arrow."""

from __future__ import annotations

from guidegen.design.model import Model, Part, owner
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.schematic import chain_parts
from guidegen.diagrams.schematic_parts import kind_of
from guidegen.diagrams.source import (
    DesignLike,
    letter,
    pole,
    ranges,
    shown,
    words,
)
from guidegen.diagrams.style import PHONE
from guidegen.diagrams.svg import Canvas, Figure, arrow

#: A supply's voltage, the highest first.
_SOURCE = ("battery.full_voltage", "adapter.voltage", "supply.voltage", "battery.voltage")
_LEFT, _RIGHT, _HIGH, _GAP = 40, PHONE - 40, 46, 44


def chain(design: DesignLike) -> Figure | None:
    """Draw the chain from the source at the top to the rows at the bottom; None without a chain."""
    canvas, model = Canvas("chain"), design.model
    blocks = _blocks(design)
    if len(blocks) < 2:
        return None
    top = 8.0
    for number, (refs, title, detail) in enumerate(blocks):
        lines = [line.strip() for line in wrapped([title, detail], _RIGHT - _LEFT - 12)]
        high = _HIGH + 18 * (len(lines) - 2)
        canvas.box("body", Area(_LEFT, top, _RIGHT, top + high))
        for row, line in enumerate(lines):
            canvas.text((PHONE / 2, top + 19 + 18 * row), line, "middle")
        top += high
        if number + 1 < len(blocks):
            canvas.line("wide", [(100, top), (100, top + _GAP - 6)])
            canvas.path("solid", arrow((100, top + _GAP), 90, 9))
            canvas.text((116, top + 18), _volts(design, refs[0]))
            canvas.text((116, top + 36), _amperes(design, model, refs[0], blocks[number + 1][0]))
            top += _GAP
    order = [title for _, title, _ in blocks]
    top = rows_of_text(canvas, wrapped(_taps(model), PHONE - 16), top + 4)
    return canvas.figure(
        top + 8,
        f"Block diagram: energy from {order[0]} to {order[-1]}, volts and amperes at each arrow",
        "Order: " + ", then ".join(order),
        "The way of the energy, with the highest expected volts and amperes.",
    )


def _blocks(design: DesignLike) -> list[tuple[list[str], str, str]]:
    """(references, title, detail) of each block in the order of the current."""
    model = design.model
    found = [
        ([p.ref], f"{p.ref} {p.name.replace('_', ' ')}", p.rating or p.material)
        for p in _in_line(model)
    ]
    rails, rows = model.by_role("rail"), model.by_role("row")
    if rails:
        material = rails[0].material
        found.append(([p.ref for p in rails], f"{ranges(p.ref for p in rails)} rails", material))
    if rows:
        sizes = " × ".join(str(size) for size in rows[0].size[:1])
        detail = f"{len(rows)} × {sizes}" if sizes else ""
        found.append(([p.ref for p in rows], f"{ranges(p.ref for p in rows)} rows of tape", detail))
    return found


def _in_line(model: Model) -> list[Part]:
    """What the rows' current flows through: a part that is only tapped stands aside."""
    return [part for part in chain_parts(model) if kind_of(model, part) != "shunt"]


def _taps(model: Model) -> list[str]:
    """Parts that take their current from the chain, and what they hang on."""
    refs = {part.ref: part for part in chain_parts(model) if kind_of(model, part) == "shunt"}
    lines = []
    for ref, part in refs.items():
        ends = {owner(key) for wire in model.conductors for key in (wire.start, wire.end)
                if ref in (owner(wire.start), owner(wire.end))} - {ref}  # fmt: skip
        ends -= set(list(refs)[list(refs).index(ref) + 1 :])  # what hangs on it in its turn
        lines.append(f"{ref} {words(part)} hangs on {', '.join(sorted(ends))}.")
    return lines


def _after(model: Model, ref: str, pulses: bool) -> bool:
    """Whether a block stands at or behind a regulator, or the stage that sends pulses."""
    line = _in_line(model)
    refs = [part.ref for part in line]
    found = [part.ref for part in line
             if letter(part.ref) == "T" and ("pulse" in part.role) is pulses]  # fmt: skip
    return bool(found) and (ref not in refs or refs.index(ref) >= refs.index(found[0]))


def _volts(design: DesignLike, ref: str) -> str:
    """The voltage that leaves a block."""
    if _after(design.model, ref, pulses=False):
        low = shown(design, "control.low_output", "regulator.wanted_low")
        high = shown(design, "control.high_output", "regulator.wanted_high", "tape.voltage")
    else:
        low = shown(design, "supply.lowest", "battery.empty_voltage")
        high = shown(design, "supply.highest", *_SOURCE)
    text = f"{low} to {high}" if low and high and low != high else high
    return f"{text}, in pulses" if text and _after(design.model, ref, pulses=True) else text


def _amperes(design: DesignLike, model: Model, ref: str, after: list[str]) -> str:
    """The current between two blocks: of the conductor that joins them, else of all rows.

    Feeds share it, and so do jumpers.
    """
    found = [
        wire
        for wire in model.conductors
        if pole(wire.polarity) == "+" and {owner(wire.start), owner(wire.end)} >= {ref, after[0]}
    ]
    if found and found[0].role not in ("feed", "jumper"):
        return f"up to {found[0].current}"
    if _after(model, ref, pulses=False):
        text = shown(design, "panel.current") or (str(found[0].current) if found else "")
    else:
        before = next((wire for wire in model.conductors if wire.polarity == "+"), None)
        text = shown(design, "input.highest_current", "input.current")
        text = text or (str(before.current) if before and before.role == "lead" else "")
    return f"up to {text}" if text else ""
