"""The range of an instrument that a reading is taken in."""

from __future__ import annotations

from math import isfinite
from typing import Annotated

from guidegen.kinds import Celsius, Kind, Lux, Metre, kind_of
from guidegen.values import Value

#: Ends of the ranges by instrument, in SI: common practice, no source. Of multimeters of 2000,
#: 4000 and 6000 counts those that a usual one has; one that finds its range itself needs none.
RANGES: dict[str, tuple[float, ...]] = {
    "ohms": (200.0, 2e3, 20e3, 200e3, 2e6, 20e6),
    "volts": (20.0, 40.0, 60.0, 200.0),
    "mv": (0.2, 2.0),
    "short": (10.0,),
    "celsius": (373.15, 423.15, 473.15),
    "lux": (200.0, 2e3, 20e3, 200e3),
    "rule": (0.3, 0.5, 1.0, 2.0, 5.0),
}
MegaOhm = Annotated[float, Kind("ohm", shown="MΩ", scale=1e-6, trim=True)]
_OHM = kind_of(Annotated[float, Kind("ohm", shown="Ω", trim=True, thousands="kΩ")])
_KINDS = {
    "volts": kind_of(Annotated[float, Kind("V", trim=True)]),
    "mv": kind_of(Annotated[float, Kind("V", shown="mV", scale=1e3, trim=True)]),
    "short": kind_of(Annotated[float, Kind("A", trim=True)]),
    "celsius": kind_of(Celsius),
    "lux": kind_of(Lux),
    "rule": kind_of(Metre),
}
#: From here a range is named in megohms. [ohm].
_MEGA = 1e6


def range_of(instrument: str, expected: Value | None, most: float, settings: float = 0.0) -> str:
    """End of the smallest usual range in which a reading can be seen, as text.

    Parameters
    ----------
    instrument : str
        ohms, volts, mv, short, celsius, lux or rule; any other has none.
    expected : Value or None
        Expected, or the limit that the reading must keep.
    most : float
        The greatest reading that is right, in SI; not finite where only the other end counts.
    settings : float
        Range that the settings are read in: one range serves all volts of a guide, if it can. [V]

    Returns
    -------
    str
        Empty where the instrument has no range, or none goes so far.
    """
    if expected is None or instrument not in RANGES:
        return ""
    least = max(abs(expected.si), abs(most) if isfinite(most) else 0.0)
    fitting = [
        end
        for end in RANGES[instrument]
        if end > least and (instrument != "volts" or end >= settings)
    ]
    if not fitting:
        return ""
    if instrument == "ohms":
        return (kind_of(MegaOhm) if fitting[0] >= _MEGA else _OHM).text(fitting[0])
    return _KINDS[instrument].text(fitting[0])
