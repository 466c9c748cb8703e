"""One way to write a panel down, for the solver and as a SPICE deck; the deck knows no solver."""

import re
import shutil
import subprocess
from dataclasses import dataclass

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS, Feed, Ladders, Link, Rail
from guidegen.calc.led_group import GroupLaw

NGSPICE = shutil.which("ngspice")
# kT/q as ngspice 39 has it (CODATA 2014), at 27 °C.
SPICE_VOLT = 1.38064852e-23 / 1.6021766208e-19 * 300.15
#: Pole, end and rail of every link.
FEEDS = {
    "opposite ends": (("+", "first", 0), ("-", "last", 1)),
    "one end": (("+", "first", 0), ("-", "first", 1)),
    "both ends": (("+", "first", 0), ("-", "first", 1), ("+", "last", 2), ("-", "last", 3)),
}


@dataclass(frozen=True)
class Numbers:
    """Resistances of one panel, group by group."""

    rows: int
    groups: int
    feed: str
    volts: float = 12.0
    leds: int = 3
    saturation: float = 1e-18
    ideality: float = 3.0
    series: float = 165.0
    track: float = 0.05
    link: float = 0.1
    rail: float = 0.004
    lead: float = 0.02
    source: float = 0.03

    def law(self) -> GroupLaw:
        scale = self.leds * self.ideality * SPICE_VOLT
        return GroupLaw(scale, self.series, self.saturation)

    def net(self) -> Ladders:
        station = {"first": 0, "last": self.groups - 1}
        pole = {"+": PLUS, "-": MINUS}
        links = tuple(Link(pole[sign], station[end], rail, np.full(self.rows, 1 / self.link))
                      for sign, end, rail in FEEDS[self.feed])  # fmt: skip
        rails = tuple(Rail(pole[sign], np.full(self.rows - 1, 1 / self.rail),
                           (Feed(0, 1 / self.lead),))
                      for sign, _, _ in FEEDS[self.feed])  # fmt: skip
        return Ladders(
            cases=1, rows=self.rows, stations=self.groups, law=self.law(), groups=1.0,
            tracks=(1 / self.track, 1 / self.track), links=links, rails=rails,
            tap_of_row=np.arange(self.rows), taps=self.rows, volts=self.volts,
            source=(1 / self.source, 1 / self.source),
        )  # fmt: skip

    def deck(self) -> list[str]:
        """Elements, with a node for every pole of every group: `p3_7` is row 3, group 7."""
        lines = [
            f"V1 s 0 {self.volts}", f"RSP s ep {self.source}", f"RSN em 0 {self.source}",
            f".model LED D(IS={self.saturation} N={self.leds * self.ideality})",
        ]  # fmt: skip
        for row in range(self.rows):
            for k in range(self.groups):
                lines += [f"D{row}_{k} p{row}_{k} x{row}_{k} LED",
                          f"R{row}_{k} x{row}_{k} n{row}_{k} {self.series}"]  # fmt: skip
                if k:
                    lines += [f"RT{way}{row}_{k} {way}{row}_{k - 1} {way}{row}_{k} {self.track}"
                              for way in "pn"]  # fmt: skip
        for sign, end, rail in FEEDS[self.feed]:
            way, start = ("p", "ep") if sign == "+" else ("n", "em")
            k = 0 if end == "first" else self.groups - 1
            lines.append(f"RF{rail} {start} r{rail}_0 {self.lead}")
            for row in range(self.rows):
                lines.append(f"RL{rail}_{row} r{rail}_{row} {way}{row}_{k} {self.link}")
                if row:
                    lines.append(f"RR{rail}_{row} r{rail}_{row - 1} r{rail}_{row} {self.rail}")
        return lines


def spice(folder, lines, nodes, options="reltol=1e-6 abstol=1e-14 vntol=1e-10 gmin=1e-16"):
    """Voltages of nodes, by ngspice; None where it gives up or hangs."""
    file = folder / "deck.cir"
    control = [f".options {options} temp=27 tnom=27", ".control", "set numdgt=12", "op",
               *(f"print v({node})" for node in nodes), ".endc", ".end"]  # fmt: skip
    file.write_text("\n".join(["* by hand", *lines, *control]) + "\n", encoding="utf-8")
    try:
        done = subprocess.run(
            [NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
        )
    except subprocess.TimeoutExpired:
        return None
    found = re.findall(r"^v\(\S+\) = (\S+)\s*$", done.stdout, re.M)
    return np.array(found, dtype=float) if len(found) == len(nodes) else None
