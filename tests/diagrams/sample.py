"""A small design to draw: nothing computed, sizes chosen by hand."""

from dataclasses import dataclass, field, replace

from guidegen.design.model import Conductor, Joint, Model, Part, Terminal
from guidegen.design.solid import Box, block
from guidegen.kinds import Ampere, ConductorArea, Count, FineMetre, OhmRating, Volt, WattPerMetre
from guidegen.values import Value, given

ENDS = {
    # rails as (side, polarity), row ends in use
    "opposite ends": ([("L", "+"), ("R", "-")], ["L+", "R-"]),
    "left end": ([("L", "+"), ("L", "-")], ["L+", "L-"]),
    "both ends": (
        [("L", "+"), ("L", "-"), ("R", "+"), ("R", "-")],
        ["L+", "L-", "R+", "R-"],
    ),
}


@dataclass
class Sample:
    """What a drawing asks of a design."""

    model: Model
    values: dict[str, Value] = field(default_factory=dict)
    facts: dict[str, bool | float | str] = field(default_factory=dict)


def mm(number, name="size"):
    return given(name, FineMetre, number / 1e3, "sample")


BOARD, RIM, COVER, DEEP, LID = 0.009, 0.020, 0.003, 0.045, 0.006


def flat(box):
    """On the face of the board."""
    return block(box, 0.0, 0.001)


def behind(box, deep=0.015, off=0.0):
    """On the back of the board."""
    return block(box, -BOARD - off, -BOARD - off - deep)


def amp(number):
    return given("current", Ampere, number, "sample")


class Builder:
    def __init__(self, rows, fed_from, pitch, length, tape=10.0):
        self.rows, self.fed_from, self.pitch, self.length = rows, fed_from, pitch, length
        self.tape = tape
        self.board = Box(0, 0, (length + 60) / 1e3, max((rows - 1) * pitch + tape + 40, 130) / 1e3)
        self.parts, self.terminals, self.conductors, self.joints = [], [], [], []
        self.wires = 0

    def part(self, ref, role, name, pins=(), **more):
        self.parts.append(Part(ref, role, name, **more))
        self.terminals += [
            Terminal(
                ref,
                pin,
                next((p for p in "+-" if p in pin.replace("−", "-")), ""),
                self.pin_at(more.get("solid"), number, len(pins)),
            )
            for number, pin in enumerate(pins)
        ]

    def pin_at(self, solid, number, count):
        box = solid and solid.box
        return box and (box.x + box.width * (number + 0.5) / count, box.y + box.height / 2)

    def wire(self, role, start, end, polarity="", **more):
        """`more`: current, row, area."""
        current, row, area = (
            more.get(k, d) for k, d in (("current", 0), ("row", 0), ("area", 0.75))
        )
        self.wires += 1
        ref = f"W{self.wires}"
        bare = role == "jumper"
        self.conductors.append(
            Conductor(
                ref,
                role,
                start,
                end,
                polarity,
                f"{start} to {end}",
                "bare copper" if bare else "flex",
                given("area", ConductorArea, area * 1e-6, "sample"),
                f"{area} mm²",
                "bare" if bare else {"+": "RD", "-": "BK"}.get(polarity, "WH"),
                mm(120),
                amp(current),
                "strip 6 mm",
                "strip 6 mm",
                row=row,
                bare=bare,
            )
        )
        self.join(ref, start)
        self.join(ref, end)

    def join(self, ref, terminal, kind="solder"):
        self.joints.append(Joint(f"J{len(self.joints) + 1}", ref, terminal, kind))

    def row_y(self, row):
        return (20 + self.tape / 2 + (self.rows - row) * self.pitch) / 1e3

    def chain(self, control):
        b = self.board
        middle = b.width / 2
        self.part("G1", "adapter", "adapter 19 V 65 W", ["+", "−"], rating="19 V, 3.42 A")
        self.part("X1", "connector", "lead socket 5.5 × 2.5 mm", ["+", "−"], rating="10 A")
        self.part(
            "F1",
            "fuse",
            "fuse in holder",
            ["1", "2"],
            rating="3.15 A T",
            solid=behind(Box(middle + 0.05, 0.04, 0.03, 0.012)),
            side="back",
            on="U7",
        )
        self.part(
            "Q1",
            "switch",
            "switch, one pole",
            ["1", "2"],
            rating="6 A DC",
            solid=behind(Box(middle + 0.05, 0.065, 0.02, 0.014)),
            side="back",
            on="U7",
        )
        pins = ["IN+", "IN−", "OUT+", "OUT−"] + (["VR1", "VR2"] if control else [])
        self.part(
            "T1",
            "regulator",
            "step-down regulator",
            pins,
            rating="8 A",
            solid=behind(Box(middle - 0.05, 0.04, 0.065, 0.045)),
            side="back",
            on="U7",
        )
        self.wire("lead", "X1:+", "F1:1", "+", current=1.9)
        self.wire("lead", "X1:−", "T1:IN−", "-", current=1.9)
        self.wire("link", "F1:2", "Q1:1", "+", current=1.9)
        self.wire("link", "Q1:2", "T1:IN+", "+", current=1.9)
        if control:
            self.part(
                "R1",
                "control",
                "control 10 kΩ",
                ["1", "2", "3"],
                rating="10 kΩ",
                solid=behind(Box(middle - 0.08, 0.05, 0.017, 0.017)),
                side="back",
                on="U7",
            )
            # End resistor between lead and lug; wiper tied to the unused lug; a resistor across.
            self.part("R2", "end_resistor", "end_resistor", ["free"], rating="1.5 kΩ")
            self.join("R2", "R1:1")
            self.wire("control_lead", "T1:VR1", "R2:free", "a", area=0.25)
            self.wire("control_lead", "T1:VR2", "R1:2", "b", area=0.25)
            self.wire("wiper_tie", "R1:2", "R1:3", "b", area=0.25)
            self.part("R3", "across_resistor", "across_resistor", rating="22 kΩ")
            self.join("R3", "R1:1")
            self.join("R3", "R1:3")

    def panel(self):
        rails, ends = ENDS[self.fed_from]
        left = 30 / 1e3
        for row in range(1, self.rows + 1):
            y = self.row_y(row)
            self.parts.append(
                Part(
                    f"E{row}",
                    "row",
                    "row of tape",
                    made=True,
                    on="U1",
                    row=row,
                    solid=flat(Box(left, y - self.tape / 2e3, self.length / 1e3, self.tape / 1e3)),
                    size=(mm(self.length), mm(self.tape)),
                )
            )
            for side, x in (("L", left), ("R", left + self.length / 1e3)):
                for pole, dy in (("+", 0.0025), ("−", -0.0025)):
                    key = side + pole.replace("−", "-")
                    self.terminals.append(
                        Terminal(
                            f"E{row}", side + pole, key[1], (x, y + dy), unused=key not in ends
                        )
                    )
        seen = {"L": 0, "R": 0}
        first = self.wires + 1
        for number, (side, pole) in enumerate(rails):
            ref = f"W{first + number}"
            inset = (17 - 8 * seen[side]) / 1e3
            seen[side] += 1
            x = inset if side == "L" else self.board.width - inset
            low, high = self.row_y(self.rows) - 0.01, self.row_y(1) + 0.006
            self.parts.append(
                Part(
                    ref,
                    "rail",
                    "rail",
                    made=True,
                    on="U1",
                    polarity=pole,
                    bare=True,
                    solid=flat(Box(x - 0.0007, low, 0.0014, high - low)),
                    material="bare copper 1.5 mm²",
                )
            )
            self.terminals.append(Terminal(ref, "feed", pole, (x, low + 0.002)))
            self.terminals += [
                Terminal(ref, str(row), pole, (x, self.row_y(row)))
                for row in range(1, self.rows + 1)
            ]
        self.wires += len(rails)
        for number, (_, pole) in enumerate(rails):
            out = "T1:OUT+" if pole == "+" else "T1:OUT−"
            self.wire("feed", out, f"W{first + number}:feed", pole, current=2.6)
        for row in range(1, self.rows + 1):
            for number, (side, pole) in enumerate(rails):
                pin = side + pole.replace("-", "−")
                self.wire(
                    "jumper",
                    f"E{row}:{pin}",
                    f"W{first + number}:{row}",
                    pole,
                    current=0.22,
                    row=row,
                )

    def body(self):
        b = self.board
        w, h = b.width * 1e3, b.height * 1e3
        self.part(
            "U1",
            "board",
            "board, MDF 9 mm",
            made=True,
            solid=block(Box(0, 0, b.width, b.height), -BOARD, 0.0),
            size=(mm(w), mm(h), mm(9)),
            material="MDF",
        )
        t = 0.006
        borders = [
            Box(0, 0, b.width, t),
            Box(0, b.height - t, b.width, t),
            Box(0, t, t, b.height - 2 * t),
            Box(b.width - t, t, t, b.height - 2 * t),
        ]
        for number, box in enumerate(borders, 2):
            self.part(
                f"U{number}",
                "border",
                "border strip",
                made=True,
                on="U1",
                solid=block(box, 0.0, RIM),
                size=(mm(max(box.width, box.height) * 1e3), mm(20), mm(6)),
            )
        self.part(
            "U6",
            "cover",
            "cover, opal acrylic 3 mm",
            made=True,
            on="U2",
            solid=block(Box(0, 0, b.width, b.height), RIM, RIM + COVER),
            covers=("row", "rail", "jumper"),
            size=(mm(w), mm(h), mm(3)),
        )
        x, y, bw, bh, t = b.width / 2 - 0.09, 0.025, 0.18, 0.075, 0.006
        walls = [
            Box(x, y, bw, t),
            Box(x, y + bh - t, bw, t),
            Box(x, y + t, t, bh - 2 * t),
            Box(x + bw - t, y + t, t, bh - 2 * t),
        ]
        for number, box in enumerate(walls, 7):
            self.part(
                f"U{number}",
                "wall",
                "box wall",
                made=True,
                on="U1",
                solid=behind(box, DEEP - LID),
                side="back",
                size=(mm(max(box.width, box.height) * 1e3), mm(39), mm(6)),
            )
        self.part(
            "U11",
            "lid",
            "box lid",
            made=True,
            on="U7",
            solid=behind(Box(x, y, bw, bh), LID, DEEP - LID),
            side="back",
            covers=("regulator", "fuse", "switch", "control"),
            size=(mm(bw * 1e3), mm(bh * 1e3), mm(6)),
        )
        self.part(
            "U12",
            "mount_block",
            "mount block",
            made=True,
            on="U1",
            side="back",
            solid=behind(Box(b.width / 2 - 0.02, 0, 0.04, 0.02), 0.02),
            size=(mm(40), mm(20), mm(20)),
        )
        self.part("H1", "cover_screw", "screw 3 × 16", count=6)
        self.part("H2", "insert", "insert 1/4-20", on="U12")

    def model(self, control=True):
        self.chain(control)
        self.panel()
        self.body()
        return Model(
            tuple(self.parts),
            tuple(self.terminals),
            tuple(self.conductors),
            tuple(self.joints),
            self.board,
        )


def values(rows, pitch):
    made = [
        given("adapter.voltage", Volt, 19.0, "label"),
        given("regulator.wanted_low", Volt, 7.5, "spec"),
        given("regulator.wanted_high", Volt, 11.8, "spec"),
        given("tape.voltage", Volt, 12.0, "label"),
        given("tape.power", WattPerMetre, 10.0, "label"),
        given("tape.leds_per_group", Count, 3, "label"),
        given("row.groups", Count, 6, "sample"),
        given("row.count", Count, rows, "spec"),
        given("row.pitch", FineMetre, pitch / 1e3, "spec"),
        given("fuse.rating", Ampere, 3.15, "spec"),
        given("control.track", OhmRating, 10e3, "spec"),
        given("cover.gap", FineMetre, 0.017, "chosen"),
        given("border.height", FineMetre, 0.02, "chosen"),
        given("enclosure.depth", FineMetre, 0.045, "chosen"),
    ]
    return {value.name: value for value in made}


def sample(rows=12, fed_from="opposite ends", pitch=15.0, length=300.0, control=True):
    model = Builder(rows, fed_from, pitch, length).model(control)
    return Sample(model, values(rows, pitch), {"fed_from": fed_from})


def renamed(design, ref, name):
    """The same design with other words for one part."""
    parts = tuple(replace(p, name=name) if p.ref == ref else p for p in design.model.parts)
    return replace(design, model=replace(design.model, parts=parts))
