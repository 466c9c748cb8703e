"""What stands under the panel's drawing: pads, rails with their taps, insulation, free points."""

from __future__ import annotations

from collections.abc import Sequence

from guidegen.design.model import Conductor, Model, Part, owner
from guidegen.diagrams.rows_axis import pitch
from guidegen.diagrams.source import millimetres, minus, pin, ranges, words


def carries(model: Model) -> Part:
    """The part that the rows lie on."""
    boards = model.by_role("board")
    return boards[0] if boards else Part("", "board", "board")


def pitch_text(tapes: Sequence[Part], every: Sequence[Part]) -> str:
    """`11 × 15 mm = 165 mm`; for two rows only the pitch."""
    steps, step = len(tapes) - 1, pitch(every)
    text = millimetres(step)
    return f"{steps} × {text} = {millimetres(steps * step)}" if steps > 1 else text


def notes(model: Model, tapes: Sequence[Part], every: Sequence[Part]) -> list[str]:
    """All notes of one figure of the panel.

    Parameters
    ----------
    model : Model
        The model.
    tapes, every : sequence of Part
        The rows in this figure, and all rows, from top to bottom.
    """
    spacing = f"Row pitch {pitch_text(tapes, every)}. " if len(tapes) > 1 else ""
    first = tapes[0] is every[0]
    lines = [
        f"{spacing}Sizes are to centre lines of rows and rails.",
        *_offsets(model, tapes),
        f"{_pads(model, tapes)} Ringed pads are joined, the others stay free.",
        *(_rail(model, rail, tapes, first) for rail in model.by_role("rail")),
        "Crossed circle: through the board.",
    ]
    bent = [rail.ref for rail in model.by_role("rail") if rail.bends]
    if bent:
        lines.append(f"{ranges(bent)}: places of ends and bends in the table of the cutting page.")
    sleeves = [part.ref for part in model.parts if part.role == "sleeve"]
    if sleeves:
        lines.append(
            f"A jumper that crosses another rail wears a sleeve ({ranges(sleeves)}) there."
        )
    lines += _over(model)
    return lines + (_free(model) if first else [])


def _offsets(model: Model, tapes: Sequence[Part]) -> list[str]:
    """Where rows begin that do not all begin at one place."""
    places: dict[str, list[str]] = {}
    for part in tapes:
        if part.box:
            places.setdefault(millimetres(part.box.x - model.board.x), []).append(part.ref)
    if len(places) < 2:
        return []
    found = "; ".join(f"{ranges(refs)}: {place}" for place, refs in places.items())
    return [f"Left ends from the left edge of the board: {found}."]


def _pads(model: Model, tapes: Sequence[Part]) -> str:
    """The pads of the rows by name, from left to right, equal rows together."""
    kinds: dict[str, list[str]] = {}
    for part in tapes:
        pads = [t for t in model.terminals if t.part == part.ref]
        pads.sort(key=lambda t: t.at[0] if t.at else 0.0)
        kinds.setdefault(", ".join(minus(t.name) for t in pads), []).append(part.ref)
    found = [f"{ranges(refs)}: {names}" for names, refs in kinds.items()]
    return f"Pads from left to right, {'; '.join(found)}."


def _rail(model: Model, rail: Part, tapes: Sequence[Part], first: bool) -> str:
    """What is joined to a rail, tap by tap, as far as its rows stand in this figure."""
    shown = {part.ref for part in tapes}
    kinds: dict[tuple[str, bool], list[tuple[Conductor, str]]] = {}
    for terminal in model.terminals:
        if terminal.part != rail.ref:
            continue
        for wire in model.conductors:
            if terminal.key not in (wire.start, wire.end):
                continue
            far = owner(wire.end if wire.start == terminal.key else wire.start)
            jumper = wire.role == "jumper"
            if far in shown if jumper else first:
                kinds.setdefault((wire.colour, jumper), []).append((wire, terminal.key))
    parts = [
        ranges(wire.ref for wire, _ in found)
        + (f" ({colour}) at " if colour else " at ")
        + ("taps " if jumper and len(found) > 1 else "tap " if jumper else "")
        + _at(found)
        for (colour, jumper), found in kinds.items()
    ]
    where = " on the back" if rail.side == "back" else ""
    return f"{rail.ref} {minus(rail.polarity)}{where} takes {'; '.join(parts) or 'nothing here'}."


def _at(found: Sequence[tuple[Conductor, str]]) -> str:
    """Names of the terminals, in the order of the conductors; one that all share once."""
    names = [pin(key) for _, key in found]
    return names[0] if len(set(names)) == 1 else ranges(names)


def _over(model: Model) -> list[str]:
    """What covers the rails once they are tested."""
    rails = {part.ref for part in model.by_role("rail")}
    over = [part for part in model.parts if part.on in rails and part.covers]
    found = [f"{part.ref} over {part.on}" for part in over]
    name = words(over[0]) if over else ""
    return [f"After the tests, {name}: {', '.join(found)}."] if found else []


def _free(model: Model) -> list[str]:
    """Terminals that nothing is joined to, of parts that no conductor reaches."""
    reached = {owner(joint.terminal) for joint in model.joints}
    reached |= {part.ref for part in model.parts if part.row or part.ref[:1] in "GR"}
    free = [terminal.key for terminal in model.terminals if terminal.part not in reached]
    return [f"Nothing is joined at {', '.join(free)}: a place for a probe."] if free else []
