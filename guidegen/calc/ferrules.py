"""Ferrules: how long their barrel is, and how much wire is bared for it."""

from __future__ import annotations

from guidegen.calc import tables
from guidegen.errors import RangeError
from guidegen.kinds import ConductorArea, FineMetre

#: Wires of AWG lie a little beside the metric sizes: one ferrule serves both.
_NEAR = 1.05


def ferrule_barrel(area: ConductorArea, kind: str) -> FineMetre:
    """Length of the barrel of the smallest ferrule that takes a wire.

    Parameters
    ----------
    area : ConductorArea
        Area of one wire. [m²]
    kind : str
        `single`, or `twin` for two such wires in one barrel.

    Returns
    -------
    FineMetre
        Length of the barrel, without the collar. [m]

    Raises
    ------
    RangeError
        If no ferrule is made for so thick a wire.

    References
    ----------
    .. [1] DIN 46228-4, the usual lengths, from memory.
    """
    barrels = tables.ferrule_barrels(kind)
    fitting = [size for size in sorted(barrels) if size * _NEAR >= area]
    if not fitting:
        raise RangeError("area in mm²", area * 1e6, f"at most {max(barrels) * 1e6:g}")
    return barrels[fitting[0]]


def stripped_for(barrel: FineMetre, collar: FineMetre) -> FineMetre:
    """Length that is bared for a ferrule: it ends flush with the barrel, and begins in the collar.

    Parameters
    ----------
    barrel : FineMetre
        Length of the barrel. [m]
    collar : FineMetre
        What lies bare under the collar. [m]

    Returns
    -------
    FineMetre
        Length to strip. [m]

    References
    ----------
    .. [1] DIN 46228-4, from memory: the conductor reaches to the end of the barrel.
    """
    return barrel + collar
