"""Insulation that lies on the warm board: jumpers, rails and the feed that is tied to its back."""

from __future__ import annotations

from guidegen.calc import wire
from guidegen.design import panels
from guidegen.design.choose import chosen_part
from guidegen.design.parts import first_stage, part_of
from guidegen.design.result import Desk, Mend
from guidegen.spec.part import Part
from guidegen.spec.stages import FeedStage
from guidegen.values import Value, band, renamed


def judge(desk: Desk) -> None:
    """Compare each insulation with the board under it, and with what its own current adds."""
    wiring, whole = desk.fixture.wiring, panels.one(desk, "current")
    _one(desk, "jumper", wiring.jumper, desk["row.current"], "wiring.jumpers.conductor")
    if wiring.rails.kind == "wire":
        _one(desk, "rail", wiring.rails.conductor, whole, "wiring.rails.conductor")
    feed = first_stage(desk.fixture, FeedStage)
    if feed is not None:
        core = desk["feed.core_current"] if "feed.core_current" in desk else whole
        _one(desk, "feed", part_of(feed), core, f"{feed.path}.feed")


def _one(desk: Desk, name: str, part: Part, current: Value, path: str) -> None:
    if part.words["insulation"] == "none":
        return
    # The feed is tied to the back; the others lie beside the rows.
    board = desk[f"board.{'back' if name == 'feed' else 'face'}_temperature"]
    bears = desk.put(renamed(part["temperature"], f"{name}.bears"))
    found = desk.work(f"{name}.warmest", wire.on_warm_board, board=board, current=current,
                      ampacity=desk[f"{name}.ampacity"], insulation_temperature=bears,
                      ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
    words, size = part.words, desk[f"{name}.size"].si
    least = chosen_part(
        "conductor", name, by="temperature",
        fits=lambda other: other.words["insulation"] != "none"
        and other.words["build"] == words["build"] and other["cores"].si == part["cores"].si
        and any(abs(area.si - size) < 1e-9 for area in other.series["areas"])
        and other["temperature"].si >= band(found)[1])  # fmt: skip
    desk.limit("insulation-warm", bears, found, worst=True, conductor=name,
               level="stop" if found.si > bears.si else "advice",
               place=desk.fixture.place(path),
               mends=(Mend({path: least.key}),) if least else ())  # fmt: skip
