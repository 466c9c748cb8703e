"""Tick lists: what a step does or reads once for each row, a line a row, to tick or to fill in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from guidegen.design.model import Model
from guidegen.guide.step import Reading, Step

#: Fewer rows than this need no list.
LEAST = 2


@dataclass(frozen=True)
class TickLine:
    """One row of the list."""

    row: str
    """Reference of the row."""
    wires: tuple[str, ...]
    """What is joined to it in this step, each to be ticked."""
    blanks: int
    """Readings to be written down."""


@dataclass(frozen=True)
class Ticks:
    """The list of one step."""

    lines: tuple[TickLine, ...]
    readings: tuple[str, ...]
    """What stands over each blank: the points, without the row's reference."""


def ticks(step: Step, model: Model) -> Ticks | None:
    """The list of a step that repeats from row to row; None where it does not.

    Parameters
    ----------
    step : Step
        Its selectors expanded.
    model : Model
        The design's.
    """
    rows = {part.row: part.ref for part in model.by_role("row")}
    joints = {joint.ref: joint.conductor for joint in model.joints}
    made = {joints[ref] for act in step.acts for ref in act.joints}
    wires: dict[str, list[str]] = {}
    for wire in model.conductors:
        if wire.ref in made and wire.row in rows:
            wires.setdefault(rows[wire.row], []).append(wire.ref)
    read = [reading for reading in step.reads if len(_rows(reading, rows.values())) >= LEAST]
    told = {*wires, *(ref for one in read for ref in _rows(one, rows.values()))}
    if len(told) < LEAST:
        return None
    return Ticks(
        tuple(TickLine(ref, tuple(wires.get(ref, ())), len(read))
              for ref in rows.values() if ref in told),
        tuple(_points(one) for one in read),
    )  # fmt: skip


def _rows(reading: Reading, rows: Iterable[str]) -> list[str]:
    """The rows that a reading is taken at, one after the other."""
    if reading.instrument not in ("ohms", "volts", "mv"):
        return []
    refs = {key.split(":")[0] for pair in reading.probes for key in pair}
    return [row for row in rows if row in refs]


def _points(reading: Reading) -> str:
    """`OUT+ to L+`: where the probes of the first pair stand."""
    red, black = reading.probes[0]
    names = [key.partition(":")[2] for key in (red, black)]
    return f"{names[0]} – {names[1]}".replace("-", "−")
