"""Labels are legible: apart, inside, large enough, off the lines. Read from the SVG text alone."""

import re

import pytest
from reader import Drawing, expanded
from sample import sample

from guidegen.diagrams.figures import calibration, draw, step_figure

CASES = [(4, "opposite ends"), (60, "opposite ends"), (4, "left end"), (60, "both ends"),
         (1, "both ends"), (12, "opposite ends")]  # fmt: skip


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"{case[0]} rows, {case[1]}")
def figures(request):
    design = sample(*request.param)
    figures = draw(design)
    every = list(design.model.refs())
    board = [part.ref for part in design.model.parts if part.role in ("board", "wall", "border")]
    for view in ("front", "back"):
        name = f"step-{view}"
        figures[name] = step_figure(design, name, set(every) - set(board), board, view)
    setups = [("Full setting", "T1:OUT+", "T1:OUT−", "V DC"), ("Current", "F1:2", "Q1:1", "A DC")]
    return design, figures | calibration(design, setups)


@pytest.fixture(scope="module")
def drawings(figures):
    return {name: Drawing(figure.svg) for name, figure in figures[1].items()}


def test_no_two_labels_overlap(drawings):
    assert {name: d.overlaps() for name, d in drawings.items() if d.overlaps()} == {}


def test_no_label_leaves_the_figure(drawings):
    assert {name: d.outside() for name, d in drawings.items() if d.outside()} == {}


def test_no_line_runs_through_a_label(drawings):
    assert {name: d.crossed() for name, d in drawings.items() if d.crossed()} == {}


def test_text_is_12_css_pixels_on_a_phone(drawings):
    """WCAG has no least size; 12 px in a 360 px window is common practice, no source."""
    for name, drawing in drawings.items():
        # Less the card of a step, whose padding a drawing leaves out; wide ones scroll sideways.
        shown = (
            (323 if name.startswith("step-") else 328) if drawing.width <= 360 else drawing.width
        )
        smallest = min(text.size for text in drawing.texts)
        assert smallest * shown / drawing.width >= 12, name


def test_text_on_paper_is_2_5_mm_high(drawings):
    """Letter heights 1.8, 2.5, 3.5 mm are the series of ISO 3098-1 (from memory)."""
    wide, tall = (mm / 25.4 * 96 for mm in (171, 215))  # between the margins, and with a caption
    capital = 1493 / 2048  # of the font size: height of H in DejaVu Sans 2.37
    for name, drawing in drawings.items():
        scale = min(1, wide / drawing.width, tall / drawing.height) * 25.4 / 96 * capital
        # A panel of 60 rows gives way a little; no demonstration does: test_accessible.py.
        assert min(text.size for text in drawing.texts) * scale >= 2.2, name


def test_drawings_fit_the_page(drawings):
    for name, drawing in drawings.items():
        assert drawing.width <= 700, name
        assert drawing.height <= 1020, name


def names_of(drawings):
    return set().union(*(expanded(t.words) for d in drawings.values() for t in d.texts))


def test_every_part_and_conductor_is_named(figures, drawings):
    drawn = {name: d for name, d in drawings.items() if not name.startswith("step-")}
    assert set(figures[0].model.refs()) - names_of(drawn) == set()


def test_every_jumper_and_row_is_named_one_by_one(figures, drawings):
    model = figures[0].model
    words = {word for name, d in drawings.items() if name.startswith("rows")
             for text in d.texts for word in text.words.split()}  # fmt: skip
    assert {part.ref for part in model.by_role("row")} <= words
    assert {wire.ref for wire in model.wires("jumper")} <= words


def test_every_terminal_of_the_box_is_named(figures, drawings):
    model = figures[0].model
    words = {text.words for text in drawings["wiring-back"].texts}
    for part in model.parts:
        if part.ref[0] in "XFQTR" and any(t.part == part.ref for t in model.terminals):
            for terminal in model.terminals:
                if terminal.part == part.ref:
                    assert terminal.name.replace("-", "−") in words, terminal.key
    for terminal in (t for t in model.terminals if t.name == "feed"):
        assert sum(text.words == "feed" for text in drawings["wiring-back"].texts) == len(
            model.by_role("rail")
        ), terminal.key


def test_both_signs_stand_at_every_end_of_every_row(figures):
    """Each row has four pads; a + is two strokes, a − one: 5.6 long in both directions."""
    model = figures[0].model
    svgs = [figure.svg for name, figure in figures[1].items() if name.startswith("rows")]
    rows = len(model.by_role("row"))
    assert sum(svg.count("h5.6") for svg in svgs) == 4 * rows
    assert sum(svg.count("v5.6") for svg in svgs) == 2 * rows


def test_taps_are_named_as_a_range(figures, drawings):
    rows = len(figures[0].model.by_role("row"))
    sheets = [d for name, d in drawings.items() if name.startswith("rows")]
    notes = " ".join(t.words for sheet in sheets for t in sheet.texts)
    taps = re.findall(r"taps? (\d+)(?:–(\d+))?", notes)
    found = {n for first, last in taps for n in range(int(first), int(last or first) + 1)}
    assert found == set(range(1, rows + 1))


# --- the reader itself must be able to fail ---------------------------------------------------


def spoiled(body):
    return Drawing(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{body}</svg>')


def test_spoil_overlap_is_seen():
    text = '<text x="{}" y="20" font-size="12">W11</text>'
    assert spoiled(text.format(10) + text.format(30)).overlaps() == [("W11", "W11")]
    assert spoiled(text.format(10) + text.format(40)).overlaps() == []


def test_spoil_label_outside_is_seen():
    assert spoiled('<text x="80" y="20" font-size="12">W11</text>').outside() == ["W11"]
    assert spoiled('<text x="8" y="8" font-size="12">W1</text>').outside() == ["W1"]


def test_spoil_crossing_is_seen_unless_covered():
    text = '<text x="10" y="20" font-size="12">W11</text>'
    line = '<path style="fill:none" d="M0 16L90 16"/>'
    paper = '<path style="fill:white" d="M5 5h60v30h-60z"/>'
    assert spoiled(line + text).crossed() == ["W11"]
    assert spoiled(line + paper + text).crossed() == []
    assert spoiled('<path style="fill:none" d="M0 30L90 30"/>' + text).crossed() == []


def test_spoil_missing_name_is_seen(drawings):
    assert "W9999" not in names_of(drawings)
    assert expanded("W11–W13, U6") == {"W11", "W12", "W13", "U6"}
