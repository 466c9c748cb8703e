"""One way into the solvers of `guidegen.calc.ladder`: a quick form where one holds.

All give the same voltages; a test holds them within 1e-12 of each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from guidegen.calc import ladder_across, ladder_band, ladder_loop, ladder_steps
from guidegen.calc.ladder import Floats, Ladders, State

#: Quick forms, the quicker first: whether a network is of this form, and its equations.
FORMS: tuple[tuple[Callable[[Ladders], bool], Callable[[Ladders], ladder_steps.System]], ...] = (
    (ladder_loop.suits, ladder_loop.Loop),
    (ladder_across.suits, ladder_across.Across),
)
#: Unknowns that are solved at once: more of them leave the processor's cache.
CHUNK = 100_000


def solve(net: Ladders) -> State:
    """Solve all cases of a network.

    Parameters
    ----------
    net : Ladders
        Any feed, any faults.

    Returns
    -------
    State
        Its `fallbacks` name what was needed beside whole steps of Newton's method.

    Raises
    ------
    NetworkError
        If a network is not solved; the text tells what was tried.
    """
    each = 2 * net.rows * net.stations + len(net.rails) * net.taps
    step = max(1, CHUNK // each)
    if net.cases <= step:
        return _solve(net)
    found = [_solve(net.cut(slice(first, first + step))) for first in range(0, net.cases, step)]

    def joined(name: str) -> Floats:
        return np.concatenate([getattr(one, name) for one in found])

    return State(
        joined("rows"),
        joined("rails"),
        joined("ends"),
        joined("currents"),
        max(one.steps for one in found),
        max(one.residual for one in found),
        tuple(sorted({name for one in found for name in one.fallbacks})),
    )


def _solve(net: Ladders) -> State:
    tried: tuple[str, ...] = ()
    for suits, form in FORMS:
        if suits(net):
            found = ladder_steps.solve(form(net))
            if found is not None:
                return found
            tried = ("two-pole form",)
            break
    found = ladder_band.solve(net)
    return replace(found, fallbacks=tried + found.fallbacks)
