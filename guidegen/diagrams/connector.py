"""Which contact is which: the supply's connector, seen from the front of its socket."""

from __future__ import annotations

from guidegen.design.contacts import positive_contact
from guidegen.design.model import Part, owner
from guidegen.diagrams.dimension import rows_of_text, titled, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.source import DesignLike, called, links, minus, pin, pole
from guidegen.diagrams.style import PHONE
from guidegen.diagrams.svg import Canvas, Figure, circle, sign

_X, _RADIUS = 110.0, 62.0


def connectors(design: DesignLike) -> list[Figure]:
    """Draw `connector`, `connector-2`, ... for each whose positive contact is known."""
    found: list[Figure] = []
    for part in design.model.by_role("connector"):
        positive = positive_contact(design, part)
        if positive:
            found.append(_draw(design, part, positive, len(found) + 1))
    return found


def _draw(design: DesignLike, part: Part, positive: str, number: int) -> Figure:
    canvas = Canvas("connector" if number == 1 else f"connector-{number}")
    down = titled(canvas, f"{part.ref} {called(part)}")
    canvas.text((8, down + 22), "The socket from its front, where the plug goes in")
    middle = down + 110
    if positive == "marked":
        words = _flat(canvas, middle)
    else:
        words = _barrel(canvas, middle, positive == "centre")
    notes = [f"{words}. From memory: what the meter shows in its step decides."]
    halves = [t for t in design.model.terminals if t.part == part.ref and pin(t.key)[:1] == "B"]
    if halves:
        notes.append(
            "The socket is the battery's half: its contacts lie deep in the shroud, so "
            "that no live pin stands open. The half with the pins goes to the light."
        )
    notes += _joined(design, part)
    low = rows_of_text(canvas, wrapped(notes, PHONE - 16), middle + 82)
    return canvas.figure(
        low,
        f"Connector {part.ref} from the front of the socket: {words[0].lower()}{words[1:]}",
        " ".join(notes),
        f"Polarity of {part.ref}, from the front of the socket.",
    )


def _barrel(canvas: Canvas, middle: float, centre: bool) -> str:
    """A pin in a round shell; returns the words for it."""
    canvas.shape("body", circle(_X, middle, _RADIUS))
    canvas.shape("plate", circle(_X, middle, _RADIUS - 12))
    canvas.shape("tinted", circle(_X, middle, 15))
    inner, outer = ("+", "-") if centre else ("-", "+")
    canvas.path("wide", sign(_X, middle, inner, 7), sign(_X, middle - _RADIUS + 6, outer, 4))
    for y, text, x in ((middle, "pin", _X + 15), (middle - _RADIUS + 6, "sleeve", _X + 24)):
        polarity = inner if text == "pin" else outer
        canvas.line("narrow", [(x + 2, y), (PHONE / 2 + 40, y)])
        canvas.text((PHONE / 2 + 46, y + 5), f"{minus(polarity)} on the {text}")
    return "The pin in the centre is +" if centre else "The sleeve is +, the pin is −"


def _flat(canvas: Canvas, middle: float) -> str:
    """Two openings side by side in a shroud, a contact deep in each, marked on the housing."""
    canvas.box("body", Area(_X - 70, middle - 34, _X + 70, middle + 34))
    for x, polarity in ((_X - 32, "+"), (_X + 32, "-")):
        canvas.box("body", Area(x - 22, middle - 9, x + 22, middle + 13))
        canvas.box("plate", Area(x - 15, middle - 3, x + 15, middle + 7))
        canvas.path("wide", sign(x, middle - 22, polarity, 5))
    canvas.text((_X, middle + 56), "signs as on the housing", "middle")
    return "Marked + and − on the housing; the sides may be exchanged"


def _joined(design: DesignLike, part: Part) -> list[str]:
    """What is joined to each contact."""
    lines = []
    for terminal in design.model.terminals:
        if terminal.part == part.ref:
            ends = [link for link in links(design.model) if terminal.key in (link.start, link.end)]
            marks = ", ".join(link.marks for link in ends if owner(terminal.key) == part.ref)
            name, sign_of = minus(pin(terminal.key)), minus(pole(terminal.polarity))
            shown = name if sign_of in name else f"{name} ({sign_of})"
            lines.append(f"{shown}: {marks or 'the plug'}.")
    return lines
