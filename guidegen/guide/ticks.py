"""Tick lists: what a step does or reads once for each row, a line a row, to tick or to fill in."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from guidegen.design.model import Model, minus
from guidegen.guide.sheets import ROWS_TOGETHER
from guidegen.guide.step import Step

#: Fewer rows than this need no list.
LEAST = 2


@dataclass(frozen=True)
class TickLine:
    """One row of the list."""

    row: str
    """Reference of the row."""
    wires: tuple[str, ...]
    """What is joined to it in this step, each to be ticked."""
    read: tuple[bool, ...]
    """For each of the list's readings, whether it is taken at this row."""


@dataclass(frozen=True)
class Ticks:
    """The list of one step."""

    lines: tuple[TickLine, ...]
    readings: tuple[str, ...]
    """What stands over each blank: the points, without the row's reference."""

    @property
    def parts(self) -> list[tuple[TickLine, ...]]:
        """The lines in parts of which each fits on a sheet, as even as can be."""
        count = -(-len(self.lines) // ROWS_TOGETHER)
        size = -(-len(self.lines) // count)
        return [self.lines[at : at + size] for at in range(0, len(self.lines), size)]


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
    read = _columns(step, rows.values())
    told = {*wires, *(row for column in read.values() for row in column)}
    if len(told) < LEAST:
        return None
    return Ticks(
        tuple(TickLine(ref, tuple(wires.get(ref, ())), tuple(ref in one for one in read.values()))
              for ref in rows.values() if ref in told),
        tuple(points for _, points in read),
    )  # fmt: skip


def _columns(step: Step, rows: Collection[str]) -> dict[tuple[int, str], set[str]]:
    """(Number of the reading, points that the probes stand on) to the rows it is taken at.

    A row that is fed at both ends is read at both, each a column.
    """
    found: dict[tuple[int, str], set[str]] = {}
    for reading in step.reads:
        if reading.instrument not in ("ohms", "volts", "mv"):
            continue
        mine: dict[tuple[int, str], set[str]] = {}
        for pair in reading.probes:
            ends = [key.partition(":") for key in pair]
            at = {ref for ref, _, _ in ends if ref in rows}
            points = minus(" – ".join(name for _, _, name in ends))
            mine.setdefault((reading.number, points), set()).update(at)
        if len(set().union(*mine.values())) >= LEAST:
            found |= mine
    return found
