"""Holes that the circuit needs in the body: feed, standoffs, and what sits in a wall of the box."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable

from guidegen.calc import screws
from guidegen.calc.bits import pocket_bit
from guidegen.calc.fan import inlet_holes
from guidegen.design import places, rail_lines
from guidegen.design.box import separate
from guidegen.design.model import Part
from guidegen.design.pieces import Screw
from guidegen.design.result import PRACTICE, Desk
from guidegen.design.solid import Hole, Solid
from guidegen.kinds import FineMetre
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Given, Value

#: Beside the body of a part, the pocket that thins a wall for it. [m].
POCKET_AIR = 0.004
#: Height of a notch that lets rails with their insulation under a wall. [m].
NOTCH_HIGH = 0.004
#: Over rails, insulation and joints in such a notch. [m].
NOTCH_OVER = 0.002
#: Holes that let air in: less than the 12.5 mm of a finger (IEC 60529, from memory); and how far
#: they keep from the corners of the box, where its posts stand. [m].
INLET, CORNER = 0.010, 0.035
#: From the edges of a module to its fixing holes. [m].
MODULE_INSET = 0.003


def side_walls(body: Iterable[Part]) -> list[tuple[Part, Solid]]:
    """The walls of the box that stand across x: what sits in a wall sits in one of these."""
    walls = [(part, part.solid) for part in body if part.role == "wall" and part.solid]
    return [(part, solid) for part, solid in walls if solid.axis == "x"]


def grid_between(low: float, high: float, pitch: float) -> list[float]:
    """Places a pitch apart, at equal distances from both ends. [m]."""
    steps = max(int((high - low) / pitch + 1e-9), 0)
    first = (low + high - steps * pitch) / 2
    return [first + number * pitch for number in range(steps + 1)]


def _beside(wanted: float, taken: list[float], apart: float, room: tuple[float, float]) -> float:
    """The place nearest to the wanted one, a step from those taken, in the room if any is. [m]."""
    free = [place for place in (wanted + way * apart for step in range(len(taken) + 1)
                                for way in (step, -step))
            if all(abs(place - other) > apart - 1e-9 for other in taken)]  # fmt: skip
    return next((place for place in free if room[0] <= place <= room[1]), free[0])


def home_of(body: tuple[Part, ...], solid: Solid) -> Part:
    """The wall that a part in the box leans on, or else what it lies on."""
    if solid.axis == "x":
        for part, wall in side_walls(body):
            if abs(wall.high[0] - solid.low[0]) < 1e-6 or abs(wall.low[0] - solid.high[0]) < 1e-6:
                return part
    return next((part for part in body if part.role == "bottom"), body[0])


class Openings:
    """Holes by the part that they are made in, while they are found."""

    def __init__(self, desk: Desk, body: tuple[Part, ...]) -> None:
        self.desk, self.body = desk, body
        self.found: dict[str, list[Hole]] = defaultdict(list)

    def bored(self) -> tuple[Part, ...]:
        """The body's parts with their holes."""
        return tuple(part.bored(self.found.get(part.ref, ())) for part in self.body)

    def board(self, panel: int) -> Part:
        """The board of a panel; 0: the only one."""
        boards = [part for part in self.body if part.role == "board"]
        return boards[max(panel, 1) - 1]

    def feed(self, wire: str, at: places.Point, rail: Part) -> None:
        """A hole beside a rail, and through the wall between it and the inside of the box."""
        width, board = self.desk["feed.hole"], self.board(rail.panel)
        x, y = rail_lines.feed_hole(self.desk, at, rail.line, max(rail.panel, 1))
        others = [hole.at for hole in self.found[board.ref] if hole.role == "feed"]
        # Two rails of one side, where the rim leaves their holes no room but beside one another.
        while any(math.dist(other[:2], (x, y)) < 2 * width.si - 1e-9 for other in others):
            y -= 2 * width.si
        self.found[board.ref].append(Hole("feed", (x, y, 0.0), "z", "round", width, holds=wire))
        walls = side_walls(self.body)
        if not walls or separate(self.desk.fixture):
            return
        left, right = (min(w.low[0] for _, w in walls), max(w.high[0] for _, w in walls))
        if not left <= x <= right:
            wall = min(walls, key=lambda one: abs(one[1].low[0] - x))
            # As low as its edge allows: the wire comes out of the board beside it.
            solid = wall[1]
            low, high = solid.low[1] + 2 * width.si, solid.high[1] - 2 * width.si
            y = min(max(y, low), high)
            # Two wires that come in at one height get two holes.
            taken = [hole.at[1] for hole in self.found[wall[0].ref] if hole.role == "feed"]
            y = _beside(y, taken, 2 * width.si, (low, high))
            outer = (self._faces(solid)[0], y, solid.high[2] - width.si)
            self.found[wall[0].ref].append(Hole("feed", outer, "x", "round", width, holds=wire))

    def jumper(self, wire: str, at: places.Point, panel: int = 0) -> None:
        """A hole beside a row, for a jumper to a rail on the back."""
        hole = Hole("jumper", (*at, 0.0), "z", "round", self.desk["jumper.hole"], holds=wire)
        self.found[self.board(panel).ref].append(hole)

    def notches(self, rails: list[Part]) -> None:
        """A notch in each wall of the box that rails on the back of the board pass under.

        It is as wide as the rails with the holes of their jumpers beside them.
        """
        solids = [rail.solid for rail in rails if rail.solid]
        beside = self.desk["jumper.hole_offset"].si + self.desk["jumper.hole"].si
        left = min(solid.low[0] for solid in solids) - beside
        right = max(solid.high[0] for solid in solids) + beside
        low, high = min(s.low[1] for s in solids), max(s.high[1] for s in solids)
        wide = None
        for part in self.body:
            wall = part.solid if part.role == "wall" else None
            if wall is None or wall.axis != "y" or not wall.low[0] < left < right < wall.high[0]:
                continue
            if low < wall.high[1] and wall.low[1] < high:
                notch = max(NOTCH_HIGH, max(s.size[2] for s in solids) + NOTCH_OVER)
                if "rail_strip.thickness" in self.desk:
                    notch += self.desk["rail_strip.thickness"].si
                wide = wide or self.desk.given("rail.notch", FineMetre, right - left,
                                               "places on the board")  # fmt: skip
                middle = ((left + right) / 2, wall.low[1], wall.high[2] - notch / 2)
                self.found[part.ref].append(
                    Hole("rail_notch", middle, "y", "square", wide, notch, "z",
                         holds=rails[0].ref)
                )  # fmt: skip

    def _faces(self, wall: Solid) -> tuple[float, float]:
        """Outer and inner face of a side wall."""
        others = [solid.low[0] for _, solid in side_walls(self.body)]
        right = wall.low[0] > sum(others) / len(others)
        return (wall.high[0], wall.low[0]) if right else (wall.low[0], wall.high[0])

    def in_wall(self, ref: str, role: str, figures: CataloguePart, at: Solid) -> None:
        """The hole of a part that sits in a wall; a pocket inside where the wall is too thick.

        Parameters
        ----------
        ref : str
            The part that sits in it.
        role : str
            Names its values and its holes.
        figures : Part
            `hole`, and as far as they matter `hole_length`, `panel`, `body`.
        at : Solid
            The part's place.
        """
        part = home_of(self.body, at)
        if part.role != "wall" or part.solid is None:
            return
        wall, figures = part.solid, figures.named(role)
        _, y, z = at.middle
        long = figures.get("hole_length")
        length = self.desk.put(long).si if long else 0.0
        shape, along = ("square", "y") if long else ("round", "")
        outer, inner = self._faces(wall)
        hole = self._figure(f"{role}.hole", figures["hole"])
        self.found[part.ref].append(
            Hole(role, (outer, y, z), "x", shape, hole, length, along, holds=ref)
        )  # fmt: skip
        panel = figures.get("panel")
        if panel is None or self.desk["enclosure.thickness"].si <= panel.si + 1e-9:
            return
        depth, width = self._pocket(role, panel, figures["body"])
        self.found[part.ref].append(
            Hole(f"{role}_pocket", (inner, y, z), "x", "round", width, depth=depth, holds=ref)
        )  # fmt: skip

    def _figure(self, name: str, figure: Given) -> Value:
        """A figure of a part, entered once: each panel's feed has a grommet like the others'."""
        return self.desk[name] if name in self.desk else self.desk.put(figure)

    def _pocket(self, role: str, panel: Given, body: Given) -> tuple[Value, Value]:
        """Depth and diameter of the pocket that thins a wall for a part."""
        desk = self.desk
        if f"{role}.pocket" in desk:
            return desk[f"{role}.pocket_depth"], desk[f"{role}.pocket"]
        depth = desk.work(f"{role}.pocket_depth", screws.pocket_depth, panel=desk.put(panel),
                          wall=desk["enclosure.thickness"])  # fmt: skip
        air = desk.given(f"{role}.pocket_air", FineMetre, POCKET_AIR, PRACTICE)
        least = desk.work(f"{role}.pocket_least", screws.pocket_width, body=desk.put(body), air=air)
        return depth, desk.work(f"{role}.pocket", pocket_bit, least=least)

    def fan(self, ref: str, figures: CataloguePart, at: Solid) -> None:
        """The four screw holes round the opening of a fan."""
        part = home_of(self.body, at)
        if part.role != "wall" or part.solid is None:
            return
        half = self.desk.put(figures["hole_pitch"]).si / 2
        width = self.desk.given("fan.screw_hole", FineMetre, 0.0034,
                                "from memory: ISO 273, medium clearance of M3")  # fmt: skip
        _, y, z = at.middle
        outer = self._faces(part.solid)[0]
        self.found[part.ref] += [
            Hole("fan_screw", (outer, y + up * half, z + along * half), "x", "round", width,
                 holds=ref)
            for up in (-1, 1) for along in (-1, 1)
        ]  # fmt: skip

    def inlet(self, fan: Solid) -> None:
        """Holes for the air that the fan blows out, in the lower wall, far from the fan."""
        walls = [(part, part.solid) for part in self.body
                 if part.role == "wall" and part.solid and part.solid.axis == "y"]  # fmt: skip
        if not walls or "fan.hole" not in self.desk:
            return
        ref, wall = min(((part.ref, solid) for part, solid in walls), key=lambda one: one[1].low[1])
        hole = self.desk.given("fan.inlet", FineMetre, INLET, "project default: no finger enters")
        count = int(self.desk.work("fan.inlet_holes", inlet_holes, opening=self.desk["fan.hole"],
                                   hole=hole).si)  # fmt: skip
        pitch, inset = 1.8 * INLET, CORNER + INLET
        xs = grid_between(wall.low[0] + inset, wall.high[0] - inset, pitch)
        if fan.middle[0] > wall.middle[0]:
            xs = xs[::-1]
        # From the end away from the fan; the row nearest to the lid first, clear of the feed.
        zs = grid_between(wall.low[2] + INLET, wall.high[2] - INLET, pitch)
        rows = min(len(zs), max(2, math.ceil(count / max(len(xs), 1))))
        wide = math.ceil(count / max(rows, 1))
        places_there = [(x, z) for z in zs for x in xs[::-1][:wide]]
        self.found[ref] += [
            Hole("inlet", (x, wall.low[1], z), "y", "round", hole) for x, z in places_there[:count]
        ]

    def under(self, part: Part, fixing: Screw, ref: str) -> None:
        """Pilot holes under the four corners of a module."""
        module = part.solid
        assert module is not None
        home = home_of(self.body, module)
        assert home.solid is not None
        xs = (module.low[0] + MODULE_INSET, module.high[0] - MODULE_INSET)
        ys = (module.low[1] + MODULE_INSET, module.high[1] - MODULE_INSET)
        self.found[home.ref] += [
            Hole("standoff", (x, y, home.solid.low[2]), "z", "round", fixing.pilot,
                 depth=fixing.depth, holds=ref, fixes=part.ref)
            for y in ys for x in xs
        ]  # fmt: skip
