"""What makes the readings of sound lights differ from one another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import Floats, Ladders
from guidegen.design import resistances, tape_law
from guidegen.design.result import Desk
from guidegen.values import band

#: Standard deviation of a sound joint over its usual resistance: half of the variance is the hand's
#: that soldered them all, half each joint's own. The band is the design's, and lies evenly.
JOINT_SPREAD = HAND_SPREAD = resistances.JOINT_SPREAD / resistances.JOINT / 6**0.5
#: A row's current about its neighbours', as a standard deviation (from memory).
ROW_SPREAD = 0.015
#: Wire about its greatest resistance by IEC 60228, as a standard deviation (from memory).
COPPER_SPREAD = 0.05
#: Of a reading below this, no share is told. [V].
FAINT = 1e-7


def batches(desk: Desk, net: Ladders, full: float) -> Iterator[Ladders]:
    """The sound network, moved by one standard deviation of each thing that a batch has in common.

    Parameters
    ----------
    desk : Desk
        Of a settled design.
    net : Ladders
        Its panel, of one case.
    full : float
        The source's voltage. [V]
    """
    amps, forward = desk["group.rated_current"], desk["tape.forward_voltage"]
    yield replace(net, volts=full + deviation(band(desk["setting.full"])))
    more = amps.si + deviation(band(amps))
    yield replace(net, law=tape_law.solved(desk, current=more))
    # The rated point is held: a higher forward voltage leaves less for the resistor.
    higher = forward.si + deviation(band(forward))
    yield replace(net, law=tape_law.solved(desk, forward=higher))
    extra = 2 * HAND_SPREAD * desk["joint.resistance"].si
    yield replace(
        net,
        links=tuple(replace(link, conductance=_longer(link.conductance, extra))
                    for link in net.links),
        rails=tuple(replace(rail, feeds=tuple(
            replace(feed, conductance=_longer(feed.conductance, extra)) for feed in rail.feeds))
            for rail in net.rails),
    )  # fmt: skip
    yield replace(net, rails=tuple(
        replace(rail, segments=np.asarray(rail.segments, dtype=float) / (1 + COPPER_SPREAD))
        for rail in net.rails))  # fmt: skip


def _longer(conductance: ArrayLike, ohms: float) -> Floats:
    """A conductance with a resistance more in its way. [S]."""
    found = np.asarray(conductance, dtype=float)
    return found / (1 + found * ohms)


def deviation(ends: tuple[float, float]) -> float:
    """Standard deviation of what lies evenly between two ends (JCGM 100:2008, 4.3.7)."""
    return (ends[1] - ends[0]) / 12**0.5
