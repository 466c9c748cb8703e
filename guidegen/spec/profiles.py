"""A negotiated adapter at the profile that its trigger asks for: what it then is to a light."""

from __future__ import annotations

from dataclasses import replace

from guidegen.kinds import WattRating, kind_of
from guidegen.spec.part import Part
from guidegen.values import Given

#: Fixed profiles of IEC 62680-1-2, from memory. An adapter offers some of them.
PROFILES = ("5 V", "9 V", "15 V", "20 V")
TABLE = "profiles"
#: Half of the band in which a fixed profile is held.
TOLERANCE = 0.05
SOURCE = "IEC 62680-1-2, fixed profiles, from memory"


def offers(part: Part) -> tuple[tuple[Given, Given], ...]:
    """Current and voltage of the profiles on its label, the lowest voltage first."""
    pairs = [(point[0], point[1]) for point in part.tables[TABLE]]
    return tuple(sorted(pairs, key=lambda pair: pair[1].si))


def at_profile(part: Part, profile: str) -> Part:
    """The adapter as it stands while one profile is agreed: a plain one of that voltage.

    Parameters
    ----------
    part : Part
        A negotiated adapter.
    profile : str
        One of `PROFILES`; one that it does not offer counts with its nearest current.
    """
    volts = float(profile.partition(" ")[0])
    current, voltage = min(offers(part), key=lambda pair: abs(pair[1].si - volts))
    # What it gives before it shuts off is printed on none.
    most = replace(current, name="adapter.highest_current", si=1.25 * current.si,
                   spread=0.1 * current.si, source="default (from memory)")  # fmt: skip
    figures = {
        "voltage": replace(voltage, name="adapter.voltage", si=volts, spread=TOLERANCE * volts,
                           source=f"{voltage.source}; ± 5 %: {SOURCE}"),
        "current": replace(current, name="adapter.current"),
        "power": replace(current, name="adapter.power", si=volts * current.si,
                         kind=kind_of(WattRating)),
        "highest_current": most,
    }  # fmt: skip
    return replace(part, figures={**part.figures, **figures})
