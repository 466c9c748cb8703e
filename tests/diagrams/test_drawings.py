"""What each drawing must show, read from the SVG and compared with the model."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import pytest
from reader import NS, Drawing
from sample import mm, renamed, sample

from guidegen.calc.cutting.model import (
    Bar,
    BarCut,
    BarPlan,
    BarStock,
    Cut,
    Placed,
    Sheet,
    SheetPlan,
    SheetStock,
)
from guidegen.design.model import Model, Part, Terminal
from guidegen.design.solid import Hole
from guidegen.diagrams.figures import (
    calibration,
    draw,
    hole_plan,
    literal,
    step_figure,
)
from guidegen.diagrams.style import NARROW, STYLES, WIDE
from guidegen.diagrams.svg import Canvas

NAMES = {"finished", "outline", "section", "chain", "schematic", "rows", "board-back",
         "wiring-plan", "wiring-back", "row-end", "row-end-2", "control-back"}  # fmt: skip


@pytest.fixture(scope="module")
def design():
    return sample()


@pytest.fixture(scope="module")
def figures(design):
    return draw(design)


def words(figure):
    return [text.words for text in Drawing(figure.svg).texts]


def test_the_set_of_figures(figures):
    assert set(figures) == NAMES
    assert all(name == figure.name for name, figure in figures.items())


def test_without_control_there_is_no_control_drawing():
    assert set(draw(sample(control=False))) == NAMES - {"control-back"}


def test_sixty_rows_are_split_over_pages():
    figures = draw(sample(60))
    assert {"rows", "rows-2"} <= set(figures)


def test_an_empty_design_draws_what_there_is():
    bare = SimpleNamespace(model=Model(), values={}, facts={})
    assert draw(bare) == {}


@pytest.mark.parametrize("rows", [1, 4, 60])
def test_svg_is_well_formed_and_described(rows):
    for name, figure in draw(sample(rows)).items():
        root = ET.fromstring(figure.svg)
        assert root.tag == f"{NS}svg"
        assert root[0].tag == f"{NS}title"
        assert root[0].text == figure.alt
        assert 20 < len(figure.alt) <= 150
        assert root[1].tag == f"{NS}desc"
        ids = [node.get("id") for node in root.iter() if node.get("id")]
        assert ids
        assert len(ids) == len(set(ids))
        assert all(found.startswith(f"{name}-") for found in ids)
        assert "\n\n" not in figure.svg  # a blank line would split it in Markdown
        assert figure.caption


def test_same_input_same_bytes(design, figures):
    again = draw(sample())
    assert {n: f.svg for n, f in again.items()} == {n: f.svg for n, f in figures.items()}


def test_coordinates_have_at_most_one_decimal(figures):
    for figure in figures.values():
        for data in re.findall(r' d="([^"]*)"', figure.svg):
            assert not re.search(r"\.\d\d", data), figure.name


def test_only_variables_with_a_print_colour_are_used(figures):
    for figure in figures.values():
        inks = re.findall(r"(?:fill|stroke):([^;\"]*)", figure.svg)
        assert inks
        assert all(re.fullmatch(r"none|var\(--gg-[a-z]+, #[0-9a-f]{3,6}\)", ink) for ink in inks)
        assert "var(" not in literal(figure.svg)


def test_wide_lines_are_twice_the_narrow_ones():
    """ISO 128-2: two widths in the ratio 2 : 1 (from memory)."""
    assert WIDE / NARROW == pytest.approx(2, abs=0.02)


def test_grey_print_tells_the_poles_apart():
    assert "dasharray" in STYLES["minus"]
    assert "dasharray" not in STYLES["wide"]


# --- hostile labels ----------------------------------------------------------------------------

HOSTILE = [
    "</text><script>alert(1)</script>",
    "Tom & \"Jerry\" 'quoted' <b>",
    "\u202eevil\u202c לוח אור",
    "lamp 💡💡 \U0001f1e9\U0001f1ea",
    "x" * 300,
    "a\n\nb\x00\x07c\ud83d",
    "*stars* and _lines_",
]


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("ref", ["T1", "U1", "X1"])
def test_hostile_names_stay_text(name, ref):
    figures = draw(renamed(sample(4), ref, name))
    for figure in figures.values():
        root = ET.fromstring(figure.svg.encode())
        tags = {node.tag.removeprefix(NS) for node in root.iter()}
        assert tags <= {"svg", "title", "desc", "path", "g", "text"}
        drawing = Drawing(figure.svg)
        assert drawing.overlaps() == []
        assert drawing.outside() == []
        assert len(figure.alt) <= 150


def test_a_long_name_is_cut_with_an_ellipsis():
    found = words(draw(renamed(sample(4), "T1", "x" * 300))["wiring-back"])
    assert any(text.startswith("T1 xxx") and text.endswith("…") for text in found)


# --- single figures ---------------------------------------------------------------------------


def test_outline_prints_the_overall_sizes(figures):
    found = words(figures["outline"])
    # 360 x 215; cover 3 + rim 20 + board 9 = 32; with a box 45 deep 77.
    for size in ("360\xa0mm", "215\xa0mm", "32\xa0mm", "77\xa0mm"):
        assert size in found


def test_chain_states_volts_and_amperes_at_each_arrow(design, figures):
    found = words(figures["chain"])
    volts = [text for text in found if "V" in text.split("\xa0")[-1].split()]
    blocks = len(design.model.by_role("rail")) and 7
    assert sum(text.endswith("\xa0V") for text in found) == blocks - 1, volts
    assert "7.50\xa0V to 11.80\xa0V" in found
    assert sum(text.startswith("up to ") for text in found) >= blocks - 2


def test_a_spoiled_value_changes_the_chain():
    design = sample()
    design.values["regulator.wanted_high"] = replace(design.values["regulator.wanted_high"], si=9.9)
    assert "7.50\xa0V to 9.90\xa0V" in words(draw(design)["chain"])


def test_rows_are_drawn_to_scale(design, figures):
    """Tape widths and row pitch keep the ratio of the model: 10 to 15."""
    drawing = Drawing(figures["rows"].svg)
    tapes = sorted(
        {
            (round(pair[0][1], 1), round(pair[1][1], 1))
            for stroke in drawing.strokes
            if stroke.area
            for pair in stroke.segments
            if abs(pair[0][0] - pair[1][0]) < 0.01 and 10 < pair[1][1] - pair[0][1] < 40
        }
    )
    height = tapes[0][1] - tapes[0][0]
    steps = [b[0] - a[0] for a, b in pairwise(tapes)]
    assert len(tapes) == len(design.model.by_role("row"))
    for step in steps:
        assert height / step == pytest.approx(10 / 15, rel=0.02)


def test_rows_print_pitch_and_offsets(figures):
    found = words(figures["rows"])
    for size in ("11 × 15\xa0mm = 165\xa0mm", "30\xa0mm", "300\xa0mm", "360\xa0mm", "25\xa0mm"):
        assert size in found
    assert found.count("17\xa0mm") == 2  # both rails


def test_wiring_numbers_every_conductor_at_both_ends(design, figures):
    found = words(figures["wiring-back"])
    for wire in design.model.conductors:
        if wire.role == "jumper":
            continue
        marks = [text for text in found if text.split()[0] == wire.ref and "rail" not in text]
        assert len(marks) == 2, wire.ref
        assert all(wire.colour in mark for mark in marks)
        if wire.polarity in "+-" and wire.polarity:
            sign = wire.polarity.replace("-", "−")
            assert all(sign in mark.split() for mark in marks)


def test_wiring_lines_run_between_the_terminals_they_join(design, figures):
    """The line of W2 begins and ends at the heights of its two labels."""
    drawing = Drawing(figures["wiring-back"].svg)
    labels = sorted(t.box[3] for t in drawing.texts if t.words.startswith("W2 "))
    assert len(labels) == 2
    runs = [
        stroke for stroke in drawing.strokes
        if "9 3" in stroke.style and not stroke.area
    ]  # fmt: skip
    ends = {round(p[1], 1) for stroke in runs for pair in stroke.segments for p in pair}
    for low in labels:
        assert any(0 <= y - low + 4 < 5 for y in ends)


def test_schematic_has_a_symbol_and_terminals_for_each_stage(figures):
    found = words(figures["schematic"])
    for ref in ("G1", "X1", "F1", "Q1", "T1"):
        assert ref in found
    for name in ("IN+", "IN−", "OUT+", "OUT−", "VR1", "VR2", "L+", "R−"):
        assert name in found
    assert "3.15 A T" in found


def test_a_conductor_the_schematic_cannot_place_is_listed():
    design = sample()
    wire = replace(design.model.conductors[0], ref="W999", start="Q1:2", end="R1:3")
    model = replace(design.model, conductors=(*design.model.conductors, wire))
    found = words(draw(replace(design, model=model))["schematic"])
    assert "W999: Q1:2 to R1:3, not drawn." in found


def test_control_marks_lugs_and_wiper(figures):
    found = words(figures["control-back"])
    assert found.count("1") == found.count("2") == found.count("3") == 1
    assert any("wiper" in text for text in found)
    assert any(text.startswith("R2, then W5") and text.endswith("T1:VR1") for text in found)


def test_calibration_puts_the_probes_where_asked(design):
    figure = calibration(design, [("Low end", "T1:OUT+", "T1:OUT−", "V DC", "rows off")])
    drawing = Drawing(figure["calibration-1"].svg)
    found = [text.words for text in drawing.texts]
    assert "Red probe: T1:OUT+. Black probe: T1:OUT−." in found
    assert {"red", "black", "V DC", "COM"} <= set(found)
    plus = next(text for text in drawing.texts if text.words == "OUT+")
    solid = [
        stroke for stroke in drawing.strokes
        if "dash" not in stroke.style and not stroke.area and len(stroke.segments) >= 4
    ]  # fmt: skip
    ends = [pair[1] for stroke in solid for pair in stroke.segments]
    assert any(plus.box[1] < y < plus.box[3] and abs(x - plus.box[2] - 16) < 2 for x, y in ends)


def test_calibration_uses_the_socket_for_current(design):
    figure = calibration(design, [("Supply", "F1:2", "Q1:1", "A DC")])["calibration-1"]
    assert "A" in words(figure)
    assert "V Ω" not in words(figure)


def drilled(design, *places, **more):
    """The cover with holes at some places from its lower left corner."""
    cover = design.model.by_role("cover")[0]
    top = cover.solid.high[2]
    holes = [Hole("cover_screw", (x, y, top), "z", "round", mm(4.5), **more) for x, y in places]
    return cover.bored(holes)


def test_hole_plan_measures_from_the_datum(design):
    places = [(x, y) for x in (0.003, 0.18, 0.357) for y in (0.003, 0.212)]
    found = words(hole_plan(drilled(design, *places)))
    for size in ("3\xa0mm", "180\xa0mm", "357\xa0mm", "212\xa0mm"):
        assert size in found
    assert "6 holes, wide: 4.5\xa0mm." in found
    assert {"1", "2", "3", "4", "5", "6"} <= set(found)


def test_hole_plan_sends_to_the_table_for_holes_too_close_to_be_dimensioned(design):
    found = words(hole_plan(drilled(design, (0.1, 0.1), (0.102, 0.1))))
    assert "stand in the table" in " ".join(" ".join(found).split())


def test_holes_across_an_edge_are_marked_along_the_piece(design):
    """A hole 30 from the lower end, 12 behind the light-side edge of a wall that stands on x."""
    wall = replace(design.model.by_role("wall")[2])
    low, high = wall.solid.low, wall.solid.high
    hole = Hole("control", (low[0], low[1] + 0.03, high[2] - 0.012), "x", "round", mm(7))
    figure = hole_plan(wall.bored([hole]))
    assert {"30\xa0mm", "12\xa0mm", "1"} <= set(words(figure))
    assert "1: 30\xa0mm, 12\xa0mm, 7\xa0mm wide, through" in figure.svg


def test_a_hole_that_follows_another_has_no_plan(design):
    cover = drilled(design, (0.1, 0.1)).solid.holes[0]
    rim = design.model.by_role("border")[0].bored([replace(cover, role="cover_pilot")])
    parts = tuple(rim if p.ref == rim.ref else p for p in design.model.parts)
    changed = replace(design, model=replace(design.model, parts=parts))
    assert not [name for name in draw(changed) if name.startswith("holes")]


def step(design, new, shown=(), view="front"):
    return step_figure(design, "step-1", new, shown, view)


def test_step_draws_new_parts_strong_and_names_them(design):
    strong = STYLES["strong"]
    figure = step(design, ["F1", "Q1"], ["U1", "T1"], "back")
    assert figure.svg.count(strong) == 2
    assert {"F1", "Q1"} <= set(words(figure))
    assert STYLES["ghost"] in figure.svg
    assert strong not in step(design, [], ["U1", "T1", "F1"], "back").svg


def test_step_mirrors_the_back(design):
    def left(figure, word):
        return next(t.box[0] for t in Drawing(figure.svg).texts if t.words == word)

    # Seen from the front the fuse lies to the right of the control, from the back to the left.
    boxes = {p.ref: p.box for p in design.model.parts}
    assert boxes["F1"].x > boxes["R1"].x
    figure = step(design, ["F1", "R1"], ["U1"], "back")
    assert left(figure, "F1") < left(figure, "R1")


def test_step_lists_what_has_no_place(design):
    found = words(step(design, ["H1"], ["U1"]))
    assert any(text.startswith("H1: ") and "(6 ×)" in text for text in found)


# --- cutting layouts --------------------------------------------------------------------------


def plan():
    stock = SheetStock("MDF", 1.2, 0.6)
    placed = (
        Placed("U1", 1, 0.0, 0.0, 0.36, 0.21, name="U1 1"),
        Placed("U1", 2, 0.0, 0.212, 0.36, 0.21, name="U1 2"),
        Placed("U8/U9", 1, 0.4, 0.0, 0.02, 0.1, turned=True, name="U8/U9"),
    )
    cuts = (
        Cut(1, "sheet", "width", 0.36, "left", 0.36, 0.0, 0.36, 0.6, ("A", "offcut 1")),
        Cut(2, "A", "height", 0.21, "bottom", 0.0, 0.21, 0.36, 0.21, ("U1 1", "A")),
    )
    offcuts = (Placed("offcut", 1, 0.5, 0.0, 0.7, 0.6),)
    sheet = Sheet(stock, placed, cuts, offcuts)
    pieces = (BarCut("U2", 1, 0.0, 0.36), BarCut("U13/U14", 1, 0.3615, 0.05))
    bar = Bar(BarStock("strip", 2.4), pieces, 1.9)
    part = SimpleNamespace(label="MDF", words={"grain": "yes"})
    sheets = SheetPlan((sheet,), 1.0, 1.0, True)
    bars = BarPlan((bar, bar), 2.0, 2.0, True)
    return SimpleNamespace(
        sheets=(SimpleNamespace(part=part, thickness=mm(9), plan=sheets),),
        bars=(SimpleNamespace(part=part, plan=bars),),
    )


@pytest.fixture(scope="module")
def cut():
    design = sample()
    design.result = lambda subject: plan()
    return draw(design)


def test_sheet_shows_pieces_sizes_cuts_and_grain(cut):
    found = words(cut["sheet-1"])
    assert "U1 1" in found
    assert found.count("360\xa0mm × 210\xa0mm") == 2
    assert {"1", "2", "grain", "1200\xa0mm", "600\xa0mm"} <= set(found)
    assert "offcut 700\xa0mm × 600\xa0mm" in found
    assert "a = U8/U9, 1:" in found


def test_sheet_is_drawn_to_scale(cut):
    areas = [s.area for s in Drawing(cut["sheet-1"].svg).strokes if s.area]
    ratios = [(a[2] - a[0]) / (a[3] - a[1]) for a in areas if a[3] > a[1]]
    assert sum(ratio == pytest.approx(0.36 / 0.21, rel=0.01) for ratio in ratios) == 2
    assert sum(ratio == pytest.approx(2.0, rel=0.005) for ratio in ratios) >= 1


def test_bars_that_are_cut_alike_are_drawn_once(cut):
    found = words(cut["bar-1"])
    assert "2 × MDF, 2400\xa0mm" in found
    assert found.count("U2: 360\xa0mm") == 1
    assert "a = U13/U14: 50\xa0mm" in found
    assert "rest 1900\xa0mm" in found


def test_layouts_keep_their_labels_apart(cut):
    for name in ("sheet-1", "bar-1"):
        drawing = Drawing(cut[name].svg)
        assert drawing.overlaps() == []
        assert drawing.outside() == []
        assert drawing.crossed() == []


def test_a_text_at_the_edge_is_moved_inside():
    canvas = Canvas("edge", 100)
    canvas.text((1, 20), "W11", "end")
    canvas.text((99, 40), "W12")
    drawing = Drawing(canvas.figure(50, "alt", "desc", "caption").svg)
    assert drawing.outside() == []


def test_every_jumper_is_a_line_from_its_pad_to_its_rail(design, figures):
    """As many short wide horizontal lines, each ending on a dot, as there are jumpers."""
    drawing = Drawing(figures["rows"].svg)
    wide = STYLES["wide"]
    jumpers = [
        pair
        for stroke in drawing.strokes
        if stroke.style == wide
        for pair in stroke.segments
        if pair[0][1] == pair[1][1] and 8 < abs(pair[0][0] - pair[1][0]) < 60
    ]
    assert len(jumpers) == len(design.model.wires("jumper"))


def with_cut_off(design):
    """A battery, and a cut-off that both lines go through, between fuse and switch."""
    model = design.model
    parts = [
        replace(p, role="battery", name="battery", rating="12.8 V") if p.ref == "G1" else p
        for p in model.parts
    ]
    place = [p.ref for p in parts].index("Q1")
    parts.insert(place, Part("K1", "cut_off", "cut-off", rating="11.2 V"))
    pins = [Terminal("K1", name, name[-1]) for name in ("IN+", "IN-", "OUT+", "OUT-")]
    wires = []
    for wire in model.conductors:
        if wire.ref == "W3":
            wires += [replace(wire, end="K1:IN+"),
                      replace(wire, ref="W98", start="K1:OUT+", end="Q1:1")]  # fmt: skip
        elif wire.ref == "W2":
            wires += [replace(wire, end="K1:IN-"),
                      replace(wire, ref="W99", start="K1:OUT-", end="T1:IN−")]  # fmt: skip
        else:
            wires.append(wire)
    changed = replace(model, parts=tuple(parts), terminals=(*model.terminals, *pins),
                      conductors=tuple(wires))  # fmt: skip
    return replace(design, model=changed)


def test_a_cut_off_stands_on_both_lines():
    figures = draw(with_cut_off(sample()))
    found = words(figures["schematic"])
    assert {"K1", "U <", "W98", "W99"} <= set(found)
    assert not any("not drawn" in text for text in found)
    for name in ("schematic", "wiring-back", "chain"):
        drawing = Drawing(figures[name].svg)
        assert drawing.overlaps() == []
        assert drawing.outside() == []
        assert drawing.crossed() == []
