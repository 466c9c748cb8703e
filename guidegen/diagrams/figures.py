"""The door of the room: all figures of a design by name."""

from __future__ import annotations

from guidegen.diagrams.battery_lead import battery_lead, lead_refs, lead_step
from guidegen.diagrams.board import board_backs
from guidegen.diagrams.calibration import SCREWS, Setup, calibration
from guidegen.diagrams.chain import chain
from guidegen.diagrams.connector import connectors
from guidegen.diagrams.control import controls
from guidegen.diagrams.finished import finished
from guidegen.diagrams.holes import hole_plan, hole_plans
from guidegen.diagrams.layouts import layouts
from guidegen.diagrams.outline import outlines
from guidegen.diagrams.plan import plan
from guidegen.diagrams.row_ends import row_ends
from guidegen.diagrams.rows import rows
from guidegen.diagrams.schematic import schematic
from guidegen.diagrams.section import section
from guidegen.diagrams.solids import side_of
from guidegen.diagrams.source import DesignLike
from guidegen.diagrams.step_words import Probed
from guidegen.diagrams.steps import step_figure
from guidegen.diagrams.style import literal
from guidegen.diagrams.svg import Figure
from guidegen.diagrams.templates import templates
from guidegen.diagrams.wiring import wiring

__all__ = [
    "SCREWS",
    "Figure",
    "Probed",
    "Setup",
    "calibration",
    "draw",
    "hole_plan",
    "lead_refs",
    "lead_step",
    "literal",
    "side_of",
    "step_figure",
]


def draw(design: DesignLike) -> dict[str, Figure]:
    """Draw every figure that follows from the design alone; those it has nothing for are left out.

    Returns
    -------
    dict
        `finished`, `outline`, `section`, `chain`, `schematic`, `rows` (and `rows-2`, ... where a
        page is too small, as for others), `board-back`, `wiring-plan`, `wiring-back`, `row-end`,
        `connector`, `battery-lead`, `control-back`, `holes-U1`, ..., `sheet-1`, ..., `bar-1`, ...
    """
    figures = [
        finished(design),
        *outlines(design),
        section(design),
        chain(design),
        *schematic(design),
        *rows(design),
        *board_backs(design),
        plan(design),
        *wiring(design),
        *row_ends(design),
        *connectors(design),
        battery_lead(design),
        *controls(design),
        *hole_plans(design),
        *layouts(design),
        *templates(design),
    ]
    return {figure.name: figure for figure in figures if figure is not None}
