"""The heat sink on the regulator and the vents of the box: parts, holes, temperatures, rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from guidegen.calc import boxes, cooling, geometry
from guidegen.design.growing import Wiring
from guidegen.design.model import Model, Opening, Part, minus, owner
from guidegen.design.openings import CORNER, Openings
from guidegen.design.parts import sink_of
from guidegen.design.result import PRACTICE, Desk, Finding, Mend
from guidegen.design.rows import place_of
from guidegen.design.solid import Box, Hole, Solid, block
from guidegen.kinds import FineMetre, Percent, WattPerSquareMetreKelvin
from guidegen.spec.cooling import Vents
from guidegen.values import Given, Value

PAD = "thermal-pad-adhesive"
#: Between a sink and the edge of its window in the lid. [m] (common practice, no source).
WINDOW_AIR = 0.005
#: Wood, plastic and adhesive nearer to a sink than this get as warm as it. [m] (common practice,
#: no source).
NEAR = 0.010
#: From vent to vent, over their width.
VENT_PITCH = 1.8
#: IEC 60529: what a finger of 12 mm (IP2X) and a wire of 2.5 mm (IP3X) must not reach; the probe of
#: the wire is 100 mm long. [m].
FINGER, WIRE, PROBE = 0.012, 0.0025, 0.1
IP = "IEC 60529"
#: Free air before a vent. [m] (common practice, no source).
VENT_AIR = 0.010
THROUGH = Mend({"chain.regulator.sink.place": "through lid"})
INSIDE = Mend({"chain.regulator.sink.place": "inside"})


# --- parts ------------------------------------------------------------------------------------
def sink(wiring: Wiring, openings: Openings) -> None:
    """Enter the sink on the regulator, its pad, and its window in the lid."""
    desk, wish = wiring.desk, sink_of(wiring.desk.fixture)
    module = next((part for part in wiring.parts if part.role == "regulator"), None)
    desk.set(sink=wish is not None, sink_outside=bool(wish and wish.outside))
    if wish is None or module is None or module.solid is None:
        return
    x, y, _ = module.solid.middle
    outline = Box(x - wish.width.si / 2, y - wish.height.si / 2, wish.width.si, wish.height.si)
    face = module.solid.low[2]
    size = " × ".join(str(side) for side in (wish.width, wish.height, wish.depth))
    solid = block(outline, face, face - wish.depth.si)
    lid = next((part for part in wiring.body if part.role == "lid"), None)
    if wish.outside and lid is not None and lid.solid is not None:
        # Two pieces, so that drawings and rules see what is inside of the lid and what is not.
        plane = lid.solid.low[2]
        if solid.low[2] < plane < solid.high[2]:
            inner, outer = block(outline, face, plane), block(outline, plane, solid.low[2])
            solid = replace(solid, pieces=(inner, outer))
    ref = wiring.part("U", "heat_sink", None, module.ref, side="back",
                      solid=solid,
                      rating=f"{size}, {desk['sink.resistance']}")  # fmt: skip
    wiring.part("H", "sink_pad", None, module.ref, key=PAD, side="back")
    wiring.terminal(ref, "metal", "", (x, y))
    if not wish.outside or lid is None or lid.solid is None:
        return
    air = desk.given("sink.window_air", FineMetre, 2 * WINDOW_AIR, PRACTICE)
    wide = desk.work("sink.window", geometry.with_slack, length=wish.height, slack=air)
    openings.found[lid.ref].append(
        Hole("sink_window", (x, y, lid.solid.low[2]), "z", "square", wide,
             wish.width.si + 2 * WINDOW_AIR, "x", holds=ref)
    )  # fmt: skip


def vents(desk: Desk, openings: Openings) -> None:
    """A row of vents in the lower and in the upper wall of the box."""
    enclosure = desk.fixture.body.enclosure
    wish = enclosure.vents if enclosure else None
    desk.set(vents=wish is not None)
    if wish is None:
        return
    length = wish.length.si if wish.length else 0.0
    count, wide = int(wish.count.si), max(length, wish.size.si)
    walls = [part for part in openings.body if part.role == "wall" and part.solid
             and part.solid.axis == "y"]  # fmt: skip
    middle = sum(part.solid.middle[1] for part in walls if part.solid) / len(walls)
    for part in walls:
        wall = part.solid
        assert wall is not None
        inset = CORNER + wide / 2
        room = wall.high[0] - wall.low[0] - 2 * inset
        pitch = min(VENT_PITCH * wide, room / max(count - 1, 1))
        at = wall.middle[0]
        span = pitch * (count - 1)
        xs = [at - span / 2 + number * pitch for number in range(count)]
        outer = wall.low[1] if wall.middle[1] < middle else wall.high[1]
        openings.found[part.ref] += [
            Hole("vent", (x, outer, wall.middle[2]), "y", "slot" if length else "round", wish.size,
                 length, "x" if length else "")
            for x in xs
        ]  # fmt: skip


# --- temperatures -----------------------------------------------------------------------------
def resistance(desk: Desk) -> None:
    """Enter the sink's size and its thermal resistance; nothing where there is none."""
    wish = sink_of(desk.fixture)
    if wish is None:
        return
    desk.put(wish.width, wish.height, wish.depth, wish.highest_temperature)
    if isinstance(wish.resistance, Given):
        desk.put(wish.resistance)
        return
    area = desk.work("sink.area", geometry.box_surface, width=wish.width, height=wish.height,
                     depth=wish.depth)  # fmt: skip
    film = desk.given("sink.coefficient", WattPerSquareMetreKelvin, 9.0,
                      "from memory: still air and radiation of a dark body; fins are not counted",
                      2.0)  # fmt: skip
    found = desk.work("sink.resistance", cooling.sink_resistance, area=area, coefficient=film)
    desk.chose("sink.resistance", str(found))


def warmth(desk: Desk, ambient: Value) -> Value | None:
    """The temperature of the sink, judged; None where there is none.

    Parameters
    ----------
    desk : Desk
        Takes values and findings.
    ambient : Value
        Warmest air of the room. [K]
    """
    wish = sink_of(desk.fixture)
    if wish is None:
        return None
    inside = not wish.outside and "box.temperature" in desk
    share = desk["sink.share"] if "sink.share" in desk else desk.given(
        "sink.share", Percent, 1.0, "all of it, on the safe side")  # fmt: skip
    heat = desk.work("sink.heat", cooling.by_share, loss=desk["regulator.loss"], share=share)
    found = desk.work("sink.temperature", cooling.sink_temperature,
                      around=desk["box.temperature"] if inside else ambient,
                      resistance=desk["sink.resistance"], heat=heat)  # fmt: skip
    bears = desk["sink.highest_temperature"]
    deeper = f"{wish.depth.si * 2e3:.0f} mm"
    mends = [Mend({"chain.regulator.sink.depth": deeper,
                   "chain.regulator.sink.resistance": "auto"})]  # fmt: skip
    if inside:
        mends.insert(0, THROUGH)
    desk.limit("sink-hot", bears, found, worst=True, place=place_of(wish.width),
               level="stop" if found.si > bears.si else "advice", mends=tuple(mends))  # fmt: skip
    return found


def vented(desk: Desk, wish: Vents) -> dict[str, Value]:
    """What the vents add to the heat balance of the box: free area, rise, what dust leaves."""
    count, size = desk.put(wish.count), desk.put(wish.size)
    if wish.length is None:
        area = desk.work("vent.area", cooling.round_area, count=count, diameter=size)
    else:
        area = desk.work("vent.area", cooling.slot_area, count=count, width=size,
                         length=desk.put(wish.length))  # fmt: skip
    rise = desk.work("vent.rise", cooling.upright, height=desk["enclosure.height"],
                     tilt=desk.put(desk.fixture.use.faces.tilt))  # fmt: skip
    share = desk.given("vent.share", Percent, 0.5, "from memory: dust, and edges of the holes", 0.2)
    return {"vent_area": area, "vent_rise": rise, "vent_share": share}


# --- rules ------------------------------------------------------------------------------------
def judge(desk: Desk, model: Model) -> None:
    """Judge the built sink and vents: what is near, what gets in."""
    for part in model.by_role("heat_sink"):
        if part.solid is not None:
            _near_wood(desk, model, part, part.solid)
            _near_bare(desk, model, part, part.solid)
            _stands_out(desk, model, part.solid)
    _vents(desk, model)


def _near_wood(desk: Desk, model: Model, part: Part, solid: Solid) -> None:
    """What bears least of all that is so near that it gets as warm as the sink."""
    near = [(other, other.stock["highest_temperature"]) for other in model.parts
            if other.solid and other.stock is not None and other.role != "row"
            and other.stock.get("highest_temperature") is not None
            and gap(solid, other.solid.filled) < NEAR]  # fmt: skip
    if not near or "sink.temperature" not in desk:
        return
    other, bears = min(near, key=lambda pair: pair[1].si)
    limit = desk.put(bears)
    found = desk["sink.temperature"]
    desk.limit("sink-near", limit, found, worst=True, part=other.ref, sink=part.ref,
               level="stop" if found.si > limit.si else "advice",
               place=desk.fixture.place("chain.regulator.sink"),
               mends=(Mend({"body.enclosure.sheet": "aluminium",
                            "body.enclosure.thickness": "3 mm"}), THROUGH))  # fmt: skip


def gap(solid: Solid, others: Iterable[Solid]) -> float:
    """Air between a solid and the nearest of others. [m]."""
    low, high = _ends([solid])
    return float(boxes.gaps(low, high, *_ends(list(others))).min())


def _ends(solids: Sequence[Solid]) -> tuple[boxes.Floats, boxes.Floats]:
    low = np.array([solid.low for solid in solids], dtype=np.float64).reshape(-1, 3)
    high = np.array([solid.high for solid in solids], dtype=np.float64).reshape(-1, 3)
    return low, high


def _near_bare(desk: Desk, model: Model, part: Part, solid: Solid) -> None:
    """The nearest terminal on the back, and bare rail, beside the sink as it is seen from there."""
    points = {
        terminal.key: (*terminal.at, *terminal.at)
        for terminal in model.terminals
        if terminal.at and owner(terminal.key) != part.ref
        and (host := model.part(terminal.part)).side == "back" and host.solid and host.on
    }  # fmt: skip
    found = [(key, _beside(solid.box, at)) for key, at in points.items()]
    found += [(rail.ref, gap(solid, rail.solid.filled)) for rail in model.by_role("rail")
              if rail.bare and rail.side == "back" and rail.solid]  # fmt: skip
    if not found:
        return
    key, near = min(found, key=lambda pair: (pair[1], pair[0]))
    value = desk.given("sink.nearest", FineMetre, near, "places in the box")
    desk.limit("sink-apart", desk["limits.clearance"], value, at_most=False,
               terminal=minus(key), sink=part.ref,
               place=desk.fixture.place("chain.regulator.sink"))  # fmt: skip


def _beside(box: Box, at: tuple[float, float, float, float]) -> float:
    """From an outline to a point beside it; a point over it is at no distance. [m]."""
    across = max(box.x - at[0], at[0] - box.x - box.width, 0.0)
    up = max(box.y - at[1], at[1] - box.y - box.height, 0.0)
    return float(np.hypot(across, up))


def _stands_out(desk: Desk, model: Model, solid: Solid) -> None:
    """A sink through the lid gives off heat with what stands out of it."""
    wish = sink_of(desk.fixture)
    if wish is None or not wish.outside:
        return
    lids = [part.solid for part in model.by_role("lid") if part.solid]
    if not lids:
        desk.find(Finding("sink-no-lid", "stop", place=desk.fixture.place("chain.regulator.sink"),
                          mends=(INSIDE,)))  # fmt: skip
        return
    out = desk.given("sink.out", FineMetre, max(lids[0].low[2] - solid.low[2], 0.0),
                     "places in the box")  # fmt: skip
    half = desk.work("sink.half_out", geometry.half_of, length=desk["sink.depth"])
    desk.limit("sink-out", half, out, at_most=False, level="advice" if out.si > 0 else "stop",
               place=place_of(wish.depth), mends=(INSIDE,))  # fmt: skip


@dataclass(frozen=True)
class Behind:
    """A vent and what can be touched through it."""

    vent: Opening
    terminals: tuple[str, ...]


def _vents(desk: Desk, model: Model) -> None:
    found = [one for wall in model.by_role("wall") for one in wall.openings
             if one.hole.role == "vent"]  # fmt: skip
    if not found:
        return
    place = desk.fixture.place("body.enclosure.vents")
    size = found[0].hole.width
    finger = desk.given("vent.finger", FineMetre, FINGER, f"{IP}, IP2X: the test finger")
    smaller = Mend({"body.enclosure.vents": "{count: 12, diameter: 5 mm}"})
    desk.limit("vent-finger", finger, size, place=place, mends=(smaller,))
    reached = sorted({key for vent in found for key in behind(model, vent)})
    wire = desk.given("vent.wire", FineMetre, WIRE, f"{IP}, IP3X: the test wire")
    if reached:
        desk.limit("vent-wire", wire, size, level="advice", place=place, terminals=tuple(
            minus(key) for key in reached[:6]))  # fmt: skip
    shut = [f"{one.name} under {ref}" for one in found for ref in covering(model, one)]
    desk.find(Finding("vents-open", "stop" if shut else "holds", place=place,
                      names={"faults": tuple(dict.fromkeys(shut))[:6], "kept": not shut},
                      mends=(Mend({"body.enclosure.vents": "none"}),
                             Mend({"body.mount": "none"})) if shut else ()))  # fmt: skip


def behind(model: Model, vent: Opening) -> list[str]:
    """Terminals that a straight wire reaches through a vent."""
    (x0, y0, _), (x1, y1, _) = vent.low, vent.high
    middle = (y0 + y1) / 2
    return [
        terminal.key for terminal in model.terminals
        if terminal.at and (host := model.part(terminal.part)).side == "back" and host.solid
        and host.on and host.role not in ("rail", "heat_sink")
        and x0 - WIRE <= terminal.at[0] <= x1 + WIRE and abs(terminal.at[1] - middle) <= PROBE
    ]  # fmt: skip


def covering(model: Model, vent: Opening) -> list[str]:
    """Parts before the outer mouth of a vent."""
    wall = vent.part.solid
    assert wall is not None
    low, high = list(vent.low), list(vent.high)
    if abs(vent.hole.at[1] - wall.low[1]) < 1e-6:
        low[1], high[1] = wall.low[1] - VENT_AIR, wall.low[1]
    else:
        low[1], high[1] = wall.high[1], wall.high[1] + VENT_AIR
    before = Solid((low[0], low[1], low[2]), (high[0], high[1], high[2]))
    others = [(part.ref, piece) for part in model.parts if part.solid and part.on
              for piece in part.solid.filled if part.ref != vent.part.ref]  # fmt: skip
    deep = boxes.overlaps(*_ends([before]), *_ends([piece for _, piece in others]))
    return [others[b][0] for _, b in np.argwhere(deep > 1e-5)]
