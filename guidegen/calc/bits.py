"""Bits that a usual workshop has, and what is left to do where none has the width of a hole."""

from __future__ import annotations

from guidegen.kinds import FineMetre

#: Twist drills: each tenth of a millimetre is sold up to 10 mm, each half above. [m].
TWIST = (*(n * 1e-4 for n in range(10, 101)), *(n * 5e-4 for n in range(21, 27)))
#: Flat bits, centre bits and hole saws. [m].
FLAT = tuple(n * 1e-3 for n in (14, 16, 18, 20, 22, 24, 25, 28, 30, 32, 35, 38, 40, 45, 50, 60))
_NEAR = 1e-6


def pocket_bit(least: FineMetre) -> FineMetre:
    """Width of a pocket: the next usual flat bit, for a pocket has room to be wider.

    Parameters
    ----------
    least : FineMetre
        Width that is needed. [m]

    Returns
    -------
    FineMetre
        That of the bit; what is needed where no bit is so wide. [m]

    References
    ----------
    .. [1] Common practice, no source: sizes of flat and centre bits.
    """
    for bit in FLAT:
        if bit >= least - _NEAR:
            return bit
    return least


def bit_below(width: FineMetre) -> FineMetre:
    """The widest usual bit that makes a hole no wider than wanted.

    Parameters
    ----------
    width : FineMetre
        Of the hole. [m]

    Returns
    -------
    FineMetre
        Width of the bit; the smallest one where none is so narrow. [m]

    References
    ----------
    .. [1] Common practice, no source: sizes of twist drills, flat bits and hole saws.
    """
    found = TWIST[0]
    for bit in (*TWIST, *FLAT):
        if bit <= width + _NEAR:
            found = bit
    return found
