"""Rows from reels, and sums of masses."""

from __future__ import annotations

from math import ceil, floor

from guidegen.errors import RangeError
from guidegen.kinds import Count, Kilogram, Metre


def rows_a_reel(reel: Metre, row: Metre) -> Count:
    """Whole rows that one reel gives.

    References
    ----------
    .. [1] Counting; a row is never joined from two pieces.
    """
    if not 0 < row <= reel:
        raise RangeError("row", row, f"above 0 to {reel:g} m, the length of a reel")
    return floor(round(reel / row, 6))


def rows_needed(rows: Count, copies: Count) -> Count:
    """Rows of all copies.

    References
    ----------
    .. [1] Counting.
    """
    return rows * copies


def reels(rows: Count, a_reel: Count) -> Count:
    """Reels for all rows.

    References
    ----------
    .. [1] Counting; packs are rounded up on the total.
    """
    return ceil(rows / a_reel)


def spare_rows(reels: Count, a_reel: Count, rows: Count) -> Count:
    """Rows that are left over for a slip of the scissors.

    References
    ----------
    .. [1] Counting.
    """
    return reels * a_reel - rows


def total_mass(**masses: Kilogram) -> Kilogram:
    """Mass of all pieces and bought parts together.

    References
    ----------
    .. [1] Addition.
    """
    total = sum(masses.values())
    return total
