"""The small design with parts that few lights have: battery lead, fan, pulse width, handle."""

from dataclasses import replace

from sample import BOARD, Box, Builder, Part, Sample, Terminal, behind, values

from guidegen.design.model import Model
from guidegen.design.solid import Solid


class Extended(Builder):
    """A battery with fuse and lead of its own, two converters, a fan behind the switch."""

    def chain(self, control):
        middle = self.board.width / 2
        self.part("G1", "battery", "battery 12.8 V 20 Ah", ["+", "−"], rating="12.8 V")
        self.part("F1", "fuse", "fuse in holder", ["1", "2"], rating="15 A")
        self.part("X1", "connector", "shrouded connector", ["+", "−"], rating="30 A")
        self.part("K1", "cut_off", "cut-off", ["IN+", "IN−", "OUT+", "OUT−"], rating="11.2 V",
                  on="U7", side="back",
                  solid=behind(Box(middle + 0.055, 0.04, 0.02, 0.02)))  # fmt: skip
        self.part("Q1", "switch", "switch, one pole", ["1", "2"], rating="20 A", on="U7",
                  side="back", solid=behind(Box(middle + 0.05, 0.075, 0.02, 0.014)))  # fmt: skip
        self.part("T1", "regulator", "step-up regulator", ["IN+", "IN−", "OUT+", "OUT−", "VR1",
                  "VR2"], rating="10 A", on="U7", side="back",
                  solid=behind(Box(middle - 0.05, 0.06, 0.05, 0.03), 0.02, 0.01))  # fmt: skip
        self.part("T2", "pulse_width", "pulse-width stage", ["IN+", "IN−", "OUT+", "OUT−", "P1",
                  "P2", "P3"], rating="8 A", on="U7", side="back",
                  solid=behind(Box(middle - 0.05, 0.03, 0.05, 0.025), 0.02, 0.01))  # fmt: skip
        self.part("M1", "fan", "fan 12 V 40 mm", ["+", "−"], rating="12 V", on="U7", side="back",
                  solid=behind(Box(middle - 0.08, 0.03, 0.01, 0.04)))  # fmt: skip
        self.wire("lead", "G1:+", "F1:1", "+", current=7)
        self.wire("lead", "F1:2", "X1:+", "+", current=7)
        self.wire("lead", "G1:−", "X1:−", "-", current=7)
        self.wire("link", "X1:+", "K1:IN+", "+", current=7)
        self.wire("link", "X1:−", "K1:IN−", "-", current=7)
        self.wire("link", "K1:OUT+", "Q1:1", "+", current=7)
        self.wire("link", "Q1:2", "T1:IN+", "+", current=7)
        self.wire("link", "K1:OUT−", "T1:IN−", "-", current=7)
        self.wire("fan_lead", "Q1:2", "M1:+", "+", current=0.1)
        self.wire("fan_lead", "K1:OUT−", "M1:−", "-", current=0.1)
        self.wire("link", "T1:OUT+", "T2:IN+", "+", current=4)
        self.wire("link", "T1:OUT−", "T2:IN−", "-", current=4)
        self.part("R1", "control", "trimmer 10 kΩ", ["1", "2", "3"], rating="10 kΩ", on="U7",
                  side="back", solid=behind(Box(middle - 0.08, 0.075, 0.017, 0.017)))  # fmt: skip
        self.wire("control_lead", "T1:VR1", "R1:1", "a", area=0.25)
        self.wire("control_lead", "T1:VR2", "R1:2", "b", area=0.25)
        self.wire("wiper_tie", "R1:2", "R1:3", "b", area=0.25)
        self.part("R2", "control", "control 100 kΩ", ["1", "2", "3"], rating="100 kΩ", on="U7",
                  side="back", solid=behind(Box(middle + 0.02, 0.075, 0.017, 0.017)))  # fmt: skip
        for number in "123":
            self.wire("control_lead", f"T2:P{number}", f"R2:{number}", "a", area=0.25)

    def wire(self, role, start, end, polarity="", **more):
        if role == "feed":
            start = start.replace("T1", "T2")
        super().wire(role, start, end, polarity, **more)

    def body(self):
        super().body()
        b = self.board
        for number, x in enumerate((0.03, b.width - 0.05), 13):
            self.part(f"U{number}", "handle_block", "handle block", made=True, on="U1",
                      side="back", solid=behind(Box(x, 0.01, 0.02, 0.03), 0.05))  # fmt: skip
        bar = Solid((0.02, 0.02, -BOARD - 0.045), (b.width - 0.02, 0.035, -BOARD - 0.03),
                    "cylinder", "x")  # fmt: skip
        self.part("U15", "handle", "dowel", made=True, on="U13", side="back", solid=bar)

    def model(self, control=True):
        made = super().model(control)
        probe = Terminal("U1", "edge", "", (0.0, 0.0), unused=True)
        return replace(made, terminals=(*made.terminals, probe))


def extended(rows=5, fed_from="opposite ends"):
    """The sample with everything."""
    model = Extended(rows, fed_from, 30.0, 300.0).model()
    return Sample(model, values(rows, 30.0), {"fed_from": fed_from, "battery": True})


def beside(design):
    """The same light with its box moved away: walls, lid and what they carry stand alone."""
    moved = []
    for part in design.model.parts:
        solid = part.solid
        loose = part.role in ("wall", "lid") or part.on == "U7"
        if loose and solid:
            low, high = ((p[0] + 0.5, p[1], p[2]) for p in (solid.low, solid.high))
            solid = replace(solid, low=low, high=high)
            part = replace(part, solid=solid, on="" if part.ref == "U7" else "U7")
        moved.append(part)
    model = design.model
    away = {part.ref for part in moved if part.on == "U7" and part.role != "lid"}
    terminals = tuple(replace(t, at=(t.at[0] + 0.5, t.at[1])) if t.part in away and t.at else t
                      for t in model.terminals)  # fmt: skip
    return replace(design, model=Model(tuple(moved), terminals, model.conductors,
                                       model.joints, model.board))  # fmt: skip


__all__ = ["Part", "beside", "extended"]
