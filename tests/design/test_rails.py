"""Rails of bar and foil, and rails along lines of their own: places, drops, rules, network."""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import Design, rail_rules, settle, solid_rules
from guidegen.design.model import Part
from guidegen.errors import SpecError
from guidegen.guide import make
from guidegen.guide.bends import bent_rails
from guidegen.guide.make import WalkError
from guidegen.guide.model import Guide
from guidegen.publish.figures import drawings
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

NGSPICE = shutil.which("ngspice")
SCREWED = "rails of bars, screwed down"
GLUED = "rails of brass bars, glued to strips on metal"
ALONG = "a rail of foil along the lower edge"
JOG = "rails that jog, fed between two taps"
Settled = Callable[[str], Design]


def rail(design: Design, polarity: str) -> Part:
    return next(part for part in design.model.by_role("rail") if part.polarity == polarity)


def found(design: Design, name: str) -> tuple[str, str]:
    (one,) = [finding for finding in design.findings if finding.id == name]
    return one.level, str(one.names.get("faults", ""))


# --- places -----------------------------------------------------------------------------------
def test_a_line_by_hand(settled: Settled) -> None:
    """From (80, 30) to (21, 30) and up to (21, 240): 59 + 210 mm; row 12 lies at 47.5 mm."""
    design = settled(ALONG)
    plus = rail(design, "+")
    assert np.array(plus.line) == pytest.approx(
        np.array([(0.08, 0.03), (0.021, 0.03), (0.021, 0.24)])
    )
    assert plus.size[0].si == pytest.approx(0.059 + 0.210)
    taps = {t.name: t.at for t in design.model.terminals if t.part == plus.ref}
    assert taps["12"] == pytest.approx((0.021, 0.0475))
    assert taps["1"] == pytest.approx((0.021, 0.0475 + 11 * 0.015))
    # Ten millimetres from its first end, which a straight rail has over its taps too.
    assert taps["feed"] == pytest.approx((0.07, 0.03))
    ((far, at, turn),) = plus.bends
    assert (far, at) == (pytest.approx(0.059), pytest.approx((0.021, 0.03)))
    assert turn == pytest.approx(-math.pi / 2)  # westward, then north: to the right
    assert plus.solid is not None
    # Ten millimetres wide: half of them beyond the line, but not beyond its ends.
    boxes = [(p.low[:2], p.high[:2]) for p in plus.solid.filled]
    assert boxes == [(pytest.approx((0.016, 0.025)), pytest.approx((0.08, 0.035))),
                     (pytest.approx((0.016, 0.025)), pytest.approx((0.026, 0.24)))]  # fmt: skip


def test_bends_are_told_as_the_bench_needs_them(settled: Settled) -> None:
    (bent,) = bent_rails(settled(JOG).model, load_words(search_path()))
    said = [(bend.far, bend.across, bend.up, bend.turn, bend.way) for bend in bent.bends]
    # Board of 210 mm, from 190 mm down to 118 mm: 72 mm; slants of 5 mm each way: 7.07 mm.
    assert [text.replace("\u00a0", " ") for text in said[0]] == [
        "72 mm", "21 mm", "118 mm", "45°", "left"]  # fmt: skip
    assert [text.replace("\u00a0", " ") for text in said[1]] == [
        "79 mm", "26 mm", "113 mm", "45°", "right"]  # fmt: skip
    assert [one[4] for one in said] == ["left", "right", "right", "left"]


def test_the_longest_way_decides_the_jumpers(settled: Settled) -> None:
    """At the jog the rail is 4 mm from the rows, elsewhere 9 mm; 12 mm are for both joints."""
    design = settled(JOG)
    assert design.values["jumper.length"].si == pytest.approx(0.009 + 0.012)
    nearest = min(t.at[0] for t in design.model.terminals
                  if t.part == rail(design, "+").ref and t.name == "6" and t.at)  # fmt: skip
    assert 0.030 - nearest == pytest.approx(0.004)


# --- electrical -------------------------------------------------------------------------------
def test_a_drop_along_a_line_by_hand(settled: Settled) -> None:
    """Feed 10 mm from the end, row 12 at 76.5 mm, then 15 mm a row: each row's current flows
    from the feed to its own tap, 66.5 + 81.5 + ... + 231.5 mm = 12 · 149 mm = 1.788 m.
    Foil of 10 mm x 0.035 mm: 0.017241 / 0.35 = 49.26 mΩ/m (IEC 60028, 100 % IACS)."""
    values = settled(ALONG).values
    assert values["rail.tap_sum"].si == pytest.approx(1.788)
    assert values["rail.resistance"].si == pytest.approx(0.017241 / 0.35)
    by_hand = values["row.side_current"].si * 1.788 * 0.017241 / 0.35
    assert values["rail.drop"].si == pytest.approx(by_hand)


def test_a_straight_line_is_a_straight_rail(demo: Fixture) -> None:
    """The two forms of law and network: closed sums of pitches, and taps along a line."""
    at = {"across": ("21 mm from left", "21 mm from right"),
          "up": ("13 mm from top", "13 mm from bottom")}  # fmt: skip
    paths = [", ".join(f"{{across: {x}, up: {y}}}" for y in at["up"]) for x in at["across"]]
    line = {"wiring.rails.path": f"{{positive: [{paths[0]}], negative: [{paths[1]}]}}",
            "wiring.rails.fed_at": "below row 4"}  # fmt: skip
    straight, drawn = (settle(changed(demo, change), mends=False).values
                       for change in ({"wiring.rails.fed_at": "below row 4"}, line))  # fmt: skip
    for name in ("rail.drop", "network.current", "network.opposite_ends", "network.rail_loss"):
        assert drawn[name].si == pytest.approx(straight[name].si, rel=1e-9), name


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_a_bent_rail_against_a_deck_by_hand(settled: Settled, tmp_path: Path) -> None:
    """ngspice on rows as one resistor each; the deck has lengths from the spec's points alone."""
    design = settled(ALONG)
    amps = design.values["row.current"].si
    ohms = 0.017241 / 0.35
    # Positive: from the foot up; negative: fed 10 mm over row 1.
    plus = [0.0665, *[0.015] * 11]
    minus = [0.010, *[0.015] * 11]
    lines = ["V1 p0 0 10"]
    for pole, pieces, order in (("p", plus, range(12, 0, -1)), ("n", minus, range(1, 13))):
        before = f"{pole}0" if pole == "p" else "0"
        for row, piece in zip(order, pieces, strict=True):
            lines += [f"R{pole}{row} {before} {pole}{row} {piece * ohms}"]
            before = f"{pole}{row}"
    lines += [f"I{row} p{row} n{row} {amps}" for row in range(1, 13)]
    file = tmp_path / "rails.cir"
    control = [".control", "set numdgt=10", "op", "print p0-v(p1)", "print v(n12)", ".endc", ".end"]
    file.write_text("\n".join(["* rails", *lines, *control]).replace("p0-v(p1)", "v(p0)-v(p1)"),
                    encoding="utf-8")  # fmt: skip
    run = subprocess.run([NGSPICE or "", "-b", str(file)], capture_output=True, text=True,
                         timeout=60, check=False)  # fmt: skip
    drops = [float(text) for text in re.findall(r"^\S+ = (\S+)\s*$", run.stdout, re.M)]
    assert len(drops) == 2, run.stdout + run.stderr
    assert design.values["rail.drop"].si == pytest.approx(max(drops), rel=1e-6)


def test_width_counts_as_bare_copper(settled: Settled) -> None:
    """Two foils of 10 mm, their middle lines 18 mm apart: 8 mm of air."""
    design = settled("rails of foil, two at each side")
    assert design.values["bare.nearest"].si == pytest.approx(0.018 - 0.010)


def test_data_sheet_takes_the_estimates_place(demo: Fixture) -> None:
    """A figure of the part stands for the estimate; below the panel's current it is a stop."""
    weak = {
        "wiring.rails": "{offset: 14 mm, foil: {like: foil-copper-10mm, current: 1.5 A}}",
        "body.board.width": "auto",
    }
    design = settle(changed(demo, weak))
    (finding,) = [
        f for f in design.findings if f.id == "ampacity" and f.names["conductor"] == "rail"
    ]
    assert (finding.level, finding.required.si if finding.required else 0) == ("stop", 1.5)
    assert {"wiring.rails.foil": "foil-copper-20mm"} in [mend.changes for mend in finding.mends]


# --- rules, each spoiled once -------------------------------------------------------------------
@pytest.mark.parametrize(
    ("change", "id", "said"),
    [
        ({"wiring.rails.path": "{positive: [{across: 21 mm from left, up: 20 mm from top},"
          " {across: 21 mm from left, up: 60 mm from bottom}]}"}, "rail-path-rows", "+ at row 10"),
        ({"wiring.rails.path": "{negative: [{across: 21 mm from left, up: 20 mm from top},"
          " {across: 21 mm from left, up: 18 mm from bottom}]}"}, "rail-path-rows", "− at row 1"),
        ({"wiring.rails": "{bar: bar-copper-10x2, path: {positive: [{across: 21 mm from left,"
          " up: 15 mm from top}, {across: 21 mm from left, up: middle}, {across: 24 mm from left,"
          " up: 15 mm from bottom}]}}"}, "rail-straight", "W8"),
        ({"wiring.rails.path": "{positive: [{across: 21 mm from left, up: 20 mm from top},"
          " {across: 21 mm from left, up: 13 mm from bottom}, {across: 0 mm from left,"
          " up: 13 mm from bottom}, {across: 0 mm from left, up: 9 mm from bottom}]}"},
         "rail-on-board", "W8"),
        ({"wiring.rails": "{bar: bar-copper-10x2, fixed_by: screws}", "body.board":
          "{sheet: aluminium, thickness: 3 mm}"}, "bar-screw-metal", ""),
        ({"wiring.rails": "{bar: bar-copper-15x2, offset: 14 mm, strip: strip-laminate-15x2}",
          "body.board.width": "auto"}, "strip-narrow", ""),
        ({"wiring.rails": "{bar: bar-copper-10x2, fixed_by: screws}", "rows.1.pitch": "10 mm",
          "body.board.height": "142 mm", "body.mount": "none", "body.enclosure": "none"},
         "bar-screw-room", ""),
        ({"wiring.rails": "{foil: {like: foil-copper-20mm, width: 48 mm}, offset: 30 mm}",
          "body.board.width": "auto"}, "rail-wide", ""),
        ({"rows.1.fed_from": "middle", "wiring.rails.path": "{positive: [{across: middle,"
          " up: 20 mm from top}, {across: middle, up: 20 mm from bottom}]}"}, "rail-path-back", ""),
    ],
)  # fmt: skip
def test_a_rail_that_can_not_be_built(
    demo: Fixture, change: dict[str, str], id: str, said: str
) -> None:
    level, faults = found(settle(changed(demo, change), mends=False), id)
    assert level == "stop"
    assert said in faults


def test_poles_that_cross_are_told(demo: Fixture) -> None:
    """Both rails at the left: the positive one runs out over the negative one."""
    over = {"rows.1.fed_from": "left end", "body.board.width": "auto",
            "wiring.rails.path": "{positive: [{across: 15 mm from left, up: 13 mm from bottom},"
            " {across: 26 mm from left, up: 18 mm from bottom}, {across: 26 mm from left,"
            " up: 20 mm from top}]}"}  # fmt: skip
    design = settle(changed(demo, over), mends=False)
    stops = {finding.id for finding in design.findings if finding.level == "stop"}
    assert {"bare-clearance", "parts-collide"} <= stops


def test_a_bent_rail_takes_no_more_room_than_its_pieces(settled: Settled) -> None:
    """Its corners are round half of the rows: as one block it would lie in them."""
    design = settled(JOG)
    plus = rail(design, "+")
    assert plus.solid is not None
    assert solid_rules.collisions(design.model) == []
    whole = replace(plus, solid=replace(plus.solid, pieces=(), high=(0.040, *plus.solid.high[1:])))
    spoiled = replace(design.model, parts=tuple(whole if p.ref == plus.ref else p
                                                for p in design.model.parts))  # fmt: skip
    assert any(plus.ref in text for text in solid_rules.collisions(spoiled))
    assert rail_rules.off_board(design.model) == []


# --- parts ------------------------------------------------------------------------------------
def test_bars_lie_on_strips_and_are_screwed_between_their_joints(settled: Settled) -> None:
    design = settled(SCREWED)
    model = design.model
    for bar in model.by_role("rail"):
        strip = model.part(bar.on)
        assert strip.solid is not None
        assert bar.solid is not None
        assert bar.solid.low[2] == pytest.approx(strip.solid.high[2])
        assert strip.solid.box.holds(bar.solid.box)
        joints = [t.at[1] for t in model.terminals if t.part == bar.ref and t.at]
        holes = [hole for hole in bar.solid.holes if hole.role == "rail_screw"]
        (screw,) = [part for part in model.by_role("rail_screw") if part.on == bar.ref]
        assert len(holes) == screw.count >= 2
        # Pitch 15 mm: in the middle between two taps a screw is 7.5 mm from both.
        assert min(abs(hole.at[1] - y) for hole in holes for y in joints) >= 0.006 - 1e-9
        board = model.part(strip.on)
        pilots = [(h.at[0], h.at[1]) for h in (board.solid.holes if board.solid else ())
                  if h.role == "rail_pilot" and h.holds == screw.ref]  # fmt: skip
        assert np.array(sorted(pilots)) == pytest.approx(np.array(sorted(h.at[:2] for h in holes)))


def test_bars_are_cut_from_bars_and_not_bought_by_the_metre(settled: Settled) -> None:
    work = settled(SCREWED).result("making").bars
    refs = {part.ref for part in settled(SCREWED).model.by_role("rail")}
    (bars,) = [one for one in work if one.part.kind == "busbar"]
    assert {ref for piece in bars.pieces for ref in piece.label.split("/")} == refs
    # Eight copies of two: sixteen pieces of 184 mm.
    assert sum(piece.count for piece in bars.pieces) == 16
    assert bars.pieces[0].length == pytest.approx(0.184)


def test_on_metal_bars_are_glued(settled: Settled) -> None:
    design = settled(GLUED)
    assert design.facts["bars_screwed"] is False
    assert design.model.by_role("rail_screw") == []
    # CuZn37 of a handbook, 15 to 16 MS/m (from memory): 30 mm² of it 2.1 to 2.2 mΩ/m.
    assert 1 / (16e6 * 30e-6) < design.values["rail.resistance"].si < 1 / (15e6 * 30e-6)


@pytest.fixture(scope="module")
def along(settled: Settled) -> Guide:
    made = make(settled(ALONG), search_path(), drawings)
    assert isinstance(made, Guide)
    return made


def test_the_walk_reads_a_bent_rail_within_what_it_prints(along: Guide) -> None:
    """Solved readings from the feed over the foot of the line: the walk found nothing wrong."""
    assert along.walk.passed
    assert any(row.solved.reading.instrument == "mv" for row in along.walk.solved)


def test_a_rail_whose_metre_is_doubled_fails_the_walk(settled: Settled) -> None:
    """Spoiled on purpose: readings are solved over the rail's own line."""
    design = settled(ALONG)
    plus = rail(design, "+")
    longer = replace(plus, line=tuple((x * 40, y * 40) for x, y in plus.line))
    model = replace(design.model, terminals=tuple(
        replace(t, at=(t.at[0] * 40, t.at[1] * 40)) if t.part == plus.ref and t.at else t
        for t in design.model.terminals),
        parts=tuple(longer if p.ref == plus.ref else p for p in design.model.parts))  # fmt: skip
    sections = tuple(replace(s, result=model) if s.subject == "circuit" else s
                     for s in design.sections)  # fmt: skip
    with pytest.raises(WalkError, match="solved"):
        make(replace(design, sections=sections), search_path(), lambda design, steps: {})


def test_every_bend_is_drawn(along: Guide) -> None:
    """The rail's line in the panel and in its step goes through corner and ends, in proportion."""
    for name in ("rows", "step-foil-bent", "board-back"):
        paths_drawn = re.findall(r' d="(M[^"]*)"', along.figures[name].svg)
        corners = [len(re.findall(r"L", path)) for path in paths_drawn]
        assert any(count >= 2 for count in corners), name
    text = next(page.markdown for page in along.pages if page.uri == "cutting.md")
    assert "| bend 1 | 59\u00a0mm | 21\u00a0mm | 30\u00a0mm | 90° to the right |" in text
    steps = next(page.markdown for page in along.pages if page.uri == "steps.md")
    assert (
        "Draw its corner 1: 21\u00a0mm from the left edge, 30\u00a0mm from the lower edge." in steps
    )


def test_a_strip_that_conducts_is_refused(demo: Fixture) -> None:
    with pytest.raises(SpecError, match="conducts"):
        changed(demo, {"wiring.rails": "{bar: bar-copper-10x2, strip: aluminium-flat-20x2}"})


def test_where_no_screw_has_room_bars_are_glued(demo: Fixture) -> None:
    """Taps 10 mm apart leave no place that is 6 mm from both."""
    close = {"wiring.rails": "{bar: bar-copper-10x2}", "rows.1.pitch": "10 mm",
             "body.board.height": "142 mm", "body.mount": "none",
             "body.enclosure": "none"}  # fmt: skip
    design = settle(changed(demo, close), mends=False)
    assert design.facts["bars_screwed"] is False
