"""Did you mean: a repaired spelling of a quantity, offered and never taken."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TypeVar

from guidegen.measures import Measure
from guidegen.units import LONGEST, UnitsError, tidy

_UNIT_WORDS = {
    "inch": "in", "inches": "in", '"': "in", "″": "in", "feet": "ft", "foot": "ft", "'": "ft",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "millimetres": "mm",
    "millimeters": "mm", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A",
    "watt": "W", "watts": "W", "hour": "h", "hours": "h", "hrs": "h", "hr": "h", "minutes": "min",
    "sec": "s", "seconds": "s", "c": "°C", "f": "°F", "degrees": "°", "percent": "%", "pct": "%",
    "lux": "lx", "ohms": "ohm", "sqmm": "mm²", "mm^2": "mm²", "mm": "mm²",
}  # fmt: skip
_HALVES = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
_T = TypeVar("_T")


def guess(text: str, measure: Measure, parse: Callable[[str], _T]) -> str:
    """A repaired spelling that `parse` can read, or an empty text."""
    if len(text) > LONGEST:
        return ""
    for repaired in _repairs(tidy(text), measure):
        try:
            parse(repaired)
        except UnitsError:
            continue
        return repaired if repaired != tidy(text) else ""
    return ""


def _repairs(text: str, measure: Measure) -> Iterator[str]:
    # A comma before three digits may stand for thousands: no guess is sound there.
    point = re.sub(r"(?<!\d)(\d+),(\d{1,2}|\d{4,9})(?![\d,.])", r"\1.\2", text)
    point = re.sub(r"(?<![\d.])\.(\d)", r"0.\1", point)
    for half, fraction in _HALVES.items():
        point = re.sub(rf"(\d?)\s*{half}", rf"\1 {fraction}", point).strip()
    yield point
    known = re.sub(r"([^\W\d_°%]+\^?\d?|[\"″'])(?=\s|$)", lambda w: _unit(w[1], measure), point)
    yield known
    yield re.sub(r"^(auto |at least |at most )?AWG (\d+)$", r"\1\2 AWG", known)
    yield re.sub(r"(\d[\d.]*)\s*(?:–|—|-|to)\s*(\d[\d.]*)\s*(\D+)$", r"\1 \3 to \2 \3", known)
    yield re.sub(r"^(\d+)[kK](\d+)$", r"\1.\2 kohm", point)
    yield re.sub(r"^(\d+)[rR](\d+)$", r"\1.\2 ohm", point)
    yield re.sub(r"(?i)\s*DC$", "", known)
    yield re.sub(r"(±|\+/-)\s*([\d.]+)$", r"\1 \2 %", known)


def _unit(word: str, measure: Measure) -> str:
    """A unit as it is spelled here, found by its name or by its letters alone."""
    if word in measure.units:
        return word
    by_name = _UNIT_WORDS.get(word.casefold(), "")
    if by_name in measure.units:
        return by_name
    folded = [unit for unit in measure.units if unit.casefold() == word.casefold()]
    return folded[0] if len(folded) == 1 else word
