"""What the hand and the simple tools of a check are asked for: forces, and what a supply gives."""

from __future__ import annotations

from guidegen.calc.balance import MetrePerSecondSquared
from guidegen.calc.tables import pull_forces
from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereRating,
    ConductorArea,
    Count,
    Kilogram,
    LongMetre,
    Lux,
    LuxReach,
    Metre,
    PullForce,
    SupplyVolt,
    VoltRating,
)


def _reached(forces: dict[float, float], area: float) -> float:
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
    forces = pull_forces("clamped")
    return _reached(forces, area)


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
    forces = pull_forces("anchored")
    return _reached(forces, area)


def together(one: ConductorArea, cores: Count) -> ConductorArea:
    """Copper of all cores of a lead.

    References
    ----------
    .. [1] Counting.
    """
    return one * cores


def hung(force: PullForce, gravity: MetrePerSecondSquared) -> Kilogram:
    """Mass that pulls with a force, or what a hanging scale shows of it.

    Parameters
    ----------
    force : PullForce
        Force. [N]
    gravity : MetrePerSecondSquared
        Acceleration of gravity. [m/s²]

    Returns
    -------
    Kilogram
        Mass. [kg]

    References
    ----------
    .. [1] Definition of weight: mass times the acceleration of gravity.
    """
    return force / gravity


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


def extension_reach(leads: LongMetre, diagonal: LongMetre) -> LongMetre:
    """Length of the lead that lengthens a probe: from the supply's end to the farthest corner.

    References
    ----------
    .. [1] Counting: the wires of one pole before the light, and the light from corner to corner.
    """
    return leads + diagonal


def lux_reach(axis: Lux, field: Lux) -> LuxReach:
    """Light that a lux meter must be able to read: on one light's axis, and from all on the field.

    References
    ----------
    .. [1] Counting.
    """
    return max(axis, field)


def rule_reach(diagonal: Metre, distance: Metre) -> LongMetre:
    """Length that a rule must measure: over the board's corners, and to the lux meter.

    References
    ----------
    .. [1] Counting.
    """
    return max(diagonal, distance)
