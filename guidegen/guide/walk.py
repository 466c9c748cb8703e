"""The walk: go through the steps as a builder would, and see whether each can be done.

It keeps state and connections; with a solver it also solves the circuit at every reading. Its rules
are in `guidegen.guide.rules`; a guide whose walk finds anything is not published.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.when import Fact
from guidegen.design.model import Model
from guidegen.guide.net import Net
from guidegen.guide.rules import RULES, after_step, at_end, of_design, of_step
from guidegen.guide.solved import Solved, Solver, solves
from guidegen.guide.state import Before, State
from guidegen.guide.step import Step


@dataclass(frozen=True)
class WalkTrouble:
    """Something that a builder could not do, or should not."""

    step: str
    """Number and id, `3.4 rows-joined`; `design` or `end` if it is no step's."""
    rule: str
    what: str

    def __str__(self) -> str:
        return f"{self.step}: {self.what} [{self.rule}]"


@dataclass(frozen=True)
class WalkRow:
    """A line of the walk's table."""

    step: str
    before: Before
    adds: tuple[str, ...]
    """References that are new in their place after the step: parts fitted, joints made."""
    readable: tuple[str, ...]
    """References of the parts that a probe can reach after it."""


@dataclass(frozen=True)
class SolvedRow:
    """A line of the table of solved readings."""

    step: str
    """Number and id of the step."""
    solved: Solved


@dataclass(frozen=True)
class WalkReport:
    """What a walk found."""

    findings: tuple[WalkTrouble, ...]
    rows: tuple[WalkRow, ...]
    solved: tuple[SolvedRow, ...] = ()
    """Every reading that a circuit decides; empty after a walk without a solver."""

    @property
    def passed(self) -> bool:
        """Whether the guide may be published."""
        return not self.findings


def walk(
    model: Model,
    steps: Sequence[Step],
    facts: Mapping[str, Fact],
    solver: Solver | None = None,
    briefly: bool = False,
) -> WalkReport:
    """Go through the steps.

    Parameters
    ----------
    model : Model
        The design's parts and circuit.
    steps : sequence of Step
        In working order.
    facts : mapping of str to fact
        Facts of the design, and its values in SI by name: `guidegen.guide.bench.all_facts`.
    solver : Solver, optional
        Solves the readings; without one the walk is dry, which asks for no values of a design.
    briefly : bool
        Whether it ends at the first step that something is wrong with.
    """
    state = State(model, facts, Net(model))
    findings = [WalkTrouble("design", rule, what) for rule, what in of_design(model)]
    rows: list[WalkRow] = []
    solved: list[SolvedRow] = []
    for i, step in enumerate(steps):
        name = f"{step.number} {step.id}"
        before, fitted, joints = state.before(), set(state.fitted), set(state.joints)
        found = list(of_step(step, steps[:i]))
        for act in step.acts:
            found += RULES[act.verb](act, step, state)
            if solver is not None and act.reading is not None:
                one, wrong = solves(act.reading, state, solver)
                found += wrong
                solved += [SolvedRow(name, one)] if one else []
        found += after_step(state)
        if step.hold:
            state.hold_points.add(step.hold)
        findings += [WalkTrouble(name, rule, what) for rule, what in found]
        adds = (*sorted(state.fitted - fitted), *sorted(state.joints - joints, key=_number))
        rows.append(WalkRow(name, before, adds, tuple(_readable(state))))
        if briefly and findings:
            return WalkReport(tuple(findings), tuple(rows), tuple(solved))
    findings += [WalkTrouble("end", rule, what) for rule, what in at_end(state)]
    return WalkReport(tuple(dict.fromkeys(findings)), tuple(rows), tuple(solved))


def _number(ref: str) -> int:
    return int("".join(c for c in ref if c.isdigit()) or 0)


def _readable(state: State) -> list[str]:
    parts = dict.fromkeys(terminal.part for terminal in state.model.terminals)
    return [ref for ref in parts if state.is_fitted(ref) and not state.coverer(ref)]
