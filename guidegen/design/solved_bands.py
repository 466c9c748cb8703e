"""How far the solved panel's readings may lie from their values, and what widens them most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from guidegen.calc import bench
from guidegen.calc.ladder import PLUS, Floats, Ladders
from guidegen.calc.ladder_bands import Band, Part, bands
from guidegen.calc.ladder_readings import Node, Reading, total, values
from guidegen.design import tape_law
from guidegen.design.looks import NUMBERS
from guidegen.design.result import Desk, Section
from guidegen.design.solved_panel import OF, SOURCE, Solved, figures
from guidegen.kinds import Ampere, MilliVolt, Percent, Volt, kind_of
from guidegen.spec.model import Fixture
from guidegen.values import Given, Value, givens, redo

#: Of which each place has its own: two in every conductor. All else is one batch.
OWN = "joint.resistance"
WARM = "network.warm_track"
#: Less is no help to anybody.
LEAST_SHARE = 0.005
_KINDS = {"current": Ampere, "feed_voltage": Volt, "feed_drop": MilliVolt, "rail_drop": MilliVolt,
          "joint_near": MilliVolt, "joint_far": MilliVolt, "scan_near": MilliVolt,
          "scan_far": MilliVolt}  # fmt: skip
_MOST = f"{SOURCE}, every part at its limit"


@dataclass(frozen=True)
class Widens:
    """A part whose band widens that of the panel's current."""

    part: Value
    share: Value
    """Of the square of the standard uncertainty."""
    left: Value
    """The current, with the band that is left if this part is measured."""
    within: Value
    """Half of that band over the current."""


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Bands of what is read of one panel at the full setting."""
    desk = Desk("solved bands", fixture, before)
    solved: Solved = desk.result("solved panel")
    net, state = solved.net, solved.state
    wanted = readings(net)
    middle = dict(zip([one.name for one in wanted], values(net, state, wanted)[0], strict=True))
    wanted = [_metered(desk, one, float(middle[one.name])) for one in wanted]
    full = desk["group.rated_current"].si * desk["row.groups"].si * net.rows
    found = {band.name: band for band in bands(net, state, wanted, parts(desk), full)}
    for name, band in found.items():
        _given(desk, f"network.{name}", _KINDS[name], band.value, SOURCE, band.likely)
        _given(desk, f"network.{name}_worst", _KINDS[name], band.value, _MOST, band.worst)
    return desk.section(_widest(desk, found["current"]))


def readings(net: Ladders) -> list[Reading]:
    """What a builder can read of a panel: on its positive side, the other one reads the same."""
    link = next(one for one in net.links if one.pole == PLUS)
    fed = net.rails[link.rail].feeds[0].tap
    start, rail = Node("end", (PLUS,)), Node("rail", (fed, link.rail))
    other = next(k for k, one in enumerate(net.rails) if one.pole != PLUS)
    apart = np.abs(net.tap_of_row - fed)
    found = [
        total("current", net),
        Reading("feed_voltage", (rail, Node("rail", (net.rails[other].feeds[0].tap, other)))),
        Reading("feed_drop", (start, rail)),
    ]
    for name, row in (("near", int(apart.argmin())), ("far", int(apart.argmax()))):
        tap, pad = int(net.tap_of_row[row]), Node("row", (row, link.station, PLUS))
        found.append(Reading(f"joint_{name}", (Node("rail", (tap, link.rail)), pad)))
        found.append(Reading(f"scan_{name}", (start, pad)))
    end = int(net.tap_of_row[int(apart.argmax())])
    return [*found, Reading("rail_drop", (rail, Node("rail", (end, link.rail))))]


def _metered(desk: Desk, reading: Reading, value: float) -> Reading:
    """The same with its meter's error; the bench supply's own display is not counted.

    What a regulator gives is set by that very meter: its error lies in what the setting may be off.
    """
    volts = kind_of(_KINDS[reading.name]) == kind_of(Volt)
    if reading.between is None or (volts and desk.fact("regulator")):
        return reading
    digits = desk["meter.digits" if volts else "meter.fine_digits"].si
    error = bench.meter_error(abs(value), desk["meter.share"].si, digits)
    return Reading(reading.name, reading.between, meter=error)


def parts(desk: Desk) -> list[Part]:
    """Every given with a band that the network rests on, as what it does to the network."""
    resting = dict.fromkeys(
        item for name in (*OF, *tape_law.named(desk)) for item in givens(desk[name])
    )
    found = []
    for item in resting:
        low, high = item.band
        if high <= low:
            continue
        acts = _acts(desk, item)
        if item.name == OWN:
            for kind in ("link", "feed"):
                ohms, half = figures(desk, lambda name: desk[name].si)[kind], (high - low) / 2
                found.append(Part(f"{OWN} {kind}", half, {kind: _two_joints(ohms)}, False, 2))
                acts.pop(kind, None)
        if acts:
            found.append(Part(item.name, (high - low) / 2, acts))
    return [*found, _warm(desk)]


def _warm(desk: Desk) -> Part:
    """Copper on the board: from 20 °C to what it reaches in the warmest room."""
    share = desk[WARM].si / desk["tape.track_resistance"].si
    cold, warm = (figures(desk, lambda name: desk[name].si, by) for by in (1.0, share))

    def act(kind: str) -> Callable[[Floats], Floats]:
        steep = (warm[kind] / cold[kind] - 1) / (share - 1)
        return lambda deviation: 1 + deviation * steep

    return Part(WARM, share - 1, {kind: act(kind) for kind in ("track", "link", "rail")})


def _two_joints(ohms: float) -> Callable[[Floats], Floats]:
    """What both joints of a conductor do to its resistance, by the mean of their deviations."""
    return lambda deviation: 1 + 2 * deviation / ohms


def _acts(desk: Desk, item: Given) -> dict[str, Callable[[Floats], Floats]]:
    """What a given does to each kind of part: the design's own laws, called again."""

    @cache
    def moved(deviation: float) -> dict[str, float]:
        seen: dict[Value, float] = {}
        shift: dict[Value, float] = {item: item.si + deviation}
        return figures(desk, lambda name: redo(desk[name], shift, seen))

    def act(kind: str) -> Callable[[Floats], Floats]:
        def factor(deviation: Floats) -> Floats:
            each = [moved(float(one))[kind] / moved(0.0)[kind] for one in deviation.ravel()]
            return np.reshape(each, deviation.shape)

        return factor

    low, high = item.band
    ends = moved(low - item.si), moved(high - item.si)
    kinds = [kind for kind in moved(0.0) if kind != "law"]
    return {kind: act(kind) for kind in kinds if any(end[kind] != moved(0.0)[kind] for end in ends)}


def _widest(desk: Desk, band: Band) -> tuple[Widens, ...]:
    """The parts that widen the current most, and what is left of its band without each."""
    names = {name: tuple(part for part in band.shares if part.split()[0] == name)
             for name in dict.fromkeys(part.split()[0] for part in band.shares)}  # fmt: skip
    shares = {name: sum(band.shares[part] for part in own) for name, own in names.items()}
    order = sorted(shares, key=lambda name: (-shares[name], name))
    _given(desk, "network.current_within", Percent, _within(band.value, band.likely), SOURCE)
    found = []
    worthy = [name for name in order if shares[name] >= LEAST_SHARE]
    for number, name in zip(NUMBERS[1:], worthy, strict=False):
        ends = band.without(*names[name])
        share = _given(desk, f"network.share_{number}", Percent, shares[name], SOURCE)
        left = _given(desk, f"network.left_{number}", Ampere, band.value, SOURCE, ends)
        within = _given(desk, f"network.left_within_{number}", Percent,
                        _within(band.value, ends), SOURCE)  # fmt: skip
        found.append(Widens(desk[name], share, left, within))
    return tuple(found)


def _within(value: float, ends: Sequence[float]) -> float:
    return (ends[1] - ends[0]) / 2 / value


def _given(
    desk: Desk, name: str, kind: object, si: float, source: str,
    ends: tuple[float, float] | None = None,
) -> Given:  # fmt: skip
    value = Given(name, si, kind_of(kind), source=source, ends=ends)
    desk.put(value)
    return value
