"""What must hold of any circuit: joined ends, one pole a net, room between bare metal, length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from guidegen.calc import geometry, segments
from guidegen.design import panels, rail_lines
from guidegen.design.beside_checks import fed_before
from guidegen.design.growing import SCREW
from guidegen.design.model import Conductor, Model, Part, minus, owner
from guidegen.design.result import PRACTICE, Desk, Finding, Mend, Section
from guidegen.islands import Islands
from guidegen.kinds import Count, FineMetre, Metre
from guidegen.spec.model import Fixture

#: Ends under one screw, each in its ferrule or two in a twin ferrule; a junction has two screws
#: for each pole (common practice, no source).
MOST_ENDS = 2
#: Parts of which some terminals stay free: row ends that are not fed, a module's pads for a
#: control that it does not get, the metal of a board, of a film on it or of a sink.
MAY_STAY_FREE = ("row", "regulator", "board", "lining", "heat_sink")
#: Roles whose length the spec can say, and where.
LENGTHS = {"feed": "chain.feed.length", "lead": "chain.lead.length"}


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Check the circuit that was built; it enters findings, and what the tightest of them found."""
    desk = Desk("circuit rules", fixture, before)
    model: Model = desk.result("circuit")
    _whole(desk, model)
    _crowded(desk, model)
    _reach(desk, model)
    _apart(desk, model)
    return desk.section()


def _whole(desk: Desk, model: Model) -> None:
    """One sentence for what a wrong circuit would show, and for a sound one."""
    cores = int(desk["feed.cores"].si) if "feed.cores" in desk else 1
    faults = [*free(model), *wrong_poles(model), *joined_poles(model), *doubled(model, cores),
              *split_feeds(model)]  # fmt: skip
    level = "stop" if faults else "holds"
    counted = "counted in the model"
    desk.find(Finding("circuit-whole", level, place=desk.fixture.place("chain"), names={
        "faults": tuple(faults), "kept": not faults,
        "terminals": desk.given("circuit.terminals", Count, len(model.terminals), counted),
        "joints": desk.given("circuit.joints", Count, len(model.joints), counted),
    }))  # fmt: skip


def free(model: Model) -> list[str]:
    """Terminals that nothing is joined to, and that should be."""
    roles = {part.ref: part.role for part in model.parts}
    joined = {joint.terminal for joint in model.joints}
    # A plug that goes into the supply joins it without a conductor.
    mated = {"supply"} if model.by_role("connector") else set()
    return [t.key for t in model.terminals
            if t.key not in joined and roles[t.part] not in mated
            and not (t.unused and roles[t.part] in MAY_STAY_FREE)]  # fmt: skip


def wrong_poles(model: Model) -> list[str]:
    """Conductors of one pole that end at a terminal of the other."""
    return [wire.ref for wire in model.conductors if wire.polarity in ("+", "-")
            and {model.terminal(end).polarity for end in (wire.start, wire.end)}
            - {wire.polarity, ""}]  # fmt: skip


def joined_poles(model: Model) -> list[str]:
    """Terminals of both poles that conductors join to one net: a short."""
    nets = Islands((wire.start, wire.end) for wire in model.conductors)
    for rail in model.by_role("rail"):
        nets.join([terminal.key for terminal in model.terminals if terminal.part == rail.ref])
    poles: dict[str, set[str]] = {}
    for terminal in model.terminals:
        poles.setdefault(nets.root(terminal.key), set()).add(terminal.polarity)
    return [key for key, found in poles.items() if {"+", "-"} <= found]


def doubled(model: Model, cores: int = 1) -> list[str]:
    """Conductors between two ends that others join already; so many cores may feed a rail."""
    pairs = Counter(frozenset((wire.start, wire.end)) for wire in model.conductors)
    return [w.ref for w in model.conductors
            if pairs[frozenset((w.start, w.end))] > (cores if w.role == "feed" else 1)]  # fmt: skip


def split_feeds(model: Model) -> list[str]:
    """Feeds of one pole that do not begin where the first one does: past a stage, or before it."""
    first: dict[str, str] = {}
    return [wire.ref for wire in model.wires("feed")
            if first.setdefault(wire.polarity, wire.start) != wire.start]  # fmt: skip


def _crowded(desk: Desk, model: Model) -> None:
    """The screw with the most ends under it."""
    ends = Counter(joint.terminal for joint in model.joints if joint.kind == SCREW)
    if not ends:
        return
    key, most = max(ends.items(), key=lambda item: item[1])
    two_sided = model.part(owner(key)).role == "junction"
    room = desk.given("screw.room", Count, 2 * MOST_ENDS if two_sided else MOST_ENDS, PRACTICE)
    found = desk.given("screw.ends", Count, most, "counted in the model")
    desk.limit("screw-crowded", room, found, terminal=minus(key),
               place=desk.fixture.place("rows.1.fed_from"),
               mends=(Mend({"rows.1.fed_from": "opposite ends"}), *fed_before(desk)))  # fmt: skip


def _reach(desk: Desk, model: Model) -> None:
    """The conductor with the least to spare between its ends."""
    spans = {wire.ref: span for wire in model.conductors if (span := _span(model, wire))}
    if not spans:
        return
    wires = {wire.ref: wire for wire in model.conductors}
    ref = min(spans, key=lambda ref: (wires[ref].length.si - np.hypot(*spans[ref]), ref))
    wire, (along, across) = wires[ref], spans[ref]
    ends = "places of its ends"
    apart = desk.work("wire.span", geometry.diagonal,
                      width=desk.given("wire.along", Metre, along, ends),
                      height=desk.given("wire.across", Metre, across, ends))  # fmt: skip
    path = LENGTHS.get(wire.role)
    desk.limit("wire-too-short", apart, wire.length, at_most=False, wire=ref, role=wire.role,
               place=desk.fixture.place(path) if path else None,
               mends=(Mend({path: "auto"}),) if path else ())  # fmt: skip


def _span(model: Model, wire: Conductor) -> tuple[float, float] | None:
    ends = [model.terminal(key).at for key in (wire.start, wire.end)]
    if ends[0] is None or ends[1] is None:
        return None
    (x0, y0), (x1, y1) = ends[0], ends[1]
    return abs(x1 - x0), abs(y1 - y0)


@dataclass(frozen=True)
class Bare:
    """A straight stretch of bare live metal on one face of the board."""

    name: str
    polarity: str
    side: str
    ends: tuple[float, float, float, float]
    """x0, y0, x1, y1. [m]"""
    half: float = 0.0
    """Half its thickness. [m]"""
    row: int = 0
    """Pads of one row are as far apart as the tape was made."""


def _apart(desk: Desk, model: Model) -> None:
    """The nearest pair of bare conductors of different poles."""
    nearest = _nearest(list(bare_metal(desk, model)))
    if nearest is None:
        return
    first, second, distance = nearest
    found = desk.given("bare.nearest", FineMetre, distance, "places on the board")
    insulated = Mend({"wiring.jumpers.conductor": "hook-up"})
    wider = Mend({"rows.1.pitch": "auto"})
    farther = Mend({"wiring.rails.offset": "9 mm"})
    desk.limit("bare-clearance", desk["limits.clearance"], found, at_most=False,
               first=first.name, second=second.name, mends=(insulated, wider, farther),
               place=desk.fixture.place("wiring"))  # fmt: skip


def _nearest(metal: list[Bare]) -> tuple[Bare, Bare, float] | None:
    best: tuple[Bare, Bare, float] | None = None
    for side in ("front", "back"):
        plus, minus = ([b for b in metal if (b.side, b.polarity) == (side, pole)] for pole in "+-")
        if not plus or not minus:
            continue
        gaps = segments.distances(np.array([b.ends for b in plus]),
                                  np.array([b.ends for b in minus]))  # fmt: skip
        halves = np.add.outer([b.half for b in plus], [b.half for b in minus])
        rows = np.equal.outer([b.row or -1 for b in plus], [b.row for b in minus])
        gaps = np.where(rows, np.inf, np.maximum(gaps - halves, 0.0))
        at = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
        found = float(gaps[at])
        if np.isfinite(found) and (best is None or found < best[2]):
            best = plus[at[0]], minus[at[1]], found
    return best


def bare_metal(desk: Desk, model: Model) -> Iterator[Bare]:
    """Rails, jumpers and pads that nothing insulates when the joints are made.

    A pad that nothing is joined to is as live as its row.
    """
    parts = {part.ref: part for part in model.parts}
    for rail in model.by_role("rail"):
        for (x0, y0), (x1, y1) in pairwise(rail.line) if rail.bare else ():
            yield Bare(rail.ref, rail.polarity, rail.side, (x0, y0, x1, y1), _half(desk, rail))
    for terminal in model.terminals:
        part = parts[terminal.part]
        if part.role == "row" and terminal.at:
            name, ends = minus(terminal.key), (*terminal.at, *terminal.at)
            yield Bare(name, terminal.polarity, "front", ends, row=part.row)
    yield from _jumpers(desk, model, parts)


def _half(desk: Desk, rail: Part) -> float:
    """Half the width of a rail's bare metal, heads of its screws included. [m]."""
    assert rail.solid is not None
    # Any straight piece is as wide across as the whole is in its narrowest piece.
    wide = min(min(piece.size[:2]) for piece in rail.solid.filled)
    head = desk["rail.screw_head"].si if desk.fact("bars_screwed") else 0.0
    return max(wide, head) / 2


def _jumpers(desk: Desk, model: Model, parts: dict[str, Part]) -> Iterable[Bare]:
    """Bare ones; where one crosses another rail it wears a sleeve, and is bare no more."""
    rails = rail_lines.all_rails(desk)
    second = {tap for place in rails if place.second for tap in place.taps}
    through = {(p.panel, p.polarity): p for p in rails if p.side == "middle"}
    for wire in model.wires("jumper"):
        tap, pad = model.terminal(wire.start), model.terminal(wire.end)
        if not wire.bare or tap.at is None or pad.at is None or tap.at in second:
            continue
        rail = through.get((panels.of_row(desk, wire.row)[0], wire.polarity))
        if rail is not None:
            hole = rail_lines.jumper_hole(desk, rail, wire.row)
            yield Bare(wire.ref, wire.polarity, "front", (*pad.at, *hole), row=wire.row)
            yield Bare(wire.ref, wire.polarity, "back", (*hole, *tap.at), row=wire.row)
        else:
            yield Bare(wire.ref, wire.polarity, "front", (*pad.at, *tap.at), row=wire.row)
