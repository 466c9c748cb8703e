"""The network of a panel against ngspice: least processor time, ngspice's whole process."""

from __future__ import annotations

import resource
import subprocess
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS
from guidegen.calc.ladder_bands import Part, bands, read_moved
from guidegen.calc.ladder_faults import Edit, copies
from guidegen.calc.ladder_readings import Node, Reading, shapes, total
from guidegen.calc.ladder_solve import solve
from tests.reference.ladder_decks import NGSPICE, Numbers

RUNS = 5
OPTIONS = ".options reltol=1e-6 abstol=1e-12 vntol=1e-9 gmin=1e-15 temp=27 tnom=27"
#: Rows and groups, by the number of groups in all.
SIZES = {"2400": (24, 100), "20000": (100, 200)}
FEEDS = {"any": "opposite ends", "one-end": "one end"}
POINTS = 60
SAMPLES = 2000


def network(folder: Path) -> Iterator[dict[str, Any]]:
    """Both sizes with both feeds, a sweep of the voltage over 400 groups, and ten times a size."""
    if NGSPICE is None:
        return
    for size, (rows, groups) in SIZES.items():
        for case, feed in FEEDS.items():
            numbers = Numbers(rows, groups, feed)
            net = numbers.net()
            yield _result(f"{size} {case}", lambda net=net: solve(net),  # type: ignore[misc]
                          _deck(folder, numbers, "op"))  # fmt: skip
    numbers = Numbers(20, 20, "opposite ends")
    low, high = 8.0, 12.0
    net = replace(numbers.net(), cases=POINTS, volts=np.linspace(low, high, POINTS))
    sweep = f"dc V1 {low} {high} {(high - low) / (POINTS - 1)}"
    yield _result("sweep", lambda: solve(net), _deck(folder, numbers, sweep))
    for case, feed in FEEDS.items():
        # Rails that leave every row its light, whatever their number.
        one, ten = (Numbers(rows, 200, feed, rail=1e-6, lead=1e-6, source=1e-6).net()
                    for rows in (100, 1000))  # fmt: skip
        mine, tenth = _least(lambda ten=ten: solve(ten)), _least(lambda one=one: solve(one))  # type: ignore[misc]
        yield {"name": "network", "case": f"200000 {case}", "ours_s": mine,
               "reference": "ten times 20000", "reference_s": 10 * tenth,
               "ratio": 10 * tenth / mine}  # fmt: skip


def _deck(folder: Path, numbers: Numbers, analysis: str) -> Path:
    file = folder / "panel.cir"
    control = [OPTIONS, ".control", analysis, "print i(V1)", ".endc", ".end"]
    file.write_text("\n".join(["* panel", *numbers.deck(), *control]) + "\n", encoding="utf-8")
    return file


def _result(case: str, ours: Callable[[], object], deck: Path) -> dict[str, Any]:
    took: tuple[list[float], list[float]] = ([], [])
    for _ in range(RUNS):
        took[0].append(_least(ours))
        before = _children()
        done = subprocess.run([str(NGSPICE), "-b", str(deck)], capture_output=True, text=True,
                              timeout=300, check=False)  # fmt: skip
        took[1].append(_children() - before)
        assert "i(v1)" in done.stdout.lower(), done.stdout + done.stderr
    # The least of both: whatever else the machine does only adds.
    mine, theirs = (min(times) for times in took)
    return {"name": "network", "case": case, "ours_s": mine, "reference": "ngspice",
            "reference_s": theirs, "ratio": theirs / mine}  # fmt: skip


def _least(ours: Callable[[], object]) -> float:
    """Processor time of the quickest of some runs. [s]"""
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        ours()
        times.append(time.process_time() - start)
    return min(times)


def _children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def spreads(folder: Path) -> Iterator[dict[str, Any]]:
    """Bands of all that is read of 24 rows of 12 groups, against a Monte Carlo of as many cases."""
    numbers = Numbers(24, 12, "opposite ends", track=0.01, rail=0.0005, link=0.02)
    net, scale = numbers.net(), float(numbers.law().scale)
    parts = [
        Part("power", 0.1, {"ohms": lambda d: 1 / (1 + d), "saturation": lambda d: 1 + d}),
        Part("forward", 0.1, {"saturation": lambda d: np.exp(-d / scale)}),
        Part("track", 0.2, {"track": lambda d: 1 + d}),
        Part("joint", 0.5, {"link": lambda d: 1 + d}, shared=False, of=2),
        Part("rail", 0.1, {"rail": lambda d: 1 + d}, shared=False),
        Part("volts", 0.01, {"volts": lambda d: 1 + d}),
    ]
    ends = (Node("rail", (0, 0)), Node("rail", (23, 0))), (Node("rail", (23, 1)),
                                                          Node("rail", (0, 1)))  # fmt: skip
    readings = [
        total("total", net), Reading("lead", (Node("source", (PLUS,)), Node("end", (PLUS,)))),
        Reading("feed", (Node("rail", (0, 0)), Node("rail", (0, 1)))),
        *(Reading("rail", pair) for pair in ends),
        *(Reading("joint", (Node("rail", (row, pole)), Node("row", (row, 11 * pole, pole))))
          for row in range(24) for pole in (PLUS, MINUS)),
    ]  # fmt: skip
    mine = _least(lambda: bands(net, solve(net), readings, parts, 0.0))
    rng = np.random.default_rng(1)

    def drawn() -> None:
        size = shapes(net)
        deviations = [rng.uniform(-part.half, part.half, (SAMPLES, *(
            () if part.shared else size[next(iter(part.acts))]))) for part in parts]  # fmt: skip
        read_moved(net, parts, deviations, readings)

    start = time.process_time()
    drawn()
    theirs = time.process_time() - start
    yield {"name": "bands", "case": f"{len(readings)} readings, goal 0.05 s", "ours_s": mine,
           "reference": f"Monte Carlo of {SAMPLES}, stacked", "reference_s": theirs,
           "ratio": theirs / mine}  # fmt: skip


def faults(folder: Path) -> Iterator[dict[str, Any]]:
    """All single faults of 24 rows of 12 groups at once, against ngspice one by one."""
    if NGSPICE is None:
        return
    numbers = Numbers(24, 12, "opposite ends", track=0.01, rail=0.0005, link=0.02)
    net, deck = numbers.net(), numbers.deck()
    every: list[tuple[tuple[Edit, ...], str, str]] = []
    for row in range(24):
        for link in (0, 1):
            name = f"RL{link}_{row} "
            every += [((Edit("link", (link, row), 0.0),), name, "1e9"),
                      ((Edit("link", (link, row), 1 / 0.22),), name, "0.22")]  # fmt: skip
        # A reversed row is dark: ngspice gets the sound deck, which costs it as much.
        touch = f"RX p{row}_0 n{row}_0 0.01"
        every += [((Edit("groups", (row,), -1.0),), "", ""),
                  ((Edit("shunt", (row, 0), 100.0),), "", touch)]  # fmt: skip
        if row:
            every += [((Edit("segment", (rail, row - 1), 0.0),), f"RR{rail}_{row} ", "1e9")
                      for rail in (0, 1)]  # fmt: skip
    mine = _least(lambda: solve(copies(net, [edits for edits, _, _ in every])))
    theirs = 0.0
    for edits, name, value in every:
        before = _children()
        lines = [f"{line.rsplit(' ', 1)[0]} {value}" if name and line.startswith(name) else line
                 for line in deck] + ([] if name or not value else [value])  # fmt: skip
        # What hangs in the air has a gigaohm, as in ours; else ngspice seldom gets there.
        lines += [f"RK{row}_{k} p{row}_{k} n{row}_{k} 1e9" for row in range(24) for k in range(12)]
        file = folder / "fault.cir"
        control = [OPTIONS, ".control", "op", "print i(V1)", ".endc", ".end"]
        file.write_text("\n".join(["* fault", *lines, *control]) + "\n", encoding="utf-8")
        done = subprocess.run([str(NGSPICE), "-b", str(file)], capture_output=True, text=True,
                              timeout=60, check=False)  # fmt: skip
        assert "i(v1)" in done.stdout.lower(), f"{edits}: ngspice gave up"
        theirs += _children() - before
    yield {"name": "faults", "case": f"{len(every)} single faults", "ours_s": mine,
           "reference": "ngspice, one by one", "reference_s": theirs,
           "ratio": theirs / mine}  # fmt: skip
