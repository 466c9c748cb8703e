"""Text to SI floats: the one pint registry and the one grammar of written quantities.

pint checks dimensions, not sense: it reads `2,5 m` as 25 m and `1.2.3 V` as 0.36 V. So a text is
matched against a short list of spellings first, and pint only ever sees a number and a unit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from pint import UnitRegistry

from guidegen.errors import GuidegenError
from guidegen.measures import LENGTH, MEASURES, PERCENT, TEMPERATURE, Measure

LONGEST = 120
#: ELV of this project: a guide starts at the low-voltage side of an approved adapter.
HIGHEST_VOLTAGE = 60.0
REFUSED = "a guide starts at the low-voltage side of an approved adapter"
MAINS = re.compile(r"\b(?:V?AC|mains|live|neutral)\b|[~∼]", re.I)  # noqa: RUF001 - as typed

# Own definitions: nothing to meet by accident, such as a year (`a`) or Boltzmann's constant (`k`).
_DEFINITIONS = """
milli- = 1e-3 = m-
centi- = 1e-2 = c-
kilo- = 1e3 = k-
mega- = 1e6 = M-
meter = [length] = m
gram = [mass] = g
second = [time] = s
ampere = [current] = A
kelvin = [temperature]; offset: 0 = K
candela = [luminosity] = cd
radian = [] = rad
percent = 0.01
degree = 3.14159265358979323846 / 180 * radian = deg
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
inch = 0.0254 * meter
foot = 12 * inch = ft
liter = 1e-3 * meter ** 3
minute = 60 * second = min
hour = 3600 * second = h
hertz = 1 / second = Hz
newton = kilogram * meter / second ** 2 = N
joule = kilogram * meter ** 2 / second ** 2 = J
watt = joule / second = W
volt = watt / ampere = V
ohm = volt / ampere
siemens = 1 / ohm = S
lumen = candela = lm
lux = lumen / meter ** 2 = lx
footcandle = lumen / foot ** 2 = fc
"""


@cache
def registry() -> UnitRegistry[Any]:
    """The one registry; two do not mix."""
    made: UnitRegistry[Any] = UnitRegistry(None)
    made.load_definitions(_DEFINITIONS.strip().splitlines())
    return made


class UnitsError(GuidegenError):
    """A text is no quantity of the kind that was asked for.

    Attributes
    ----------
    problem : str
        What is wrong, without what is accepted.
    final : bool
        Whether the text is refused for good: no list of accepted forms belongs behind it.
    """

    def __init__(self, problem: str, final: bool = False) -> None:
        super().__init__(problem)
        self.problem = problem
        self.final = final


@dataclass(frozen=True)
class Reading:
    """A written quantity, in the SI unit of its kind."""

    si: float
    spread: float = 0.0
    """Half of the tolerance band."""
    source: str = ""
    """The words in brackets behind it."""


# Thin and no-break spaces are white space to `split`; the true minus and the ohm and kelvin signs
# of old character sets are meant as typed.
_TIDY = str.maketrans({"−": "-", "\u2126": "Ω", "\u212a": "K"})
_NOTE = re.compile(r"(.*\S)\s+\(([^()]*)\)", re.S)
_FEET = re.compile(r"(\d{1,4}) ft (\d{1,3}(?:\.\d{1,6}|(?: \d{1,3})?/[1-9]\d{0,3})?) in", re.A)
_GAUGE = re.compile(r"(\d{1,2}|[1-4]/0) AWG", re.A)


def tidy(text: str) -> str:
    """The text with plain single spaces and plain signs."""
    return " ".join(text.translate(_TIDY).split())


def clip(text: str) -> str:
    """A text as a message quotes it: one line, short, nothing that moves a cursor."""
    line = "".join(sign if sign.isprintable() else " " for sign in text)
    return f"'{line[:40]}…'" if len(line) > 44 else f"'{line}'"


# Mends and variations read the same spec many times over.
@lru_cache(maxsize=4096)
def read(text: str, measure: Measure) -> Reading:
    """A single quantity, perhaps with a tolerance and a source in brackets.

    Parameters
    ----------
    text : str
        `9.6 W/m ± 10 % (label)`.
    measure : Measure
        What it must be.

    Returns
    -------
    Reading
        [SI unit of the measure]

    Raises
    ------
    UnitsError
        If it is anything else.

    Examples
    --------
    >>> read("5 ft 3 in", LENGTH)
    Reading(si=1.6002, spread=0.0, source='')
    >>> read("40 mm ± 5 % (label)", LENGTH)
    Reading(si=0.04, spread=0.002, source='label')
    """
    plain, note = _split_note(text)
    if feet := measure is LENGTH and _FEET.fullmatch(plain):
        si = _si(feet[1], "ft", measure) + _si(feet[2], "in", measure)
        return Reading(rounded(si), 0.0, note)
    if gauge := measure.gauge and _GAUGE.fullmatch(plain):
        return Reading(_gauge_area(gauge[1], text), 0.0, note)
    found = measure.pattern.fullmatch(plain)
    if len(text) > LONGEST or not found or ("/" in found[1] and found[2] not in measure.fractions):
        raise UnitsError(_what_is_wrong(text, measure))
    number, unit, tolerance, its_unit = found.groups()
    si = _si(number, unit, measure)
    return Reading(rounded(si), _spread(si, tolerance, its_unit, measure), note)


def _split_note(text: str) -> tuple[str, str]:
    plain = tidy(text)
    found = _NOTE.fullmatch(plain)
    return (found[1], found[2].strip()) if found else (plain, "")


def rounded(number: float) -> float:
    """A number to twelve digits; the further ones differ between machines, and say nothing.

    Examples
    --------
    1 ft comes out of pint as 0.30479999999999996 m, and equal lengths must be equal numbers.

    >>> rounded(0.30479999999999996)
    0.3048
    """
    return float(f"{number:.12g}")


def _number(text: str) -> float:
    return float(sum(Fraction(part) for part in text.split()))


def _si(number: str, unit: str, measure: Measure) -> float:
    return float(registry().Quantity(_number(number), measure.units[unit]).to(measure.si).magnitude)


def _gauge_area(gauge: str, text: str) -> float:
    """Area of a bare solid round wire, in m².

    ASTM B258: d = 0.005 in · 92^((36 - n)/39), n = 0 for 1/0 to -3 for 4/0.
    """
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    if number > 40:
        raise UnitsError(f"{clip(text)} is no American wire gauge; they run from 4/0 to 40")
    diameter = 0.005 * 0.0254 * 92 ** ((36 - number) / 39)
    return rounded(3.141592653589793 / 4 * diameter**2)


def _spread(si: float, tolerance: str | None, unit: str, measure: Measure) -> float:
    if tolerance is None:
        return 0.0
    if unit == "%" and "%" not in measure.units:
        if measure.signed:
            raise UnitsError("a tolerance of a temperature is in K, not in %")
        spread = abs(si) * float(tolerance) / 100
    else:
        pint_unit = measure.delta.get(unit, "1")
        target = "K" if measure.signed else measure.si
        spread = float(registry().Quantity(float(tolerance), pint_unit).to(target).magnitude)
    if spread >= abs(si) and not measure.signed:
        raise UnitsError("the tolerance is as large as the value")
    return rounded(spread)


def _what_is_wrong(text: str, measure: Measure) -> str:
    """A sentence for a text that does not match: another quantity is named as such."""
    if not text.strip():
        return "nothing stands here"
    if len(text) > LONGEST:
        return f"{clip(text)} is too long for {measure.noun}"
    plain = _split_note(text)[0]
    for other in (*MEASURES.values(), TEMPERATURE, PERCENT):
        if other.si != measure.si and other.units.keys() != {""} and other.pattern.fullmatch(plain):
            return f"{clip(text)} is {other.noun}, not {measure.noun}"
    return f"{clip(text)} is not {measure.noun}"


def refuse_mains(text: str, si: float = 0.0) -> None:
    """Refuse what smells of mains.

    Raises
    ------
    UnitsError
        If the words or the voltage do.
    """
    if MAINS.search(text):
        raise UnitsError(f"{clip(text)} is refused: {REFUSED}", final=True)
    if si > HIGHEST_VOLTAGE:
        reason = f"{clip(text)} is refused: {REFUSED}, at most {HIGHEST_VOLTAGE:.0f} V"
        raise UnitsError(reason, final=True)


def read_span(text: str, measure: Measure) -> tuple[Reading, Reading]:
    """`7.5 V ± 0.3 V to 11.8 V`, or one quantity for both ends.

    Raises
    ------
    UnitsError
        If an end can't be read, or the first is above the second.
    """
    plain, note = _split_note(text)
    first, to, second = plain.partition(" to ")
    ends = [read(end, measure) for end in ((first, second) if to else (plain,))]
    low, high = (Reading(end.si, end.spread, end.source or note) for end in (ends[0], ends[-1]))
    if low.si > high.si:
        raise UnitsError(f"{clip(text)} runs downward: the lower end comes first")
    return low, (low if not to else high)
