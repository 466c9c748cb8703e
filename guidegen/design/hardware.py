"""What holds and covers the circuit: clips, insulation, standoffs, holder, knob, grommet, plate."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.growing import Wiring
from guidegen.design.model import Part
from guidegen.design.parts import first_stage, part_of
from guidegen.design.pieces import pilot
from guidegen.kinds import FineMetre
from guidegen.spec.stages import FuseStage


def hardware(wiring: Wiring, body: tuple[Part, ...]) -> None:
    """What holds and covers the circuit."""
    desk = wiring.desk
    wiring.counts["H"] = sum(part.ref.startswith("H") for part in body)
    board = body[0].ref
    if desk.fact("conductive_board"):
        wiring.terminal(board, "edge", "", (0.0, 0.0))
    span = desk["rail.length"].si
    rails = [part for part in wiring.parts if part.role == "rail"]
    clips = len(rails) * max(2, int(span / 0.08) + 1)
    bare = [wire for wire in wiring.conductors if wire.role == "jumper" and wire.bare]
    crossing = {ref for ref, place in zip((r.ref for r in rails), places.rails(desk), strict=True)
                if place.second}  # fmt: skip
    over = sum(wire.start.split(":")[0] in crossing for wire in bare)
    if over:
        wiring.part("H", "sleeve", None, board, key="sleeve-heat-shrink", count=over)
    wiring.part("H", "rail_clip", None, board, key="rail-clip", count=clips)
    for rail in rails:
        if desk.fact("conductive_board"):
            wiring.part("H", "underlay", None, board, key="insulating-tape-15mm")
        wiring.part(
            "H",
            "insulation",
            None,
            rail.ref,
            key="insulating-tape-15mm",
            covers=("rail", "jumper"),
            side=rail.side,
        )
    refs = {part.role: part.ref for part in wiring.parts}
    home = next((part.ref for part in body if part.role == "wall"), board)
    if "regulator" in refs:
        wiring.part("H", "standoff", None, home, key="standoff-m3x10", count=4, side="back")
        screw = desk.given("standoff.screw", FineMetre, 0.003, "catalogue wood-screw-3x16 (label)")
        pilot(desk, "standoff", screw)
        wiring.part("H", "standoff_screw", None, home, key="wood-screw-3x16", count=4, side="back")
    if "fuse" in refs:
        fuse = next(part for part in wiring.parts if part.role == "fuse")
        wiring.part("H", "fuse_holder", None, fuse.on, key=_holder(wiring), side="back")
    if "control" in refs:
        wiring.part("H", "knob", None, refs["control"], key="knob-6mm", side="back")
    if any(wire.role == "lead" for wire in wiring.conductors):
        wiring.part("H", "grommet", None, home, key="grommet-8mm", side="back")
        wiring.part("H", "tie", None, home, key="cable-tie", count=2, side="back")
    wiring.part("H", "plate", None, home, key="rating-plate", side="back")


def _holder(wiring: Wiring) -> str:
    """The holder that belongs to the fuse's series."""
    fuse = first_stage(wiring.desk.fixture, FuseStage)
    blade = fuse is not None and part_of(fuse).words.get("series") == "blade"
    return "fuse-holder-blade" if blade else "fuse-holder-5x20"
