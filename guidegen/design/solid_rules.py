"""What must hold of any body: parts that fit, sound holes, screws that hold, metal kept away."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from guidegen.calc import boxes
from guidegen.calc.boxes import Floats
from guidegen.design import cooling, metal_rules, outlines, placed, rail_rules
from guidegen.design.metal_rules import AUTO_BOARD, NO_HANDLES, NO_MOUNT, NO_PIECES
from guidegen.design.model import Model, Opening, Part
from guidegen.design.result import Desk, Finding, Mend, Section
from guidegen.design.solid import AXES, Hole, Solid
from guidegen.spec.model import Fixture

#: Less than this is a slip of rounding, not of the body. [m].
SLIP = 1e-5
#: Wood round a hole, and before the tip of a screw. [m] (common practice, no source).
LEAST_WALL, LEAST_TIP = 0.001, 0.001
#: From the middle of a screw to the edge of the piece that it holds in, in diameters; and how far
#: it must reach in (common practice, no source).
EDGE_DIAMETERS, REACH_DIAMETERS = 1.5, 2.5
SEPARATE = Mend({"body.enclosure.side": "separate"})
AUTO_BOX = Mend({"body.enclosure.width": "auto", "body.enclosure.height": "auto",
                 "body.enclosure.depth": "auto"})  # fmt: skip
NO_HOLES = Mend({"body.board.holes": "[]"})


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Check the body that was built; it enters findings, and what the tightest of them found."""
    desk = Desk("solid rules", fixture, before)
    model: Model = desk.result("circuit")
    for one in _judged(model):
        desk.find(Finding(one.id, one.level if one.faults else "holds",
                          place=fixture.place("body"),
                          names={"faults": tuple(dict.fromkeys(one.faults))[:MOST_TOLD],
                                 "kept": not one.faults},
                          mends=one.mends if one.faults else ()))  # fmt: skip
    metal_rules.judge(desk, model)
    rail_rules.judge_holes(desk, model)
    cooling.judge(desk, model)
    return desk.section()


#: A finding names no more than these: the rest is like them.
MOST_TOLD = 6


@dataclass(frozen=True)
class Judged:
    """One rule and what breaks it."""

    id: str
    level: str
    faults: list[str]
    mends: tuple[Mend, ...] = ()


def _judged(model: Model) -> tuple[Judged, ...]:
    away = (AUTO_BOX, AUTO_BOARD, SEPARATE, NO_HANDLES, NO_PIECES, NO_MOUNT)
    holes = [*misses(model), *meetings(model), *thin_walls(model)]
    return (
        Judged("parts-collide", "stop", collisions(model), away),
        Judged("holes-apart", "stop", holes, (AUTO_BOX, AUTO_BOARD, NO_HOLES, NO_MOUNT)),
        Judged("holes-open", "stop", blocked(model), away),
        Judged("screws-inside", "stop", [*come_out(model), *too_short(model)]),
        Judged("lid-opens", "stop", over_lid(model), (NO_HANDLES, NO_PIECES, SEPARATE)),
        Judged("size-as-drawn", "stop", wrong_sizes(model)),
        Judged("cover-over-rows", "stop", uncovered(model), (AUTO_BOARD,)),
        Judged("rail-on-board", "stop", rail_rules.off_board(model),
               (rail_rules.STRAIGHT, AUTO_BOARD)),
        Judged("rail-straight", "stop", rail_rules.bent_bars(model), (rail_rules.STRAIGHT,)),
        Judged("screw-edge", "advice", near_edges(model)),
        # The rim is glued before these screws are driven: neither bit nor driver gets there.
        Judged("screw-under-rim", "stop", under_rim(model), (NO_MOUNT, NO_HANDLES)),
        Judged("screw-under-row", "advice", under_rows(model),
               (Mend({"body.mount.edge": "top"}), NO_MOUNT)),
        Judged("hole-under-row", "advice", holes_under_rows(model), (NO_HOLES,)),
        Judged("on-the-board", "advice", overhanging(model),
               (AUTO_BOARD, NO_PIECES, NO_HANDLES)),
    )  # fmt: skip


def _pairs(deep: Floats, least: float) -> Iterator[tuple[int, int]]:
    """Each pair once."""
    for first, second in np.argwhere(np.triu(deep, 1) > least):
        yield int(first), int(second)


def collisions(model: Model) -> list[str]:
    """Pairs of parts in one another's place, `U1 and U2`, but for what sits in a hole."""
    found = placed.placed(model)
    if not found:
        return []
    low, high = placed.corners([solid for _, solid in found])
    return [
        f"{found[a][0].ref} and {found[b][0].ref}"
        for a, b in _pairs(boxes.overlaps(low, high, low, high), SLIP)
        if found[a][0].ref != found[b][0].ref and not _in_hole(found[a], found[b])
    ]


def _in_hole(first: tuple[Part, Solid], second: tuple[Part, Solid]) -> bool:
    """Whether what two parts share is a hole of one of them, or one holds the other."""
    low = [max(a, b) - SLIP for a, b in zip(first[1].low, second[1].low, strict=True)]
    high = [min(a, b) + SLIP for a, b in zip(first[1].high, second[1].high, strict=True)]
    for (part, _), (other, _) in ((first, second), (second, first)):
        for one in part.openings:
            free = all(one.low[a] - 2 * SLIP <= low[a] and high[a] <= one.high[a] + 2 * SLIP
                       for a in range(3))  # fmt: skip
            if one.hole.holds == other.ref or (free and outlines.frees(one.hole, low, high)):
                return True
    return False


def misses(model: Model) -> list[str]:
    """Holes that are not wholly in their part, or do not begin on one of its faces."""
    found = []
    for one in placed.openings(model):
        solid, axis = one.part.solid, AXES.index(one.hole.axis)
        assert solid is not None
        faces = (solid.low[axis], solid.high[axis])
        on_face = min(abs(one.hole.at[axis] - face) for face in faces) <= SLIP
        # A notch is open at the edge that it is made from.
        open_edge = one.hole.role == "rail_notch"
        if not on_face or (one.margins[0] < -SLIP and not open_edge):
            found.append(one.name)
    return found


def thin_walls(model: Model) -> list[str]:
    """Holes with too little wood beside them."""
    found = [
        (one, one.margins[0]) for one in placed.openings(model) if one.hole.role != "rail_notch"
    ]
    return [one.name for one, left in found if -SLIP <= left < LEAST_WALL - SLIP]


def meetings(model: Model) -> list[str]:
    """Pairs of holes of one part that run into one another, but for a pocket round its hole."""
    found = []
    by_part: dict[str, list[Opening]] = {}
    for one in placed.openings(model):
        by_part.setdefault(one.part.ref, []).append(one)
    for ref, mine in by_part.items():
        low, high = (np.array([getattr(one, end) for one in mine]) for end in ("low", "high"))
        for a, b in _pairs(boxes.overlaps(low, high, low, high), SLIP):
            first, second = mine[a].hole, mine[b].hole
            pocket = "_pocket" in first.role + second.role and first.holds == second.holds
            if not pocket and not outlines.apart(first, second):
                found.append(f"{ref}: {_called(first)} and {_called(second)}")
    return found


def _called(hole: Hole) -> str:
    return hole.role.replace("_", " ")


def blocked(model: Model) -> list[str]:
    """Holes for wires whose mouth another part covers."""
    wires = [one for one in placed.openings(model) if one.hole.role in ("feed", "jumper")
             and one.part.role == "board"]  # fmt: skip
    if not wires:
        return []
    # A hole that is made a hair longer on both sides meets what lies on its mouths.
    low, high = (np.array([getattr(one, end) for one in wires]) for end in ("low", "high"))
    low[:, 2] -= 2 * SLIP
    high[:, 2] += 2 * SLIP
    # A film is cut open over every hole.
    others = [
        (part, solid)
        for part, solid in placed.placed(model)
        if part.role not in ("board", "lining")
    ]
    if not others:
        return []
    deep = boxes.overlaps(low, high, *placed.corners([solid for _, solid in others]))
    return [f"{wires[a].name} under {others[b][0].ref}" for a, b in np.argwhere(deep > SLIP)
            if not _in_notch(wires[a], others[b][0])]  # fmt: skip


def _in_notch(wire: Opening, over: Part) -> bool:
    """Whether the part over a hole has a notch there."""
    return any(
        notch.low[0] <= wire.low[0] + SLIP and wire.high[0] <= notch.high[0] + SLIP
        for notch in over.openings if notch.hole.role == "rail_notch"
    )  # fmt: skip


def _screws(model: Model) -> Iterable[Opening]:
    """Holes that a screw holds in."""
    return (one for one in placed.openings(model)
            if one.hole.role.endswith("_pilot") or one.hole.role == "standoff")  # fmt: skip


def come_out(model: Model) -> list[str]:
    """Screws that come out of the piece that they hold in."""
    found = []
    for one in _screws(model):
        solid, depth = one.part.solid, one.hole.depth
        assert solid is not None
        if (
            depth is not None
            and depth.si > solid.size[AXES.index(one.hole.axis)] - LEAST_TIP + SLIP
        ):
            found.append(one.name)
    return found


def too_short(model: Model) -> list[str]:
    """Screws that hardly reach into the piece that they hold in; a module's may be short."""
    # One that has come through a layer holds in that, however little it reaches into the next.
    through = {(one.hole.holds, *one.hole.at[:2]) for one in _screws(model)
               if one.hole.depth is None}  # fmt: skip
    return [
        one.name for one in _screws(model)
        if one.hole.depth is not None and one.hole.role != "standoff"
        and one.hole.depth.si < REACH_DIAMETERS * one.hole.width.si
        and (one.hole.holds, *one.hole.at[:2]) not in through
    ]  # fmt: skip


def near_edges(model: Model) -> list[str]:
    """Screws nearer to an edge of their piece than one and a half diameters of the pilot hole."""
    found = [(one, one.hole.width.si) for one in _screws(model)]
    return [one.name for one, wide in found
            if one.margins[0] + wide / 2 < EDGE_DIAMETERS * wide - SLIP]  # fmt: skip


def heads(model: Model) -> list[Opening]:
    """Screws whose heads lie on the light side of the board."""
    return [one for one in placed.openings(model)
            if one.part.role == "board" and one.hole.countersink is not None
            and abs(one.hole.at[2]) <= SLIP]  # fmt: skip


def _head_boxes(found: Sequence[Opening]) -> tuple[Floats, Floats]:
    """Outlines of heads on the board's face, (n, 2)."""
    at = np.array([one.hole.at[:2] for one in found], dtype=np.float64).reshape(-1, 2)
    half = np.array([one.hole.countersink.si / 2 for one in found if one.hole.countersink])
    return at - half[:, None], at + half[:, None]


def heads_under(model: Model, role: str) -> list[str]:
    """Heads of screws that parts of a role lie on."""
    found = heads(model)
    return _under(model, role, found, *_head_boxes(found))


def _under(model: Model, role: str, found: list[Opening], low: Floats, high: Floats) -> list[str]:
    """Which of some outlines on the board's face parts of a role lie on."""
    over = [(part, part.solid) for part in model.by_role(role) if part.solid]
    if not found or not over:
        return []
    left, right = placed.corners([solid for _, solid in over])
    deep = boxes.overlaps(low, high, left[:, :2], right[:, :2])
    return [f"{found[a].name} under {over[b][0].ref}" for a, b in np.argwhere(deep > SLIP)]


def under_rows(model: Model) -> list[str]:
    """Heads of screws that a row of tape would lie on."""
    return heads_under(model, "row")


def holes_under_rows(model: Model) -> list[str]:
    """Own holes of a board, open to the light side, that a row of tape would lie over."""
    found = [
        one for one in placed.openings(model) if one.hole.role == "own" and one.part.role == "board"
    ]
    low, high = (np.array([getattr(one, end)[:2] for one in found], dtype=np.float64).reshape(-1, 2)
                 for end in ("low", "high"))  # fmt: skip
    return _under(model, "row", found, low, high)


def under_rim(model: Model) -> list[str]:
    """Heads of screws that a strip of the rim lies on."""
    return heads_under(model, "border")


def over_lid(model: Model) -> list[str]:
    """Parts that stand in the way of the lid as it is lifted off."""
    found = []
    for lid in model.by_role("lid"):
        solid = lid.solid
        if solid is None:
            continue
        # All that lies outside of the lid, as far as anything goes.
        way = Solid((solid.low[0], solid.low[1], -10.0), (*solid.high[:2], solid.low[2]))
        others = [(part, other) for part, other in placed.placed(model) if part.ref != lid.ref]
        deep = boxes.overlaps(
            *placed.corners([way]), *placed.corners([other for _, other in others])
        )
        found += [f"{others[b][0].ref} over {lid.ref}" for _, b in np.argwhere(deep > SLIP)
                  if not _in_window(lid, others[b][1])]  # fmt: skip
    return found


def _in_window(lid: Part, other: Solid) -> bool:
    """Whether a part stands in a window of the lid, which is lifted over it."""
    return any(one.hole.axis == "z" and all(
        one.low[axis] - SLIP <= other.low[axis] and other.high[axis] <= one.high[axis] + SLIP
        for axis in (0, 1)) for one in lid.openings)  # fmt: skip


def wrong_sizes(model: Model) -> list[str]:
    """Pieces whose printed size is not the extent of their solid."""
    found = []
    for part, solid in placed.placed(model):
        if part.solid is None or part.solid.pieces:
            continue
        printed = sorted(value.si for value in part.size)
        drawn = sorted(solid.size)
        if solid.shape == "cylinder":
            drawn = drawn[1:]
        if len(printed) == len(drawn) and any(
            abs(a - b) > SLIP for a, b in zip(printed, drawn, strict=True)
        ):
            found.append(part.ref)
    return found


def uncovered(model: Model) -> list[str]:
    """Rows that do not lie under the cover."""
    return [
        f"{row.ref} beyond {cover.ref}"
        for cover in model.by_role("cover") for row in model.by_role("row")
        if cover.solid and row.solid and cover.panel == row.panel
        and not cover.solid.box.holds(row.solid.box, SLIP)
    ]  # fmt: skip


#: Parts of the body that belong within the outline of the board.
ON_BOARD = ("mount_block", "handle_block", "handle_bar", "piece", "regulator", "cut_off",
            "thermal_cut_out", "mount_layer", "mount_pocket")  # fmt: skip


def overhanging(model: Model) -> list[str]:
    """Pieces that stand out over the edge of the board."""
    boards = {part.panel: part.solid.box for part in model.by_role("board") if part.solid}
    # A module on the bottom of a box beside the light has no place on the board.
    own = {part.ref for part in model.parts
           if part.role in ("board", "handle_block", "mount_pocket")}  # fmt: skip
    return [part.ref for part, solid in placed.placed(model)
            if part.role in ON_BOARD and part.on in own
            and not boards.get(part.panel, solid.box).holds(solid.box, SLIP)]  # fmt: skip
