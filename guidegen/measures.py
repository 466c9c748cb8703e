"""How each kind of quantity may be written: its spellings, in one table."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated

from guidegen import kinds
from guidegen.kinds import Kind, kind_of

#: Area that a litre of a coating covers once.
Coverage = Annotated[float, Kind("1/m", 0, "m²/l", 1e-3, trim=True)]


@dataclass(frozen=True)
class Measure:
    """How one kind of quantity may be written."""

    noun: str
    """`a length`."""
    si: str
    """Unit of the number that comes out."""
    units: Mapping[str, str] = field(hash=False)
    """Spelling to pint's name; `""`: no unit."""
    forms: str
    """What is accepted, in words."""
    example: str
    signed: bool = False
    whole: bool = False
    exponent: bool = False
    fractions: tuple[str, ...] = ()
    """Spellings that go with `3 1/2`."""
    tolerances: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Units of a tolerance, where they differ: temperatures."""
    gauge: bool = False
    """Whether `12 AWG` is accepted."""

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """A number, its unit, perhaps a tolerance; other scripts' digits are no digits here."""
        number = r"\d{1,9}" if self.whole else r"\d{1,9}(?:\.\d{1,9})?"
        if self.exponent:
            number += r"(?:e-?\d)?"
        if self.fractions:
            number += r"|(?:\d{1,4} )?\d{1,4}/[1-9]\d{0,3}"
        sign = "[+-]?" if self.signed else ""
        tolerance = (
            rf"\s*(?:±|\+/-)\s*(\d{{1,9}}(?:\.\d{{1,9}})?)\s*({_either([*self.delta, '%'])})"
        )
        return re.compile(rf"({sign}(?:{number}))\s*({_either(self.units)})(?:{tolerance})?", re.A)

    @property
    def delta(self) -> Mapping[str, str]:
        """Units of a difference."""
        return self.tolerances or self.units


def _either(words: Mapping[str, str] | list[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


_OHMS = {"Ω": "ohm", "ohm": "ohm", "mΩ": "milliohm", "mohm": "milliohm"}
_BIG_OHMS = {"kΩ": "kiloohm", "kohm": "kiloohm", "MΩ": "megaohm", "Mohm": "megaohm"}
_POINT = "a number with a point, then "
LENGTH = Measure(
    "a length",
    "m",
    {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot"},
    _POINT + "mm, cm, m, in or ft",
    "25 mm",
    fractions=("in", "ft"),
)
TEMPERATURES = {"°C": "degC", "degC": "degC", "°F": "degF", "degF": "degF"}
TEMPERATURE = Measure(
    "a temperature",
    "K",
    TEMPERATURES,
    _POINT + "°C, degC, °F or degF",
    "30 °C",
    signed=True,
    tolerances={"K": "K", "°C": "K", "degC": "K"},
)
PERCENT = Measure("a percentage", "1", {"%": "percent"}, _POINT + "%", "20 %")
COUNT = Measure("a whole number", "1", {"": "1"}, "a whole number without unit", "12", whole=True)
RATIO = Measure("a plain number", "1", {"": "1"}, "a number with a point, without unit", "1.5")

MEASURES: dict[str, Measure] = {
    measure.si: measure
    for measure in (
        LENGTH,
        Measure(
            "an area",
            "m**2",
            {"mm²": "millimeter**2", "mm2": "millimeter**2"},
            _POINT + "mm², mm2 or AWG",
            "0.75 mm²",
            gauge=True,
        ),
        Measure("a voltage", "V", {"V": "volt", "mV": "millivolt"}, _POINT + "V or mV", "12 V"),
        Measure("a current", "A", {"A": "ampere", "mA": "milliampere"}, _POINT + "A or mA", "3 A"),
        Measure("a power", "W", {"W": "watt"}, _POINT + "W", "30 W"),
        Measure("a power per metre", "W/m", {"W/m": "watt/meter"}, _POINT + "W/m", "9.6 W/m"),
        Measure(
            "a resistance",
            "ohm",
            _OHMS | _BIG_OHMS,
            _POINT + "Ω (ohm), mΩ, kΩ (kohm) or MΩ",
            "4.7 kohm",
        ),
        Measure(
            "a resistance per metre",
            "ohm/m",
            {f"{sign}/m": f"{name}/meter" for sign, name in _OHMS.items()},
            _POINT + "mΩ/m (mohm/m) or Ω/m (ohm/m)",
            "160 mohm/m",
        ),
        Measure(
            "a resistivity",
            "ohm*m",
            {text: "ohm*millimeter**2/meter" for text in ("Ω mm²/m", "Ω·mm²/m", "ohm mm²/m")},
            _POINT + "Ω mm²/m (ohm mm²/m)",
            "0.017241 ohm mm²/m",
        ),
        Measure("a luminous flux per metre", "lm/m", {"lm/m": "lm/m"}, _POINT + "lm/m", "850 lm/m"),
        Measure(
            "a capacity",
            "A*h",
            {"Ah": "ampere*hour", "mAh": "milliampere*hour"},
            _POINT + "Ah or mAh",
            "20 Ah",
        ),
        Measure("an illuminance", "lx", {"lx": "lux", "fc": "fc"}, _POINT + "lx or fc", "800 lx"),
        Measure("an angle", "rad", {"°": "deg", "deg": "deg"}, _POINT + "° or deg", "45 °"),
        Measure("a frequency", "Hz", {"Hz": "Hz", "kHz": "kilohertz"}, _POINT + "Hz", "3 kHz"),
        Measure(
            "a time",
            "s",
            {"s": "second", "min": "minute", "h": "hour"},
            "a number or a fraction, then s, min or h",
            "1/60 s",
            fractions=("s",),
        ),
        Measure(
            "a time", "h", {"h": "hour", "min": "minute"}, _POINT + "h or min", "2 h"
        ),
        Measure(
            "a density",
            "kg/m**3",
            {"kg/m³": "kilogram/meter**3", "kg/m3": "kilogram/meter**3"},
            _POINT + "kg/m³ or kg/m3",
            "750 kg/m³",
        ),
        Measure(
            "a thermal conductivity",
            "W/(m*K)",
            {text: "watt/meter/kelvin" for text in ("W/(m K)", "W/(m·K)", "W/(m*K)")},
            _POINT + "W/(m K)",
            "0.12 W/(m K)",
        ),
        Measure(
            "a thermal resistance", "K/W", {"K/W": "kelvin/watt"}, _POINT + "K/W", "9 K/W"
        ),
        Measure(
            "an expansion",
            "1/K",
            {"/K": "1/kelvin", "1/K": "1/kelvin"},
            "a number such as 70e-6, then /K",
            "70e-6 /K",
            exponent=True,
        ),
        Measure(
            "a line regulation",
            "1/V",
            {"%/V": "percent/volt", "/V": "1/volt"},
            _POINT + "%/V",
            "0.5 %/V",
        ),
        Measure(
            "a coverage",
            "1/m",
            {"m²/l": "meter**2/liter", "m2/l": "meter**2/liter"},
            _POINT + "m²/l",
            "8 m²/l",
        ),
    )
}  # fmt: skip
MEASURES["K"] = Measure("a number of kelvins", "K", {"K": "kelvin"}, _POINT + "K", "4000 K")
_BY_KIND = {
    kind_of(kinds.Celsius): TEMPERATURE,
    kind_of(kinds.Percent): PERCENT,
    kind_of(kinds.FinePercent): PERCENT,
    kind_of(kinds.Count): COUNT,
    kind_of(kinds.Ratio): RATIO,
}


def measure_of(kind: Kind) -> Measure:
    """How a quantity of this kind is written.

    Raises
    ------
    KeyError
        If no text is read into this kind.
    """
    return _BY_KIND.get(kind) or MEASURES[kind.si]
