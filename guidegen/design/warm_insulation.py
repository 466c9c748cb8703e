"""Wires where it is warm: on the board, and in the box; their insulation, and what guards them."""

from __future__ import annotations

import math

from guidegen.calc import protection, warm_wire
from guidegen.design import panels
from guidegen.design.choose import chosen_part
from guidegen.design.parts import all_stages, first_stage, part_of, regulator_of, steps_up
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.design.sizes import carrier
from guidegen.design.wiring import supply_cable
from guidegen.kinds import Celsius, FineAmpere, Kelvin, Ratio
from guidegen.spec.part import Part
from guidegen.spec.stages import FeedStage, FuseStage
from guidegen.values import Value, band, renamed

#: What a wire bears until its fuse opens, over what it bears for good.
OVERLOAD, OVERLOAD_SOURCE = 1.45, "IEC 60364-4-43, 433.1, from memory"

#: How much warmer than its wire a sound joint may be; and a thermometer's error. [K].
WARMER, COOLER = 20.0, 3.0


def judge(desk: Desk) -> None:
    """Compare each insulation with the board under it, and with what its own current adds."""
    wiring, whole = desk.fixture.wiring, panels.one(desk, "current")
    face, back = (desk[f"board.{side}_temperature"] for side in ("face", "back"))
    _one(desk, "jumper", wiring.jumper, desk["row.current"], face, "wiring.jumpers.conductor")
    if wiring.rails.kind == "wire":
        _one(desk, "rail", wiring.rails.conductor, whole, face, "wiring.rails.conductor")
    feed = first_stage(desk.fixture, FeedStage)
    if feed is not None:
        # It is tied to the back; the others lie beside the rows.
        _feed(desk, feed, back, in_box=False)


def in_box(desk: Desk) -> None:
    """The same for the wires between the parts in the box, and the feed's ends, in its air."""
    held = desk.fixture.held
    name, part = supply_cable(desk.fixture)
    if held is not None:
        part = held.link
    stage = next(one for one in all_stages(desk.fixture) if one.kind == name)
    _one(desk, "link", part, desk["input.highest_current"], desk["box.temperature"],
         f"{stage.path}.{name}", in_box=True)  # fmt: skip
    feed = first_stage(desk.fixture, FeedStage)
    if feed is not None and name != "feed":
        _feed(desk, feed, desk["box.temperature"], in_box=True)


def _feed(desk: Desk, feed: FeedStage, around: Value, in_box: bool) -> None:
    whole = panels.one(desk, "current")
    core = desk["feed.core_current"] if "feed.core_current" in desk else whole
    _one(desk, "feed", part_of(feed), core, around, f"{feed.path}.feed", in_box)


def at_joints(desk: Desk, ambient: Value) -> None:
    """How warm a sound joint of the supply side gets: as its wire, and a little over."""
    name, part = supply_cable(desk.fixture)
    name = "lead" if name == "lead" else "link"
    bears = desk.put(renamed(part["temperature"], "joint.bears"))
    desk.work("joint.warm", warm_wire.in_the_warm, around=ambient, ambient=ambient,
                     current=desk["input.highest_current"], ampacity=desk[f"{name}.ampacity"],
                     insulation_temperature=bears)  # fmt: skip
    desk.given("joint.coolest", Celsius, ambient.si - COOLER, "as cool as the room, less an error")
    rise = desk.given("joint.rise", Kelvin, WARMER, PRACTICE)
    box = desk["box.warmest_reading"].si if "box.warmest_reading" in desk else 0.0
    hottest = max(desk["joint.warm"].si + rise.si, desk["board.warmest_reading"].si, box)
    desk.given("thermometer.most", Celsius, math.ceil(hottest - 273.15) + 273.15,
               "the greatest limit of a reading, in whole degrees")  # fmt: skip


def _one(  # noqa: PLR0913, PLR0917 - a wire, what it carries, and where it lies
    desk: Desk,
    name: str,
    part: Part,
    current: Value,
    around: Value,
    path: str,
    in_box: bool = False,
) -> None:
    if part.words["insulation"] == "none":
        return
    # The feed lies on the board and ends in the box.
    ours = f"{name}.boxed_" if in_box and name != "link" else f"{name}."
    bears = desk[f"{name}.bears"] if f"{name}.bears" in desk else desk.put(
        renamed(part["temperature"], f"{name}.bears"))  # fmt: skip
    found = desk.work(f"{ours}warmest", warm_wire.in_the_warm, around=around, current=current,
                      ampacity=desk[f"{name}.ampacity"], insulation_temperature=bears,
                      ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
    mends = _better(desk, name, part, band(found)[1], path)
    desk.limit("insulation-warm", bears, found, worst=True, conductor=name, in_box=in_box,
               level="stop" if found.si > bears.si else "advice",
               place=desk.fixture.place(path), mends=mends)  # fmt: skip
    guard = _guard(desk, name)
    if guard is None:
        return
    told = {"around": around, "insulation_temperature": bears, "ambient": desk["use.ambient_high"]}
    allowed = desk.work(f"{ours}warm_ampacity", warm_wire.warm_ampacity,
                        ampacity=desk[f"{name}.ampacity"], **told)  # fmt: skip
    size = () if allowed.si <= 0 else carrier(
        desk, name, guard.si * desk[f"{name}.ampacity"].si / allowed.si)  # fmt: skip
    # A fuse lets a fault flow for good; what a current limit holds it back to is set near the load.
    level = "stop" if guard is desk.values.get("fuse.guards") else "advice"
    desk.limit("guard-warm", allowed, guard, conductor=name, in_box=in_box, around=around,
               size=desk[f"{name}.size"], place=desk.fixture.place(path), level=level,
               mends=(*size, *mends))  # fmt: skip


def _better(desk: Desk, name: str, part: Part, warmest: float, path: str) -> tuple[Mend, ...]:
    """The wire of the same make whose insulation bears that."""
    words, size = part.words, desk[f"{name}.size"].si
    found = chosen_part(
        "conductor", name, by="temperature",
        fits=lambda other: other.words["insulation"] != "none"
        and other.words["build"] == words["build"] and other["cores"].si == part["cores"].si
        and any(abs(area.si - size) < 1e-9 for area in other.series["areas"])
        and other["temperature"].si >= warmest)  # fmt: skip
    return (Mend({path: found.key}),) if found else ()


def _guard(desk: Desk, name: str) -> Value | None:
    """What a fault can drive through it for good; None: its source can't give more than it bears.

    A jumper behind a step-up is judged by `short-in-row`.
    """
    regulator, fuse = regulator_of(desk.fixture), first_stage(desk.fixture, FuseStage)
    up = steps_up(regulator)
    if name != "link" and regulator is not None and not up:
        if "limit.set" not in desk:
            return desk["regulator.current"]
        return desk.once("limit.greatest", FineAmpere, band(desk["limit.set"])[1],
                         "upper end of the band of limit.set")  # fmt: skip
    if fuse is None or desk.fact("adapter") or (name == "jumper" and up):
        return None
    if "fuse.guards" in desk:
        return desk["fuse.guards"]
    overload = desk.given("fuse.overload", Ratio, OVERLOAD, OVERLOAD_SOURCE)
    return desk.work("fuse.guards", protection.guarded_current, rating=desk["fuse.rating"],
                     opens_at=desk["fuse.opens_at"], overload=overload)  # fmt: skip
