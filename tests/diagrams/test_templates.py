"""Templates at true scale: what is printed is read back from the drawing, in millimetres.

An inch is 25.4 mm and 96 CSS px (CSS Values and Units, level 3); A4 is ISO 216, Letter ANSI/ASME
Y14.1.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.design.model import Model
from guidegen.diagrams.templates import WIDE, Face, Tile, faces, farthest, grid, templates, tiles
from guidegen.guide.drilling import tables
from guidegen.guide.model import Guide
from guidegen.spec.changes import changed

MM = 25.4 / 96
#: Between the margins of the print style (18 and 15 mm; 20 and 18 mm), the lower and the narrower.
ROOM = (210 - 33, 279.4 - 38)


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


@pytest.fixture(scope="module")
def drawn(guide: Guide) -> list[tuple[Face, Tile, str]]:
    """Every sheet: the face, the tile, its drawing."""
    sheets = [(face, tile) for face in faces(guide.design) for tile in tiles(face)]
    svgs = [figure.svg for figure in templates(guide.design)]
    assert len(sheets) == len(svgs) > 0
    return [(face, tile, svg) for (face, tile), svg in zip(sheets, svgs, strict=True)]


def strokes(svg: str) -> list[list[tuple[float, float]]]:
    """Every open line of a drawing, in mm of the sheet."""
    found = re.findall(r"M([-\d. L]+)(?=[MZ\"])", svg)
    return [[(float(x) * MM, float(y) * MM) for x, y in (p.split(" ") for p in one.split("L"))]
            for one in found if "L" in one]  # fmt: skip


def centres(svg: str) -> list[tuple[float, float]]:
    """Where two lines of 8 mm cross square: the centres of holes."""
    lines = [one for one in strokes(svg) if len(one) == 2]
    level = [(a, b) for a, b in lines if abs(a[1] - b[1]) < 0.01 and 7.9 < abs(b[0] - a[0]) < 8.1]
    plumb = [(a, b) for a, b in lines if abs(a[0] - b[0]) < 0.01 and 7.9 < abs(b[1] - a[1]) < 8.1]
    return [((a[0] + b[0]) / 2, a[1]) for a, b in level
            if any(abs(c[0] - (a[0] + b[0]) / 2) < 0.1 and min(c[1], d[1]) < a[1] < max(c[1], d[1])
                   for c, d in plumb)]  # fmt: skip


def corner(svg: str) -> tuple[float, float]:
    """Lower left corner of the field: where both rulers begin."""
    lines = [one for one in strokes(svg) if len(one) == 2]
    (across,) = [one for one in lines if abs(one[0][1] - one[1][1]) < 0.01
                 and abs(one[1][0] - one[0][0] - 100) <= 0.5
                 and one[0][1] > 190]  # fmt: skip
    ups = [one for one in lines if abs(one[0][0] - one[1][0]) < 0.01
           and abs(one[0][1] - one[1][1] - 100) <= 0.5 and one[0][0] < 12]  # fmt: skip
    assert len(ups) == 1
    return across[0][0], ups[0][0][1]


def behind(face: Face) -> bool:
    """Whether its holes are made from the face that looks away from the light side."""
    (from_behind,) = {face.axis == "z" and hole.at[2] < face.solid.high[2] - 1e-6
                      for _, hole in face.holes}  # fmt: skip
    return from_behind


def on_piece(face: Face, tile: Tile, svg: str, spot: tuple[float, float]) -> tuple[float, float]:
    """Where a spot of a sheet lies on the piece, from its datum; a back is seen mirrored. [mm]."""
    left, low = corner(svg)
    across = WIDE * 1000 - (spot[0] - left) if behind(face) else spot[0] - left
    return across + tile.origin[0] * 1000, low - spot[1] + tile.origin[1] * 1000


def test_every_sheet_has_a_ruler_of_100_mm_each_way_and_fits_both_papers(
    drawn: list[tuple[Face, Tile, str]],
) -> None:
    for _, _, svg in drawn:
        assert corner(svg)
        size = re.search(r'<svg[^>]*? width="([\d.]+)" height="([\d.]+)"', svg)
        assert size
        assert float(size[1]) * MM <= ROOM[0]
        assert float(size[2]) * MM <= ROOM[1] - 12  # a caption of two lines below


def test_centres_stand_where_the_hole_tables_say(drawn: list[tuple[Face, Tile, str]]) -> None:
    for face, tile, svg in drawn:
        read = sorted(on_piece(face, tile, svg, spot) for spot in centres(svg))
        wanted = sorted(
            (x * 1000, y * 1000)
            for x, y in (face.solid.marked(hole) for _, hole in face.holes)
            if tile.shows(x, y)
        )
        assert len(read) == len(wanted)
        for (x, y), (along, across) in zip(read, wanted, strict=True):
            assert (x, y) == pytest.approx((along, across), abs=0.1)


def test_the_dot_lies_at_the_datum_and_the_words_name_the_face_of_the_hole_table(
    guide: Guide, drawn: list[tuple[Face, Tile, str]]
) -> None:
    found = tables(guide.design, load_words(search_path()))
    made_from = {(ref, int(line.number)): line.face
                 for table in found for ref in table.ref.split(", ")
                 for line in table.lines}  # fmt: skip
    backs = 0
    for face, tile, svg in drawn:
        backs += behind(face)
        dots = [on_piece(face, tile, svg, ((float(x) + 4) * MM, float(y) * MM))
                for x, y in re.findall(r"M([-\d.]+) ([-\d.]+)a4 4 0 1 0 8 0", svg)
                if re.search(rf'fill:var\(--gg-ink[^"]*" d="M{x} {y}a4', svg)]  # fmt: skip
        first = tile.column == tile.row == 0
        assert [(round(x), round(y)) for x, y in dots] == ([(0, 0)] if first else [])
        assert ("Dot off this sheet" not in svg) is first
        if face.axis == "z":
            (told,) = {made_from[face.ref, n] for n, _ in face.holes}
            assert f"On the {told}." in svg
    assert backs


def test_every_marked_hole_of_every_piece_has_a_sheet(guide: Guide) -> None:
    model: Model = guide.design.model
    served: dict[tuple[str, str], set[int]] = defaultdict(set)
    for face in faces(guide.design):
        shown = {n for n, hole in face.holes
                 if any(tile.shows(*face.solid.marked(hole)) for tile in tiles(face))}  # fmt: skip
        for ref in face.alike:
            served[ref, face.axis] |= shown
    for part in model.parts:
        own = [hole for hole in part.solid.holes if not hole.follows] if part.solid else []
        for number, hole in enumerate(own, 1):
            assert number in served[part.ref, hole.axis], f"{part.ref} hole {number}"


def test_tiles_overlap_by_10_mm_and_share_match_marks(drawn: list[tuple[Face, Tile, str]]) -> None:
    seen = 0
    sheets = {(face.name, tile.column, tile.row): (face, tile, svg) for face, tile, svg in drawn}
    for (name, column, row), sheet in sheets.items():
        for step in ((1, 0), (0, 1)):
            beside = sheets.get((name, column + step[0], row + step[1]))
            if beside is None:
                continue
            seen += 1
            assert len(slanting(*sheet) & slanting(*beside)) >= 2, (name, column, row)
    assert seen or all(grid(face) == (1, 1) or len(tiles(face)) < 3 for face, _, _ in drawn)


def slanting(face: Face, tile: Tile, svg: str) -> set[tuple[int, int]]:
    """Centres of the slanting crosses on the piece, to a millimetre."""
    lines = [one for one in strokes(svg) if len(one) == 2]
    slant = [
        one for one in lines if abs(one[0][0] - one[1][0]) > 1 and abs(one[0][1] - one[1][1]) > 1
    ]
    middles = (((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in slant)
    return {(round(x), round(y)) for x, y in (on_piece(face, tile, svg, at) for at in middles)}


def test_the_farthest_holes_are_told(guide: Guide) -> None:
    for face in faces(guide.design):
        pair = farthest(face)
        if pair is None:
            assert len(face.holes) == 1
            continue
        places = {n: face.solid.marked(hole) for n, hole in face.holes}
        every = [((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
                 for a in places.values() for b in places.values()]  # fmt: skip
        assert pair[2] == pytest.approx(max(every), abs=1e-9)


def test_the_page_shows_every_sheet(guide: Guide) -> None:
    text = next(page.markdown for page in guide.pages if page.uri == "templates.md")
    names = [name for name in guide.figures if name.startswith("template-")]
    assert names
    assert re.findall(r"figures/(template-[\w-]+)\.svg", text) == names
    assert "100 mm ± 0.5 mm" in text
    assert "do not fit" in text


def test_an_outline_is_drawn_on_every_sheet_that_it_crosses(guide: Guide) -> None:
    """An angle of 60 mm by 40 mm, its middle at 140 mm: from 110 mm to 170 mm, over two columns."""
    corners = [(-30, -20), (30, -20), (30, 20), (10, 20), (10, -5), (-30, -5)]
    written = ", ".join(f"[{x} mm, {y} mm]" for x, y in corners)
    asked = ("[{shape: outline, across: 140 mm from left, up: 100 mm from bottom, corners:"
             f" [{written}]}}]")  # fmt: skip
    design = settle(changed(guide.design.fixture, {"body.board.holes": asked}), mends=False)
    (board,) = [face for face in faces(design)
                if any(hole.shape == "outline" for _, hole in face.holes)]  # fmt: skip
    svgs = {figure.name: figure.svg for figure in templates(design)}
    found = set()
    for number, tile in enumerate(tiles(board), 1):
        svg = svgs[f"{board.name}-{number}"]
        for line in strokes(svg):
            for spot in line:
                at = on_piece(board, tile, svg, spot)
                found.add((round(at[0]), round(at[1]), tile.column))
    for x, y in corners:
        place = (140 + x, 100 + y)
        # The first column shows up to 150 mm, the second begins at 140 mm.
        for column in [0] * (place[0] < 150) + [1] * (place[0] > 140):
            assert (*place, column) in found
