"""Rails: length, size, what they lose and what they carry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from guidegen.calc import budget, drops, geometry, paths, wire
from guidegen.design import panels, rail_lines
from guidegen.design.places import pad_x
from guidegen.design.rail_metal import flat_size, per_metre, wider
from guidegen.design.rail_rules import STRAIGHT
from guidegen.design.result import Desk, Finding, Halt, Mend
from guidegen.design.rows import place_of
from guidegen.design.sizes import ampacity, carrier, resistance, size_for, standard_areas
from guidegen.kinds import ConductorArea, Count, FineMetre, Law, LongMetre, Metre, Ratio
from guidegen.values import Given, Value, band

#: A rail over the rows, both ends together; between its ends and the rim. [m].
RAIL_ENDS, RAIL_AIR = 0.02, 0.001
#: A rail lies in its place to this, or to this share of its distance if that is less: two rails of
#: one side then keep three fifths of the room between them. [m], [-] (project default).
PLACED, PLACED_SHARE = 0.0015, 1 / 5
#: Names of values may hold no signs.
SIGNS = {"+": "plus", "-": "minus"}
ON_LINE = "wiring.rails.path"


def settle_rails(desk: Desk) -> None:
    """Settle length, feed, size and drop of the rails.

    Raises
    ------
    Halt
        If their line does not pass every row, or there is no row to be fed below.
    """
    sides = desk.given("feed.sides", Count, 2 if desk.fact("both_ends") else 1, "feed of the rows")
    desk.work("row.side_current", budget.shared, current=desk["row.current"], among=sides)
    wiring = desk.fixture.wiring
    fed_at = wiring.rail_fed_at
    if fed_at == "auto":
        fed_at = "middle" if desk["row.count"].si > 2 else "end"
        desk.chose("rail.fed_at", fed_at)
    desk.set(rail_fed_at=fed_at, rail_fed_middle=fed_at == "middle",
             rail_fed_between=wiring.rails.fed_below > 0,
             rail_wire=wiring.rails.kind == "wire", rail_bar=wiring.rails.kind == "bar",
             rail_foil=wiring.rails.kind == "foil")  # fmt: skip
    _lengths(desk)
    _distances(desk)
    law, inputs = _fed(desk, fed_at)
    _size(desk, law, inputs)
    drop = desk.work("rail.drop", law, row_current=desk["row.side_current"],
                     resistance=desk["rail.resistance"], **inputs)  # fmt: skip
    share = desk.work("rail.drop_share", budget.pair_drop_share, drop=drop,
                      voltage=desk["setting.full"])  # fmt: skip
    limit = desk["limits.rail_drop"]
    most = limit.si * desk["setting.full"].si / 2
    loses = _losing(desk, law, inputs)
    if wiring.rails.kind == "wire":
        build = wiring.rail.words["build"]
        mends = [*size_for(desk, "rail", lambda area: loses(
            wire.resistance_per_metre(area=area, build=build)) <= most)]  # fmt: skip
    else:
        mends = [*wider(desk.fixture, lambda part: loses(per_metre(part)) <= most)]
    if fed_at != "middle" and desk["row.count"].si > 2:
        mends.insert(0, Mend({"wiring.rails.fed_at": "middle"}))
    place = place_of(wiring.rail_size) or desk.fixture.place("wiring.rails")
    desk.limit("rail-drop", limit, share, level="advice", mends=tuple(mends), drop=drop,
               place=place)  # fmt: skip
    current = panels.one(desk, "current")
    desk.limit("ampacity", desk["rail.ampacity"], current, worst=True, place=place,
               mends=carrier(desk, "rail", band(current)[1]), conductor="rail",
               size=desk["rail.size"])  # fmt: skip


def _lengths(desk: Desk) -> None:
    """Of a straight rail what the rows span and its ends; of a bent one its line."""
    slack = desk.given("rail.ends", Metre, *_rail_ends(desk))
    bent = desk.fixture.wiring.rails.path is not None and desk.fact("feed") != "middle"
    desk.set(rail_bent=bent)
    desk.find_if(desk.fixture.wiring.rails.path is not None and not bent, "rail-path-back", "stop",
                 place=desk.fixture.place(ON_LINE), mends=(STRAIGHT,))  # fmt: skip
    name = "rail.straight_length" if bent else "rail.length"
    desk.work(name, geometry.with_slack, length=desk["rows.span"], slack=slack)
    if not bent:
        return
    troubles = rail_lines.unmet(desk)
    if troubles:
        desk.find(Finding("rail-path-rows", "stop", place=desk.fixture.place(ON_LINE),
                          names={"faults": tuple(troubles)}, mends=(STRAIGHT,)))  # fmt: skip
        raise Halt(desk.section())
    places = rail_lines.rails(desk)
    for place in places[:2]:
        desk.given(f"rail.{SIGNS[place.polarity]}_length", Metre, paths.length(place.line), ON_LINE)
    longest = max(paths.length(place.line) for place in places)
    desk.given("rail.length", Metre, longest, "the longest rail")
    reach = max(abs(tap[0] - pad_x(desk, place.side, number)) for place in places
                for number, tap in enumerate(place.taps, 1) if tap)  # fmt: skip
    desk.given("rail.reach", FineMetre, reach, ON_LINE)


def _distances(desk: Desk) -> None:
    """How far a straight rail of each pole lies from the rows' ends, as a rule shows it."""
    offset = desk["rail.offset"]
    # The negative rail is the outer one where both poles are fed from one end.
    order = 1 if desk.fact("opposite_ends") or desk.fact("fed_middle") else 2
    order_value = desk.given("rail.minus_order", Count, order, "feed of the rows")
    desk.work("rail.minus_offset", geometry.rail_distance, offset=offset, order=order_value)
    desk.given("rail.tolerance", FineMetre, min(PLACED, offset.si * PLACED_SHARE),
               "project default")  # fmt: skip


def _rail_ends(desk: Desk) -> tuple[float, str]:
    """What a rail has over the rows, both ends together, and why: it stays clear of the rim."""
    inside = desk["board.height"].si - 2 * desk["border.thickness"].si - desk["rows.span"].si
    room = max(inside - 2 * RAIL_AIR, 0.0)
    return (RAIL_ENDS, "project default") if room >= RAIL_ENDS else (room, "room inside the rim")


def _fed(desk: Desk, fed_at: str) -> tuple[Law, dict[str, Value]]:
    """The law of a rail's drop for its feed, and what it goes by beside current and resistance."""
    rows, below = desk["row.count"], desk.fixture.wiring.rails.fed_below
    last = rows.si - 1
    if below > last:
        desk.find(Finding("rail-feed-row", "stop", rows, None,
                          desk.fixture.place("wiring.rails.fed_at"), {"below": str(below)},
                          (Mend({"wiring.rails.fed_at": "middle"}),)))  # fmt: skip
        raise Halt(desk.section())
    if desk.fact("rail_bent"):
        found = [rail_lines.reaches(place.fars(), rail_lines.feed_far(desk, place))
                 for place in rail_lines.rails(desk)]  # fmt: skip
        most = max(greatest for greatest, _ in found)
        mean = sum(mean for _, mean in found) / len(found)
        desk.given("rail.mean", Ratio, mean / most if most else 1.0,
                   "places of the taps along the rails")  # fmt: skip
        return drops.rail_drop_line, {"reach": desk.given("rail.tap_sum", LongMetre, most, ON_LINE)}
    pitch = {"pitch": desk["row.pitch"]}
    if not below:
        law = drops.rail_drop_middle if fed_at == "middle" else drops.rail_drop_end
        return law, {"rows": rows, **pitch}
    beyond = desk.given("rail.rows_beyond", Count, max(below, rows.si - below),
                        "wiring.rails.fed_at")  # fmt: skip
    return drops.rail_drop_point, {"rows": beyond, **pitch}


def _losing(desk: Desk, law: Law, inputs: dict[str, Value]) -> Callable[[float], float]:
    """Drop of one rail by its resistance a metre. [V]."""
    plain: dict[str, Any] = {name: value.si for name, value in inputs.items()}
    current = desk["row.side_current"].si
    return lambda ohms: law(row_current=current, resistance=ohms, **plain)


def _size(desk: Desk, law: Law, inputs: dict[str, Value]) -> None:
    """Size, resistance and ampacity: as the part says, or the smallest wire that does."""
    wiring = desk.fixture.wiring
    limit = desk.put(desk.fixture.limits.rail_drop)
    if wiring.rails.kind != "wire":
        flat_size(desk, wiring.rail)
        return
    build, size = wiring.rail.words["build"], wiring.rail_size
    if not isinstance(size, Given):
        loses, current = _losing(desk, law, inputs), panels.one(desk, "current").si
        fits = [
            area for area in standard_areas(0.75e-6)
            if loses(wire.resistance_per_metre(area=area, build=build))
            <= limit.si * desk["setting.full"].si / 2
            and wire.ampacity(area=area,
                              insulation_temperature=wiring.rail["temperature"].si,
                              ambient=desk.fixture.use.ambient_high.si) >= current
        ]  # fmt: skip
        size = desk.settle(size, "rail.size", ConductorArea, (fits or standard_areas(0)[-1:])[0],
                           wanted=limit)  # fmt: skip
    desk.put(size)
    resistance(desk, "rail", wiring.rail, size)
    ampacity(desk, "rail", wiring.rail, size)
