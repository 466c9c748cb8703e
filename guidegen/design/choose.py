"""Choosing a part from the catalogue where the spec says `auto`."""

from __future__ import annotations

from collections.abc import Callable

from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue


def chosen_part(
    kind: str, prefix: str, fits: Callable[[Part], bool], by: str = "current"
) -> Part | None:
    """The part of this kind that fits and has the least of one figure.

    Parameters
    ----------
    kind : str
        Catalogue kind.
    prefix : str
        How its figures are named in the design.
    fits : callable
        Whether a part will do.
    by : str
        The figure whose least value wins; equal ones go by key.

    Returns
    -------
    Part or None
        None where nothing fits.
    """
    found = [part for part in catalogue(kind) if fits(part)]
    if not found:
        return None
    return min(found, key=lambda part: (part[by].si, part.key)).named(prefix)
