"""What the hand and the simple tools of a check are asked for: forces, and what a supply gives."""

from __future__ import annotations

from guidegen.calc.air import GRAVITY
from guidegen.calc.tables import pull_forces
from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereRating,
    ConductorArea,
    Count,
    Kilogram,
    Metre,
    PullForce,
    SupplyVolt,
    VoltRating,
)


def _force(what: str, area: float) -> float:
    forces = pull_forces(what)
    reached = [size for size in forces if size <= area * (1 + 1e-9)]
    if not reached:
        raise RangeError("area", area, f"{min(forces):g} m² or more")
    return forces[max(reached)]


def clamped_pull(area: ConductorArea) -> PullForce:
    """Pull that one conductor stands in its terminal.

    Parameters
    ----------
    area : ConductorArea
        Of its copper; a size between two of the table is pulled as the smaller one. [m²]

    Returns
    -------
    PullForce
        Force. [N]

    Raises
    ------
    RangeError
        If the table begins with a thicker one.

    References
    ----------
    .. [1] IEC 60999-1, pull test of clamped conductors, from memory.
    """
    return _force("clamped", area)


def anchored_pull(area: ConductorArea) -> PullForce:
    """Pull that a lead stands where it enters, before its joints feel anything.

    Parameters
    ----------
    area : ConductorArea
        Copper of all its cores together. [m²]

    Returns
    -------
    PullForce
        Force. [N]

    References
    ----------
    .. [1] IEC 60598-1, test of a cord anchorage, from memory.
    """
    return _force("anchored", area)


def together(one: ConductorArea, cores: Count) -> ConductorArea:
    """Copper of all cores of a lead.

    References
    ----------
    .. [1] Counting.
    """
    return one * cores


def hung(force: PullForce) -> Kilogram:
    """Mass that pulls with a force, or what a hanging scale shows of it.

    Parameters
    ----------
    force : PullForce
        Force. [N]

    Returns
    -------
    Kilogram
        Mass. [kg]

    References
    ----------
    .. [1] Weight: mass times 9.80665 m/s², the standard acceleration of gravity (ISO 80000-3).
    """
    return force / GRAVITY


def highest_voltage(row: VoltRating, start: SupplyVolt, own: SupplyVolt) -> SupplyVolt:
    """What a bench supply must reach: the highest voltage that any step sets it to.

    References
    ----------
    .. [1] Counting.
    """
    return max(row, start, own)


def highest_limit(row: Ampere, test: Ampere, full: Ampere, short: AmpereRating) -> Ampere:
    """What a bench supply must give: the highest limit that any step sets it to.

    References
    ----------
    .. [1] Counting.
    """
    return max(row, test, full, short)


def rule_reach(diagonal: Metre, distance: Metre) -> Metre:
    """Length that a rule must measure: over the board's corners, and to the lux meter.

    References
    ----------
    .. [1] Counting.
    """
    return max(diagonal, distance)
