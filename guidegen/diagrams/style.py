"""The one place for inks, line weights and text sizes of all drawings.

One drawing unit is one CSS pixel at natural size, so 1 unit prints as 0.2646 mm. Inks are CSS
variables with a print colour behind the comma: the same file serves a light page, a dark page and
paper. `literal` puts the print colours in, for programs that don't know `var()`.
"""

from __future__ import annotations

import re
from typing import Final

INK: Final = "var(--gg-ink, #111)"
FAINT: Final = "var(--gg-faint, #666)"
PAPER: Final = "var(--gg-paper, #fff)"
TINT: Final = "var(--gg-tint, #e4e4e4)"

MM: Final = 96 / 25.4
"""Drawing units in a millimetre of paper at natural size."""

# ISO 128-2 asks for wide : narrow = 2 : 1, from the series 0.13 .. 1.0 mm (from memory).
WIDE: Final = round(0.5 * MM, 2)
NARROW: Final = round(0.25 * MM, 2)

TEXT: Final = 13.5
"""Font size: 2.5 mm letter height on paper (capitals are 0.73 em), about 10 pt."""
SMALL: Final = 13.1
"""Pin numbers and signs, where two sizes tell apart: 2.5 mm letters on paper as well."""
TITLE: Final = 15.0
FONT: Final = "'DejaVu Sans',Verdana,sans-serif"

PHONE: Final = 360
"""Width of a figure that fits a phone: shown 328 px wide, TEXT is still above 12 px."""
SHEET: Final = 648
"""Widest figure that is printed at natural size between the margins of A4 (171 mm)."""
TALL: Final = 812
"""Tallest figure that is printed at natural size with its caption: 215 mm, on Letter too."""


def _pen(width: float, dash: str = "", ink: str = INK, fill: str = "none") -> str:
    dashes = f";stroke-dasharray:{dash}" if dash else ""
    return f"fill:{fill};stroke:{ink};stroke-width:{width}{dashes}"


STYLES: Final[dict[str, str]] = {
    "wide": _pen(WIDE),
    "narrow": _pen(NARROW),
    "hidden": _pen(NARROW, "6 3"),
    "centre": _pen(NARROW, "14 3 3 3"),
    "cut": _pen(NARROW, "10 3 2 3 2 3"),
    "minus": _pen(WIDE, "9 3"),
    "signal": _pen(WIDE, "2 3"),
    "faint": _pen(NARROW, ink=FAINT),
    "faint-minus": _pen(NARROW, "9 3", FAINT),
    "new": _pen(round(0.7 * MM, 2)),
    "new-minus": _pen(round(0.7 * MM, 2), "10 4"),
    "body": _pen(WIDE, fill=PAPER),
    "plate": _pen(NARROW, fill=PAPER),
    "tinted": _pen(WIDE, fill=TINT),
    "ghost": _pen(NARROW, ink=FAINT, fill=PAPER),
    "strong": _pen(round(0.7 * MM, 2), fill=TINT),
    "solid": f"fill:{INK};stroke:none",
    "paper": f"fill:{PAPER};stroke:none",
    "tint": f"fill:{TINT};stroke:none",
}
"""What each kind of line or area looks like."""

_VARIABLE: Final = re.compile(r"var\(--[a-z-]+, ([^)]*)\)")


def literal(svg: str) -> str:
    """The drawing with its print colours in place of the variables.

    Examples
    --------
    >>> literal("fill:var(--gg-ink, #111)")
    'fill:#111'
    """
    return _VARIABLE.sub(r"\1", svg)


def stepped(polarity: str, new: bool) -> str:
    """Line style of a conductor in a step: the negative one is dashed, for grey print."""
    return ("new" if new else "faint") + ("-minus" if polarity == "-" else "")
