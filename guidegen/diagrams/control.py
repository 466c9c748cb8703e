"""The control from the back: its lugs, and what is joined to them."""

from __future__ import annotations

from collections.abc import Sequence

from guidegen.design.model import Model, Part, owner
from guidegen.diagrams.dimension import rows_of_text
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip, width
from guidegen.diagrams.source import DesignLike, Link, called, links, minus, pin
from guidegen.diagrams.style import TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, circle, rectangle
from guidegen.diagrams.symbols import upright_resistor


def controls(design: DesignLike) -> list[Figure]:
    """Draw each control from the back with what is joined to its lugs: `control-back`, ..."""
    found = [part for part in design.model.by_role("control") if _lugs(design.model, part)]
    return [_control(design.model, part, number) for number, part in enumerate(found, 1)]


def _control(model: Model, part: Part, number: int) -> Figure:
    canvas = Canvas("control-back" if number == 1 else f"control-back-{number}")
    canvas.text((8, 18), clip(f"{part.ref} {called(part)}", TITLE, 340), size=TITLE)
    canvas.text((8, 38), "Seen from the back: lugs up, shaft away from you")
    lugs = _lugs(model, part)
    ends = [link for link in links(model) if part.ref in (owner(link.start), owner(link.end))]
    outer = [link for link in ends if owner(link.start) != owner(link.end)]
    own = [link for link in ends if owner(link.start) == owner(link.end)]
    top = 78 + 22 * len(outer) + 44 * len(own)
    xs = {key: 96.0 + 84 * number for number, key in enumerate(lugs)}
    short = _leads(canvas, model, outer, xs, top)
    _bridges(canvas, own, xs, 78 + 22 * len(outer))
    _can(canvas, xs, top)
    legs = [link.ref for link in ends if link.wire is None]
    notes = [f"{ref}: {called(model.part(ref))} {model.part(ref).rating}" for ref in legs]
    notes += short
    notes += ["Lug 2 is the wiper. Order of lugs: from memory;", "what the ohmmeter shows decides."]
    low = rows_of_text(canvas, notes, top + 246)
    return canvas.figure(
        low,
        f"Control {part.ref} from the back: lugs 1, 2 (wiper), 3 from left to right, with leads",
        "; ".join(f"{link.ref}: {link.start} to {link.end}" for link in ends),
        f"Control {part.ref} seen from the back, lugs up.",
    )


def _lugs(model: Model, part: Part) -> list[str]:
    return [terminal.key for terminal in model.terminals if terminal.part == part.ref][:3]


def _leads(
    canvas: Canvas, model: Model, outer: Sequence[Link], xs: dict[str, float], low: float
) -> list[str]:
    """Leads go up: right lug highest, its words to the left; then the left one, then the middle.

    Returns what found no room beside the lead of the right lug.
    """
    order = dict(zip(xs, (1, 2, 0), strict=False))
    last = max(xs.values())
    used: dict[str, int] = {}
    bodies: list[tuple[float, float]] = []

    def lug(link: Link) -> str:
        return link.start if link.start in xs else link.end

    ordered = sorted(outer, key=lambda link: order[lug(link)])
    left_out: list[str] = []
    right = max(xs, key=lambda key: xs[key])
    for number, link in enumerate(ordered):
        first = ordered[0]
        key = lug(link)
        y = 62 + 22 * number
        # Leads at one lug stand side by side.
        x = xs[key] - 10 + 6 * used.setdefault(key, 0)
        used[key] += 1
        canvas.line("wide", [(x, low + 4), (x, y)])
        far = link.end if key == link.start else link.start
        aside = -7 if xs[key] == last else 7
        text = f"{link.marks} to {minus(far)}"
        if link.wire is None:
            text = f"{link.ref}, then {_onward(model, far)}"
            bodies.append((x, (y + low) / 2 + 10))
        if 0 < number and x + aside + width(text, TEXT) > last - 14 and lug(first) == right:
            left_out.append(f"{text}.")
            text = link.marks
        canvas.text((x + aside, y + 8), text, "end" if aside < 0 else "start")
    for x, middle in bodies:
        upright_resistor(canvas, x, middle, 14)
    return left_out


def _onward(model: Model, key: str) -> str:
    """What is joined to the free leg of a resistor."""
    for link in links(model):
        if link.wire and key in (link.start, link.end):
            return f"{link.marks} to {minus(link.end if key == link.start else link.start)}"
    return "free"


def _bridges(canvas: Canvas, own: Sequence[Link], xs: dict[str, float], top: float) -> None:
    """Resistors from lug to lug, each on a level of its own."""
    low = top + 44 * len(own) + 4
    for number, link in enumerate(own):
        y = top + 30 + 44 * number
        aside = 11 - 5 * number
        a, b = sorted((xs[link.start] + aside, xs[link.end] + aside))
        canvas.line("wide", [(a, low), (a, y), (b, y), (b, low)])
        # Clear of the middle lug's lead.
        middle = (a + b) / 2 if b - a < 120 else a + (b - a) / 4
        if link.wire is None:
            canvas.box("body", Area(middle - 20, y - 7, middle + 20, y + 7))
        spots = [(middle + dx, y - 16) for dx in (0, -6, 6, -12, 12, -18, 18, -24, 24)]
        found = canvas.field.spot(link.marks, TEXT, spots)
        canvas.text(found or (middle, y - 12), link.marks, "middle")


def _can(canvas: Canvas, xs: dict[str, float], top: float) -> None:
    """The round case with its lugs."""
    middle = sum(xs.values()) / len(xs)
    canvas.shape("body", circle(middle, top + 134, 104))
    canvas.path("hidden", circle(middle, top + 134, 13))
    for key, x in xs.items():
        canvas.shape("body", rectangle(x - 16, top, 32, 52))
        canvas.shape("plate", circle(x, top + 12, 5))
        canvas.text((x, top + 42), pin(key), "middle")
    canvas.text((middle, top + 168), "shaft on the far side", "middle")
