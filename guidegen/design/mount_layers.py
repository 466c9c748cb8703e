"""A block of layers, the outside first, with a nut that lies in a pocket between two of them."""

from __future__ import annotations

from dataclasses import dataclass, field

from guidegen import outlines as laid
from guidegen.calc import screws
from guidegen.design import outlines
from guidegen.design.mount_plan import HEIGHT, thickness
from guidegen.design.outlines import CORNERS, Cut
from guidegen.design.pieces import Pieces, Screw
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.design.rim import pilot
from guidegen.design.solid import Box, Hole, block
from guidegen.design.solid_rules import LEAST_TIP
from guidegen.kinds import FineMetre, Metre
from guidegen.spec.mount import Layer, Mount
from guidegen.spec.quantities import Auto, within
from guidegen.values import Given, Value, renamed

#: Round the plate of a nut, both sides together, and over it. [m].
PLAY, OVER = 0.001, 0.0005
#: Wood beside the pocket, and outside of it, that a pull on the light works on. [m].
LEAST_WOOD = 0.006
#: In the names of values, which hold no digits.
NUMBERS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight")
Point = tuple[float, float, float]


@dataclass
class Laminate:
    """A block of layers while it is made. Lengths in metres."""

    desk: Desk
    pieces: Pieces
    mount: Mount
    width: Value
    """Along the edge."""
    height: Value
    """The other side of each layer's face."""
    thick: tuple[Value, ...]
    outline: Box
    """Seen along z."""
    out: float
    """From the board's back to its farthest face."""
    refs: list[str] = field(default_factory=list)
    """Of the layers, the outside first."""
    mouths: list[Point] = field(default_factory=list)
    """Middles of their outer faces."""
    joints: list[float] = field(default_factory=list)
    """Heights at which layers that stand on edge meet."""

    @property
    def back(self) -> bool:
        """Whether the thread opens to the back: then the layers lie flat on the board."""
        return self.mount.thread_faces == "back"

    @property
    def under(self) -> float:
        """The back of the board."""
        return -self.desk["board.thickness"].si

    @property
    def seat(self) -> int:
        """Place of the layer with the pocket."""
        return next(n for n, layer in enumerate(self.mount.layers) if layer.cut == "pocket")

    def clear_of_glue(self, line: float, away: float) -> bool:
        """Whether a screw at this height keeps so far from where two layers meet."""
        return all(abs(line - joint) >= away - 1e-9 for joint in self.joints)

    def enter(self, board: str) -> None:
        """The layers and the nut; what is cut in each."""
        passed = 0.0
        for layer, value in zip(self.mount.layers, self.thick, strict=True):
            self._layer(layer, board, value, passed)
            passed += value.si
        seat = self.refs[self.seat]
        for ref in self.refs:
            if ref != seat:
                self.pieces.move(ref, seat)
        # Prongs hold in the layer that the nut is pulled against.
        pronged = self.mount.insert.words.get("prongs") == "yes"
        host = self.refs[self.seat - 1] if pronged else seat
        nut = self.pieces.add("H", "insert", self.mount.insert, on=host, ahead=True)
        self.desk.set(nut_pronged=pronged)
        self._cuts(nut)

    def _layer(self, layer: Layer, board: str, value: Value, passed: float) -> None:
        """One layer: upright beside the board's edge, or flat on its back."""
        number, box = len(self.refs), self.outline
        middle = box.x + box.width / 2
        if self.back:
            far = self.under - self.out + passed
            solid = block(box, far, far + value.si)
            self.mouths.append((middle, box.y + box.height / 2, far))
        else:
            top = box.y + box.height
            ends = (box.y + passed, box.y + passed + value.si)
            if self.mount.edge == "top":
                ends = (top - passed, top - passed - value.si)
            solid = block(Box(box.x, min(ends), box.width, value.si), self.under,
                          self.under - self.out, axis="y")  # fmt: skip
            self.mouths.append((middle, ends[0], self.under - self.out / 2))
            self.joints += [ends[1]] if number + 1 < len(self.thick) else []
        self.refs.append(self.pieces.add(
            "U", "mount_pocket" if number == self.seat else "mount_layer", layer.sheet, made=True,
            on=board, ahead=number != self.seat, side="back", cures=True, fixed_by="glue",
            size=(self.width, self.height, value), solid=solid,
            covers=("insert",) if number < self.seat else (),
        ))  # fmt: skip

    def _cuts(self, nut: str) -> None:
        """The way of the screw through layers, and the pocket of the nut."""
        way = self.desk.put(self.mount.insert["hole"])
        for number, layer in enumerate(self.mount.layers):
            depth: Value | None = None
            role, shape, width = "insert_way", layer.shape, way
            if layer.cut == "none":
                continue
            if layer.cut == "pocket":
                role = "insert_seat"
                shape, width, depth = self._pocket(layer)
                self._wood(self._extent(layer, width))
            else:
                width = self._passes(layer, number, way)
            if layer.corners:
                outlines.bore(self.desk, self.pieces, self.refs[number],
                              Cut(role, self.mouths[number], "z" if self.back else "y",
                                  layer.corners, depth, nut))  # fmt: skip
                continue
            length, along = (width.si, "x") if shape == "square" else (0.0, "")
            hole = Hole(role, self.mouths[number], "z" if self.back else "y",
                        "square" if shape == "square" else "round", width, length, along, depth,
                        holds=nut)  # fmt: skip
            self.pieces.bore(self.refs[number], hole)

    def _passes(self, layer: Layer, number: int, way: Value) -> Value:
        """Width of the way through a layer, which the screw of the stand must pass."""
        desk, name = self.desk, f"layer_{NUMBERS[number + 1]}.width"
        if layer.corners:
            found: Value = desk.given(name, FineMetre, laid.widest_disc(layer.corners), CORNERS)
        elif isinstance(layer.width, Given):
            found = desk.put(renamed(layer.width, name))
        else:
            return way
        # What lies inside of the pocket, the screw reaches or not: only outside it must pass.
        if number < self.seat:
            path = f"body.mount.layers.{number + 1}"
            mend = {f"{path}.{key}": "(left out)" for key in ("width", "shape", "corners")}
            desk.limit("way-narrow", way, found, at_most=False, place=desk.fixture.place(path),
                       mends=(Mend(mend),))  # fmt: skip
        return found

    def _extent(self, layer: Layer, width: Value) -> Value:
        """How wide the pocket is where it is widest."""
        if not layer.corners:
            return width
        _, size = laid.centred(layer.corners)
        return self.desk.given("insert.seat_extent", FineMetre, max(size), CORNERS)

    def _pocket(self, layer: Layer) -> tuple[str, Value, Value | None]:
        """Shape, width and depth of the pocket, and whether the nut fits in it and stays."""
        desk, insert = self.desk, self.mount.insert
        path = f"body.mount.layers.{self.seat + 1}"
        plate = desk.put(insert.get("plate") or renamed(insert["hole"], "insert.plate"))
        flat = desk.put(insert.get("plate_thickness")
                        or renamed(insert["length"], "insert.plate_thickness"))  # fmt: skip
        square = insert.words.get("plate_shape") == "square"
        shape = ("square" if square else "round") if layer.shape == "auto" else layer.shape
        needed: Value = plate
        if square and shape == "round":
            needed = desk.work("insert.corners", screws.across_corners, side=plate)
        play = desk.given("insert.play", FineMetre, PLAY, PRACTICE)
        least = desk.work("insert.seat_least", screws.pocket_width, body=needed, air=play)
        round_room = laid.widest_disc(layer.corners) if layer.corners else 0.0
        if layer.corners:
            room = laid.widest_square(layer.corners) if square else round_room
            width: Value = desk.given("insert.seat", FineMetre, room, CORNERS)
        else:
            width = _settled(desk, layer.width, "insert.seat", _upward(least.si, 0.001))
        over = desk.given("insert.over", FineMetre, OVER, PRACTICE)
        deep = desk.work("insert.seat_deep", screws.stacked, first=flat, second=over)
        depth = _settled(desk, layer.depth, "insert.seat_depth", _upward(deep.si, 0.0005))
        thick, place = self.thick[self.seat], desk.fixture.place(path)
        plain = {f"{path}.corners": "(left out)"} if layer.corners else {}
        auto = {name: Mend({f"{path}.{name}": "auto", **(plain if name == "shape" else {})})
                for name in ("width", "depth", "shape")}  # fmt: skip
        both = Mend({f"{path}.shape": "auto", **(plain or {f"{path}.width": "auto"})})
        wider = (both,) if layer.corners else (auto["width"], both)
        desk.limit("seat-small", width, needed, worst=True, place=place,
                   level="stop" if needed.si > width.si else "advice",
                   corners=needed is not plate, mends=wider)  # fmt: skip
        desk.limit("seat-shallow", depth, flat, worst=True, place=place, mends=(auto["depth"],),
                   level="stop" if flat.si > depth.si else "advice")  # fmt: skip
        desk.limit("seat-deep", thick, depth, place=place, mends=(auto["depth"],))
        tight = shape == "outline" and round_room < screws.across_corners(plate.si)
        held = insert.words.get("prongs") == "yes" or (square and (shape == "square" or tight))
        pronged = Mend({"body.mount.insert": "t-nut-quarter-20"})
        desk.find_if(not held, "nut-turns", "stop", place=place, names={"square": square},
                     mends=(auto["shape"], pronged))  # fmt: skip
        desk.set(seat_square=shape == "square", seat_outline=shape == "outline",
                 seat_through=depth.si >= thick.si - 1e-9)  # fmt: skip
        return shape, width, None if desk.fact("seat_through") else depth

    def _wood(self, seat: Value) -> None:
        """What holds the nut against a pull: wood outside of it, and beside it."""
        desk, outer = self.desk, self.thick[0]
        for number in range(1, self.seat):
            outer = desk.work(f"mount.outer_{NUMBERS[number]}", screws.stacked, first=outer,
                              second=self.thick[number])  # fmt: skip
        barrel = desk.work("insert.barrel", screws.barrel,
                           length=desk.put(self.mount.insert["length"]),
                           plate=desk["insert.plate_thickness"])  # fmt: skip
        place = desk.fixture.place("body.mount.layers.1")
        desk.limit("nut-sticks-out", outer, barrel, worst=True, place=place,
                   level="stop" if barrel.si > outer.si else "advice",
                   mends=(Mend({"body.mount.layers.1.thickness": "12 mm"}),))  # fmt: skip
        desk.work("insert.thread_begins", screws.screw_reach, length=outer, through=barrel)
        left = desk.work("insert.wood", screws.least_wood, width=self.width, height=self.height,
                         seat=seat, outer=outer)  # fmt: skip
        least = desk.given("insert.least_wood", FineMetre, LEAST_WOOD, PRACTICE)
        wider = {f"body.mount.{side}": "auto" for side in ("width", "height")}
        desk.limit("seat-wood", least, left, at_most=False, level="advice", place=place,
                   mends=(Mend(wider),))  # fmt: skip

    def pilots(self, fixing: Screw, points: list[tuple[float, float]], ref: str) -> None:
        """Pilot holes: in the layer that a screw meets on edge, or through one after the other."""
        if not self.back:
            for layer in self.refs:
                solid = next(part.solid for part in self.pieces.parts if part.ref == layer)
                assert solid is not None
                self.pieces.bore(layer, *(
                    pilot(fixing, "mount_pilot", (x, y, self.under), ref)
                    for x, y in points if solid.low[1] < y < solid.high[1]
                ))  # fmt: skip
            return
        left, top = fixing.depth, self.under
        inward = list(zip(self.refs, self.thick, strict=True))[::-1]
        for number, (layer, thick) in enumerate(inward, 1):
            last = number == len(inward) or left.si <= thick.si - LEAST_TIP
            depth = left if last else None
            self.pieces.bore(layer, *(
                Hole("mount_pilot", (x, y, top), "z", "round", fixing.pilot, depth=depth, holds=ref)
                for x, y in points
            ))  # fmt: skip
            if last:
                return
            left = self.desk.work(f"mount.reach_{NUMBERS[number]}", screws.screw_reach,
                                  length=left, through=thick)  # fmt: skip
            top -= thick.si
            if left.si <= 0:
                return


def laminate(
    desk: Desk, pieces: Pieces, mount: Mount, board: str, width: Value, left: float
) -> Laminate:
    """Settle the sizes of a block of layers, and enter it with its nut."""
    height = desk.settle(mount.height, "mount.height", Metre, within(mount.height, HEIGHT))
    thick = tuple(
        desk.put(renamed(thickness(layer), f"layer_{NUMBERS[number]}.thickness"))
        for number, layer in enumerate(mount.layers, 1)
    )
    total, tall = sum(value.si for value in thick), desk["board.height"].si
    up, out = (height.si, total) if mount.thread_faces == "back" else (total, height.si)
    bottom = 0.0 if mount.edge == "bottom" else tall - up
    made = Laminate(desk, pieces, mount, width, height, thick, Box(left, bottom, width.si, up), out)
    made.enter(board)
    return made


def _settled(desk: Desk, asked: Given | Auto, name: str, auto: float) -> Given:
    """A size of the spec under the nut's name, or the computed one."""
    own = renamed(asked, name) if isinstance(asked, Given) else asked
    return desk.settle(own, name, FineMetre, auto)


def _upward(number: float, step: float) -> float:
    """In whole steps, upward: what a bit or a rule is marked with. [m]."""
    return -(-round(number * 1e7) // round(step * 1e7)) * step
