"""Units, shown steps and safe sides; the one place where a number becomes text.

Every law of `guidegen.calc` annotates its arguments and its return with one of the kinds at the
end of this module. To mypy and to the machine they are plain floats in SI units.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, get_type_hints

NBSP = "\u00a0"
THIN = "\u202f"
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
LOWERED = {after: before for before, after in RAISED.items()}

#: How the reader sees an SI unit that pint spells in words.
SI_SIGNS = {
    "ohm": "Ω",
    "ohm/m": "Ω/m",
    "ohm*m": "Ω·m",
    "m**2": "m²",
    "kg/m**3": "kg/m³",
    "A*h": "Ah",
    "W*h": "Wh",
    "W/(m*K)": "W/(m·K)",
    "J/(m**3*K)": "J/(m³·K)",
    "W/m**2": "W/m²",
    "W/(m**2*K)": "W/(m²·K)",
    "cd/m**2": "cd/m²",
    "lx*s": "lx·s",
}

#: A pure function whose arguments and return are annotated with kinds.
Law = Callable[..., float]

SIDE: dict[str, Callable[[float], float]] = {
    "nearest": round,
    "up": math.ceil,
    "down": math.floor,
}


@dataclass(frozen=True)
class Style:
    """How a guide writes its numbers."""

    decimal: str = "."


STYLE: ContextVar[Style] = ContextVar("style", default=Style())  # noqa: B039 - frozen


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: its SI unit, how it is shown, and which side is safe."""

    si: str
    """Unit of the stored number, as pint spells it."""
    step: float = 0.0
    """Smallest shown step, in the shown unit; 0: significant figures are used instead."""
    shown: str = ""
    """Unit as the reader sees it; empty: the SI unit."""
    scale: float = 1.0
    """shown = si * scale + offset"""
    toward: str = "nearest"
    """`up` or `down` where only one side is safe."""
    figures: int = 3
    """Significant figures, where step is 0."""
    trim: bool = False
    """A rating or label: trailing zeros go."""
    offset: float = 0.0
    """Added after scaling: only temperatures have one."""
    coarse: tuple[float, float] = (math.inf, 0.0)
    """(from, step): from this shown size on, the coarser step."""
    space: bool = True
    """A no-break space before the unit; false for the degree of angle."""
    thousands: str = ""
    """Unit that takes over from a thousand shown units on: `kΩ`."""

    def sized(self, number: float) -> Kind:
        """The kind that shows a number of this size: 4.3 kΩ, not 4300 Ω."""
        if not self.thousands or abs(number * self.scale) < 1000:
            return self
        return replace(self, shown=self.thousands, scale=self.scale / 1000, thousands="")

    def step_at(self, number: float) -> float:
        """The shown step at this size, in the shown unit."""
        shown = abs(number * self.scale + self.offset)
        if self.step:
            return self.coarse[1] if shown >= self.coarse[0] else self.step
        if shown == 0 or not math.isfinite(shown):
            return 1.0
        return 10.0 ** (math.floor(math.log10(shown) + 1e-12) - self.figures + 1)

    def text(
        self, number: float, finer: int = 0, toward: str = "", step: float = 0.0, unit: bool = True
    ) -> str:
        """Write a number of this kind: the one place where a number becomes text.

        Parameters
        ----------
        number : float
            The value, in SI.
        finer : int
            How many more decimal places than a page shows: for the workings page.
        toward : str
            Overrides the safe side.
        step : float
            Overrides the shown step: a value and its tolerance show the same decimals.
        unit : bool
            Whether the unit follows.
        """
        sized = self.sized(number)
        if sized is not self and not step:
            return sized.text(number, finer, toward, step, unit)
        step = (step or self.step_at(number)) / 10**finer
        rounded = self._rounded(number, toward, step)
        places = max(0, math.ceil(-math.log10(step) - 1e-9))
        digits = f"{rounded + 0.0:.{places}f}"
        if self.trim and "." in digits:
            digits = digits.rstrip("0").rstrip(".")
        if digits.strip("-0.") == "":
            digits = digits.lstrip("-")
        return self._dressed(digits) + (self.unit_text() if unit else "")

    def as_shown(self, number: float, toward: str = "", step: float = 0.0) -> float:
        """The number in SI that `text` shows: a reading is compared with what was printed."""
        shown = self._rounded(number, toward, step or self.step_at(number))
        return (shown - self.offset) / self.scale

    def _rounded(self, number: float, toward: str, step: float) -> float:
        shown = number * self.scale + self.offset
        if not math.isfinite(shown):
            raise ValueError(f"{number} can't be shown")
        return SIDE[toward or self.toward](round(shown / step, 6)) * step

    def si_text(self, number: float, finer: int = 0) -> str:
        """The number in SI, for the workings page only: its sums are done in SI."""
        step = self.step_at(number) / self.scale / 10**finer
        places = max(0, math.ceil(-math.log10(step) - 1e-9))
        unit = "" if self.si == "1" else NBSP + SI_SIGNS.get(self.si, self.si)
        if places > 6 and number:
            power = math.floor(math.log10(abs(number)))
            digits = f"{number / 10**power:.{max(0, power + places)}f}"
            return f"{self._dressed(digits)}·10{str(power).translate(RAISED)}{unit}"
        return self._dressed(f"{round(number / step) * step + 0.0:.{places}f}") + unit

    def unit_text(self) -> str:
        """The unit with the space before it."""
        name = self.shown or self.si
        if name == "1":
            return ""
        return (NBSP if self.space else "") + name

    def _dressed(self, digits: str) -> str:
        whole, dot, rest = digits.partition(".")
        sign = "−" if whole.startswith("-") else ""
        whole = whole.lstrip("-")
        if len(whole) > 4:
            whole = THIN.join(
                [whole[: len(whole) % 3]] * bool(len(whole) % 3)
                + [whole[i : i + 3] for i in range(len(whole) % 3, len(whole), 3)]
            )
        return sign + whole + (STYLE.get().decimal + rest if dot else "")


@cache
def kinds(law: Law) -> dict[str, Kind]:
    """The kind of each argument and, under `return`, of the result."""
    hints = get_type_hints(law, include_extras=True)
    return {
        name: next(mark for mark in hint.__metadata__ if isinstance(mark, Kind))
        for name, hint in hints.items()
        if any(isinstance(mark, Kind) for mark in getattr(hint, "__metadata__", ()))
    }


# Electrical. Ratings and labels are shown as they are printed on the part.
Volt = Annotated[float, Kind("V", 0.01)]
SupplyVolt = Annotated[float, Kind("V", 0.1)]
VoltRating = Annotated[float, Kind("V", trim=True)]
MilliVolt = Annotated[float, Kind("V", 0.1, "mV", 1e3, "up", coarse=(10, 1))]
Ampere = Annotated[float, Kind("A", 0.01, coarse=(1.0, 0.1))]
FineAmpere = Annotated[float, Kind("A", 0.01)]
AmpereRating = Annotated[float, Kind("A", trim=True)]
MilliAmpere = Annotated[float, Kind("A", 0, "mA", 1e3)]
Watt = Annotated[float, Kind("W")]
MilliWatt = Annotated[float, Kind("W", 1, "mW", 1e3, "up")]
WattRating = Annotated[float, Kind("W", trim=True)]
WattPerMetre = Annotated[float, Kind("W/m", trim=True)]
Ohm = Annotated[float, Kind("ohm", 0, "Ω", thousands="kΩ")]
OhmRating = Annotated[float, Kind("ohm", shown="Ω", trim=True, thousands="kΩ")]
MilliOhm = Annotated[float, Kind("ohm", 0, "mΩ", 1e3)]
OhmPerMetre = Annotated[float, Kind("ohm/m", 0, "mΩ/m", 1e3)]
OhmMetre = Annotated[float, Kind("ohm*m", 0, "Ω·mm²/m", 1e6, trim=True)]
AmpereHour = Annotated[float, Kind("A*h", trim=True, shown="Ah")]
WattHour = Annotated[float, Kind("W*h", 0, "Wh")]
Hertz = Annotated[float, Kind("Hz", trim=True, thousands="kHz")]
Second = Annotated[float, Kind("s", trim=True)]
ShortTime = Annotated[float, Kind("s", 0, "ms", 1e3, figures=2, thousands="s")]
Hour = Annotated[float, Kind("h", 0.1, toward="down")]
Minute = Annotated[float, Kind("min", 1, coarse=(15, 5))]
PerVolt = Annotated[float, Kind("1/V", 0, "%/V", 100)]
# Geometry and matter.
Metre = Annotated[float, Kind("m", 1, "mm", 1e3)]
FineMetre = Annotated[float, Kind("m", 0.1, "mm", 1e3, trim=True)]
ThinMetre = Annotated[float, Kind("m", 0.001, "mm", 1e3, trim=True)]
LongMetre = Annotated[float, Kind("m", 0.01, toward="up")]
SquareMetre = Annotated[float, Kind("m**2", 0.001, "m²")]
FreeArea = Annotated[float, Kind("m**2", 1, "mm²", 1e6, "down")]
ConductorArea = Annotated[float, Kind("m**2", 0, "mm²", 1e6, trim=True)]
Kilogram = Annotated[float, Kind("kg", 0.01, toward="up", coarse=(0.5, 0.1))]
PullForce = Annotated[float, Kind("N", 1, toward="up")]
Millilitre = Annotated[float, Kind("m**3", 10, "ml", 1e6, "up")]
Coverage = Annotated[float, Kind("1/m", 0, "m²/l", 1e-3, trim=True)]
HeatCapacity = Annotated[float, Kind("J/(m**3*K)", 0, "J/(m³·K)", trim=True)]
KilogramPerCubicMetre = Annotated[float, Kind("kg/m**3", 0, "kg/m³", trim=True)]
Degree = Annotated[float, Kind("rad", 1, "°", 180 / math.pi, space=False)]
# Heat. A rise is in kelvin; a temperature is stored in kelvin and shown in degrees Celsius.
Kelvin = Annotated[float, Kind("K", 1)]
Celsius = Annotated[float, Kind("K", 1, "°C", offset=-273.15, toward="up")]
KelvinPerWatt = Annotated[float, Kind("K/W", 0, "K/W", toward="up")]
PerKelvin = Annotated[float, Kind("1/K", 0, "1/K")]
WattPerMetreKelvin = Annotated[float, Kind("W/(m*K)", 0, "W/(m·K)", trim=True)]
WattPerSquareMetre = Annotated[float, Kind("W/m**2", 0, "W/m²")]
WattPerSquareMetreKelvin = Annotated[float, Kind("W/(m**2*K)", 0, "W/(m²·K)")]
# Light. pint tells neither lux from luminance nor lumen from candela: the names must.
Lux = Annotated[float, Kind("lx", 0, figures=2, toward="down")]
LuxReach = Annotated[float, Kind("lx", 0, figures=2, toward="up")]
Lumen = Annotated[float, Kind("lm", 0, figures=2)]
LumenPerMetre = Annotated[float, Kind("lm/m", trim=True)]
CandelaPerSquareMetre = Annotated[float, Kind("cd/m**2", 0, "cd/m²", figures=2)]
# Numbers.
Percent = Annotated[float, Kind("1", 1, "%", 100)]
FinePercent = Annotated[float, Kind("1", 0.1, "%", 100)]
LightShare = Annotated[float, Kind("1", 1, "%", 100, "down")]
Count = Annotated[float, Kind("1", 1)]
Ratio = Annotated[float, Kind("1", 0)]
Price = Annotated[float, Kind("1", 0.01)]


def kind_of(annotated: object) -> Kind:
    r"""The kind behind one of the names above.

    Examples
    --------
    >>> kind_of(Metre).text(0.3)
    '300\xa0mm'
    """
    return next(m for m in annotated.__metadata__ if isinstance(m, Kind))  # type: ignore[attr-defined]
