"""Many changed copies of one network, and a source that holds their current."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ladders, Law, State, total_current
from guidegen.calc.ladder_solve import solve
from guidegen.calc.led_group import GroupLaw

#: Rounds in which a source that gives up its voltage is brought to its greatest current.
_ROUNDS = 12
#: Between rails that nothing joins. [S].
_APART = 1e-12
#: How near it must come.
_NEAR = 1e-6
#: How many of an edit's numbers say which array is meant.
_HEADS = {"track": 1, "link": 1, "segment": 1, "feed": 2, "bridge": 1, "source": 1,
          "shunt": 0, "groups": 0, "volts": 0}  # fmt: skip


@dataclass(frozen=True)
class Edit:
    """One place of a network, changed."""

    what: str
    """`track`, `link`, `segment`, `feed`, `shunt`, `bridge`, `source`, `groups` or `volts`."""
    at: tuple[int, ...]
    """track: pole, row, piece; link: link, row; segment: rail, piece; feed: rail, feed; shunt:
    row, station; bridge: bridge; source: pole; groups: row; volts: nothing."""
    value: float
    """The new conductance [S] or voltage [V]; of groups a factor."""


def copies(net: Ladders, cases: Sequence[Sequence[Edit]]) -> Ladders:
    """As many copies of a network as there are lists of edits.

    Parameters
    ----------
    net : Ladders
        Of one case.
    cases : Sequence[Sequence[Edit]]
        What is changed in each copy; an empty list leaves it as it is.

    Raises
    ------
    ValueError
        If the network has several cases already.
    """
    if net.cases != 1:
        raise ValueError("copies are made of one case")
    places = _places(net)
    arrays: dict[tuple[str | int, ...], Floats] = {}
    for case, edits in enumerate(cases):
        for edit in edits:
            heads = _HEADS[edit.what]
            home: tuple[str | int, ...] = (edit.what, *edit.at[:heads])
            if home not in arrays:
                values, shape = places[home]
                wide = np.asarray(values, dtype=float)
                arrays[home] = np.array(np.broadcast_to(wide, (len(cases), *shape)))
            if edit.what == "groups":
                arrays[home][(case, *edit.at)] *= edit.value
            else:
                arrays[home][(case, *edit.at[heads:])] = edit.value

    def now(*home: str | int) -> ArrayLike:
        return arrays[home] if home in arrays else places[home][0]

    rails = tuple(
        replace(rail, segments=now("segment", number),
                feeds=tuple(replace(feed, conductance=now("feed", number, own))
                            for own, feed in enumerate(rail.feeds)))
        for number, rail in enumerate(net.rails)
    )  # fmt: skip
    return replace(
        net, cases=len(cases), groups=now("groups"), shunts=now("shunt"), volts=now("volts"),
        tracks=(now("track", PLUS), now("track", MINUS)),
        source=(now("source", PLUS), now("source", MINUS)), rails=rails,
        links=tuple(replace(link, conductance=now("link", number))
                    for number, link in enumerate(net.links)),
        bridges=tuple(replace(bridge, conductance=now("bridge", number))
                      for number, bridge in enumerate(net.bridges)),
    )  # fmt: skip


def _places(net: Ladders) -> dict[tuple[str | int, ...], tuple[ArrayLike, tuple[int, ...]]]:
    """Every array of a network that can be edited, with its shape in one case."""
    rows, stations = net.rows, net.stations
    found: dict[tuple[str | int, ...], tuple[ArrayLike, tuple[int, ...]]] = {
        ("groups",): (net.groups, (rows, stations)),
        ("shunt",): (net.shunts, (rows, stations)),
        ("volts",): (net.volts, ()),
    }
    for pole in (PLUS, MINUS):
        found["track", pole] = (net.tracks[pole], (rows, stations - 1))
        found["source", pole] = (net.source[pole], ())
    for number, link in enumerate(net.links):
        found["link", number] = (link.conductance, (rows,))
    for number, rail in enumerate(net.rails):
        found["segment", number] = (rail.segments, (net.taps - 1,))
        for own, feed in enumerate(rail.feeds):
            found["feed", number, own] = (feed.conductance, ())
    for number, bridge in enumerate(net.bridges):
        found["bridge", number] = (bridge.conductance, ())
    return found


def beside(net: Ladders, sound: Ladders, others: int) -> Ladders:
    """Changed copies of a panel, each with so many sound ones on the same source.

    Parameters
    ----------
    net : Ladders
        Copies of one panel; its source has the resistance of all panels' source, so many times.
    sound : Ladders
        One case of the panel as it should be, with the same links, rails and bridges.
    others : int
        Panels beside the changed one.

    Returns
    -------
    Ladders
        The changed panel's rows and taps come first.
    """

    def rows(mine: ArrayLike, theirs: ArrayLike, *shape: int) -> Floats:
        each = np.broadcast_to(np.asarray(theirs, dtype=float), (net.cases, *shape))
        return np.concatenate([net.wide(mine, *shape)] + others * [each], axis=1)

    def segments(mine: ArrayLike, theirs: ArrayLike) -> Floats:
        each = np.broadcast_to(np.asarray(theirs, dtype=float), (net.cases, net.taps - 1))
        # Nothing to speak of joins the rails of two panels.
        gap = np.full((net.cases, 1), _APART)
        return np.concatenate([net.wide(mine, net.taps - 1)] + others * [gap, each], axis=1)

    def law(mine: Law, theirs: Law) -> Law:
        if mine is theirs or not (isinstance(mine, GroupLaw) and isinstance(theirs, GroupLaw)):
            return mine
        names = ("scale", "ohms", "saturation")
        return replace(mine, **{name: rows(getattr(mine, name), getattr(theirs, name), *stations)
                                for name in names})  # fmt: skip

    stations, count = (net.rows, net.stations), 1 + others
    rails = tuple(
        replace(rail, segments=segments(rail.segments, other.segments),
                feeds=tuple(replace(feed, tap=feed.tap + n * net.taps)
                            for n in range(count) for feed in (rail if n == 0 else other).feeds))
        for rail, other in zip(net.rails, sound.rails, strict=True)
    )  # fmt: skip
    pieces = (net.rows, net.stations - 1)
    return replace(
        net, law=law(net.law, sound.law), rows=count * net.rows, taps=count * net.taps, rails=rails,
        groups=rows(net.groups, sound.groups, *stations),
        shunts=rows(net.shunts, sound.shunts, *stations),
        tracks=(rows(net.tracks[PLUS], sound.tracks[PLUS], *pieces),
                rows(net.tracks[MINUS], sound.tracks[MINUS], *pieces)),
        links=tuple(replace(link, conductance=rows(link.conductance, other.conductance, net.rows))
                    for link, other in zip(net.links, sound.links, strict=True)),
        tap_of_row=np.concatenate([net.tap_of_row + n * net.taps for n in range(count)]),
        source=(count * np.asarray(net.source[PLUS]), count * np.asarray(net.source[MINUS])),
    )  # fmt: skip


def first(net: Ladders, state: State) -> State:
    """Of a state with sound panels beside, what belongs to the changed one."""
    return replace(state, rows=state.rows[:, : net.rows], rails=state.rails[:, : net.taps],
                   currents=state.currents[:, : net.rows])  # fmt: skip


def limited(net: Ladders, limit: float, start: float = 1.0) -> tuple[State, Floats]:
    """Solve cases behind a source that gives up its voltage at its greatest current.

    Parameters
    ----------
    net : Ladders
        Any number of cases.
    limit : float
        Greatest current of the source. [A]
    start : float
        Share of the full voltage to begin with: little, where all cases are shorts. [-]

    Returns
    -------
    state : State
        Each case at its full voltage, or at the one at which the source gives its limit. Its
        `fallbacks` are those of all rounds.
    volts : ndarray
        The source's voltage: (case,). [V]

    References
    ----------
    .. [1] The rule of false position: current rises with voltage, and is none at none.
    """
    full = np.array(np.broadcast_to(np.asarray(net.volts, dtype=float), (net.cases,)))
    volts, low, high = start * full, np.zeros_like(full), full
    below, above = np.zeros_like(full), np.full_like(full, np.inf)
    tried: dict[str, None] = {}
    for number in range(_ROUNDS + 1):
        held = replace(net, volts=volts)
        state = solve(held)
        tried |= dict.fromkeys(state.fallbacks)
        amps = total_current(held, state)
        more = amps > limit
        far = (np.abs(amps - limit) > _NEAR * limit) & (more | (volts < full))
        if not far.any() or number == _ROUNDS:
            break
        high, above = np.where(more, volts, high), np.where(more, amps, above)
        low, below = np.where(more, low, volts), np.where(more, below, amps)
        # Where nothing was above it yet, current is taken to go on with voltage.
        onward = np.minimum(volts * limit / np.maximum(amps, 1e-30), full)
        span = np.where(np.isfinite(above), above, below + 1) - below
        chord = low + (high - low) * (limit - below) / np.maximum(span, 1e-30)
        volts = np.where(far, np.where(np.isfinite(above), chord, onward), volts)
    return replace(state, fallbacks=tuple(tried)), volts
