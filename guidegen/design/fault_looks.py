"""What the eye sees of a light in which something is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from guidegen.calc.ladder import Floats

#: Light below this share of the sound one is dark to the eye; below that, dimmer than its
#: neighbours; a whole light must change more before anybody says so (project defaults).
DARK, DIM, WHOLE_DIM, WHOLE_BRIGHT = 0.02, 0.8, 0.75, 1.2
#: What the eye may call either way, beside those shares.
DOUBT = 0.1


@dataclass(frozen=True)
class Look:
    """What the eye sees."""

    kind: str
    """`templates/words`, section `looks`."""
    rows: tuple[str, ...] = ()


def looked(groups: Floats, sound: Floats, rows: Sequence[str]) -> tuple[Look, ...]:
    """What the eye may say, the likeliest first.

    Parameters
    ----------
    groups, sound : Floats
        Current of every station, as it is and in the sound light: (row, station). [A]
    rows : sequence of str
        References of the rows.
    """
    lit = sound > 0
    share = np.divide(groups, sound, out=np.zeros_like(groups), where=lit)
    count = np.maximum(lit.sum(axis=1), 1)
    row = np.where(lit, share, 0.0).sum(axis=1) / count
    out = (lit & (share < DARK)).sum(axis=1)
    dark = out == count
    part = (out > 0) & ~dark
    if dark.all():
        return (Look("all-dark"),)
    if dark.any():
        found = tuple(ref for ref, one in zip(rows, dark, strict=True) if one)
        return (Look("row-dark" if len(found) == 1 else "rows-dark", found),)
    if part.any():
        return (Look("part-dark", tuple(r for r, one in zip(rows, part, strict=True) if one)),)
    level = float(np.median(row))
    # What lies near a bound is said either way.
    whole = [Look("all-alike")]
    if level < WHOLE_DIM + DOUBT / 2:
        whole.insert(0 if level < WHOLE_DIM else 1, Look("all-dim"))
        if level < WHOLE_DIM - DOUBT:
            whole.pop()
    elif level > WHOLE_BRIGHT - DOUBT:
        whole.insert(0 if level > WHOLE_BRIGHT else 1, Look("all-bright"))
        if level > WHOLE_BRIGHT + DOUBT:
            whole.pop()
    least = row / level
    dim = tuple(ref for ref, one in zip(rows, least, strict=True) if one < DIM)
    maybe = tuple(ref for ref, one in zip(rows, least, strict=True) if one < DIM + DOUBT)
    if not maybe:
        return tuple(whole)
    certain = bool((least < DIM - DOUBT).any())
    looks = [Look("rows-dim", some) for some in dict.fromkeys((dim or maybe, maybe))]
    return tuple(looks if certain else [*looks, *whole] if dim else [*whole, *looks])
