"""How far two neighbouring rows' scans lie apart in a sound panel, and what a poor joint adds."""

from __future__ import annotations

import numpy as np

from guidegen.calc import bench
from guidegen.calc.ladder import Floats, Ladders, State
from guidegen.calc.ladder_faults import Edit, copies
from guidegen.calc.ladder_readings import Node, Reading, values
from guidegen.calc.ladder_solve import solve
from guidegen.design.fault_cases import BAD_JOINT
from guidegen.design.result import Desk, Section
from guidegen.design.solved_panel import Solved
from guidegen.kinds import MilliVolt
from guidegen.spec.model import Fixture
from guidegen.values import band

READ_OFF = "read off the solved network"
WORST = "the end of its worst band"
#: A poor joint must stand out by so many times what sound ones may differ by: the row beside it
#: may read high as well.
CLEAR = 2.0


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """What two rows beside each other may differ by at most, every part at its limit."""
    desk = Desk("solved scan", fixture, before)
    solved: Solved = desk.result("solved panel")
    compares = False
    if solved.net.rows > 1:
        sound = _scans(solved.net, solved.state)[0]
        joint, rail = (band(desk[f"network.{name}_worst"]) for name in ("joint_far", "rail_drop"))
        apart = desk.work(
            "scan.apart", bench.scans_apart,
            between=desk.given("scan.between", MilliVolt,
                               float(np.abs(np.diff(sound)).max()), READ_OFF),
            least=desk.given("scan.jumper_least", MilliVolt, joint[0], WORST),
            most=desk.given("scan.jumper_most", MilliVolt, joint[1], WORST),
            rail=desk.given("scan.rail_more", MilliVolt,
                            rail[1] - desk["network.rail_drop"].si, WORST),
            error=desk.work("scan.error", bench.meter_error_fine, reading=desk["network.scan_far"],
                            share=desk["meter.share"], digits=desk["meter.fine_digits"]),
        )  # fmt: skip
        adds = desk.given("scan.poor_adds", MilliVolt, _poor_adds(solved.net, sound),
                          f"{READ_OFF}, a joint of {BAD_JOINT:g} Ω in it")  # fmt: skip
        compares = CLEAR * apart.si < adds.si
    desk.set(scan_compares=compares)
    return desk.section()


def _scans(net: Ladders, state: State) -> Floats:
    """From where the feed begins to each pad: (case, link, row). [V]."""
    wanted = [
        Reading("scan", (Node("end", (one.pole,)), Node("row", (row, one.station, one.pole))))
        for one in net.links for row in range(net.rows)
    ]  # fmt: skip
    found = np.abs(values(net, state, wanted))
    return found.reshape(net.cases, len(net.links), net.rows)


def _poor_adds(net: Ladders, sound: Floats) -> float:
    """The least that one poor joint adds to what is read at its own pad. [V]."""
    places = [(link, row) for link in range(len(net.links)) for row in range(net.rows)]
    good = [net.wide(one.conductance, net.rows)[0] for one in net.links]
    cases = [[Edit("link", (link, row), 1 / (1 / good[link][row] + BAD_JOINT))]
             for link, row in places]  # fmt: skip
    poor = copies(net, cases)
    read = _scans(poor, solve(poor))
    return float(min(read[n][at] - sound[at] for n, at in enumerate(places)))
