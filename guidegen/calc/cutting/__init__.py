"""Plans for cutting sheets and bars: the cheapest stock, and cuts in the order of working."""

from guidegen.calc.cutting.bars import bar_plan, tape_plan
from guidegen.calc.cutting.model import (
    Bar,
    BarCut,
    BarPiece,
    BarPlan,
    BarStock,
    Cut,
    CuttingError,
    Piece,
    Placed,
    Sheet,
    SheetPlan,
    SheetStock,
)
from guidegen.calc.cutting.sheets import sheet_plan

__all__ = [
    "Bar",
    "BarCut",
    "BarPiece",
    "BarPlan",
    "BarStock",
    "Cut",
    "CuttingError",
    "Piece",
    "Placed",
    "Sheet",
    "SheetPlan",
    "SheetStock",
    "bar_plan",
    "sheet_plan",
    "tape_plan",
]
