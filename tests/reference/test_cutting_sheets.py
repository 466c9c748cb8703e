"""Fewest or cheapest sheets, against published or hand-made optima.

S1 to S7 and S14 to S18 are own cases; their optima come from an independent exact solver
(Pareto-minimal bounding boxes of through-cut joins, for every subset of the pieces) or from the
proof written beside them. S8 to S12 are sets A01 to A04 and A08 of a furniture maker's orders and
S13 is set BENG01, both as kept by the public two-dimensional packing data collections.
"""

import json
from pathlib import Path

import pytest

from guidegen.calc.cutting import CuttingError, Piece, SheetStock, sheet_plan

DATA = Path(__file__).parents[1] / "data" / "cutting"


def plan(stock, kerf, turns, sizes, **options):
    pieces = []
    for n, text in enumerate(sizes.split(), 1):
        width, height, count = (*map(int, text.split("x")), 1)[:3]
        pieces.append(Piece(f"P{n}", width / 1000, height / 1000, count, turns))
    width, height = stock
    sheet = SheetStock("sheet", width / 1000, height / 1000)
    trim = options.pop("trim", 0) / 1000
    return sheet_plan(pieces, [sheet], kerf / 1000, trim, **options)


# sheet, kerf, may turn, pieces, fewest sheets, proven by the bound, proof
CASES = {
    # One sheet without the rule of through cuts (the pinwheel), two with it.
    "S1": ((500, 500), 0, True, "300x200x4 100x100x1", 2, True),
    "S2a": ((2440, 1220), 0, True, "610x610x8", 1, True),  # area
    # 3 across, and 2 x 610 + 3 = 1223 > 1220.
    "S2b": ((2440, 1220), 3, True, "610x610x8", 3, True),
    # 4 x 600 + 9 = 2409; 2 x 600 + 3 = 1203.
    "S3a": ((2440, 1220), 3, True, "600x600x8", 1, True),
    "S4": ((2440, 1220), 3, True, "1190x590x8 780x590x4", 3, True),  # area
    "S5": ((2440, 1220), 3, True, "980x600x7 600x450x4", 2, True),  # area
    "S6": ((2440, 1220), 4, True, "1500x700 900x500x2 700x450x2 1200x300x2 600x400x2", 2, True),
    "S7": ((2440, 1220), 3, True, "1190x590x5 780x580x3 590x390x2", 2, True),
    "S8": ((2750, 1220), 0, False, "463x386x18 1680x420x6", 3, True),  # area
    # Each of the 36 large pieces needs its own sheet.
    "S9": ((2750, 1220), 0, True, "303x386 303x486 2117x775x8 2357x935x28", 36, True),
    "S10": ((2750, 1220), 0, True, "463x386 2117x475x16", 8, True),  # two long ones a sheet
    "S11": ((2750, 1220), 0, True, "76x386x8 2357x375x8", 3, True),  # three long ones a sheet
    "S12a": ((2750, 1220), 0, False, "486x310x16", 2, True),  # 15 fit upright
    "S12b": ((2750, 1220), 3, True, "486x310x16", 1, True),
    # 3 are impossible even without the rule of through cuts.
    "S13": (
        (25, 10),
        0,
        True,
        "1x3 1x7 3x6 3x8 4x3 4x7 7x8 8x6x2 9x1x2 9x8 10x3 11x1 11x3 11x4 11x5 11x6 12x6 12x8",
        4,
        False,
    ),
    # Exact: 3; 2 without the rule of through cuts.
    "S14": (
        (1220, 610),
        3,
        True,
        "350x395 345x305 545x195 200x385 740x305 590x300 805x215 845x165 455x345",
        3,
        False,
    ),
    # 2 are impossible in any manner although the area bound is 2.
    "S15": (
        (1220, 610),
        3,
        True,
        "160x300 485x340 845x270 340x375 480x390 365x375 800x105 495x405 275x350",
        3,
        False,
    ),
    # Exact: 2, fill 99.5 %.
    "S16": (
        (1220, 610),
        3,
        True,
        "465x610 382x608 182x255 182x350 178x320 178x283 520x610 167x610 527x320 525x283",
        2,
        True,
    ),
    # Sixteenths of an inch.
    "S17": ((1536, 768), 2, True, "384x384x8", 3, True),
    "S18": ((1536, 768), 2, True, "768x384x3 480x320x4 640x240x3", 2, True),
}


@pytest.mark.parametrize("name", CASES)
def test_fewest_sheets(name):
    stock, kerf, turns, sizes, optimum, proven = CASES[name]
    found = plan(stock, kerf, turns, sizes)
    assert found.price == optimum
    assert found.bound <= optimum
    assert found.proven == proven


def test_trimmed_edges_cost_a_sheet():
    # 10 mm off each edge of 2440 x 1220 leave 2420 x 1200: exact, 2 sheets.
    assert plan((2440, 1220), 3, True, "600x600x8", trim=10).price == 2


@pytest.mark.parametrize(
    ("count", "offcut", "price"), [(2, 0, 14), (8, 0, 48), (10, 0, 62), (9, 1, 48)]
)
def test_the_cheapest_mix_of_two_sizes(count, offcut, price):
    # By hand: A 1250 x 625 holds 2 pieces for 14, B 2440 x 1220 holds 8 for 48.
    stock = [
        SheetStock("A", 1.25, 0.625, 14),
        SheetStock("B", 2.44, 1.22, 48),
        SheetStock("offcut", 0.62, 0.62, 0, offcut),
    ]
    found = sheet_plan([Piece("P", 0.6, 0.6, count)], stock, 0.003)
    assert found.price == price
    assert found.proven


def instances(*names):
    items = [
        item
        for name in names
        for item in json.loads((DATA / f"{name}.json").read_text())["instances"]
    ]
    return [pytest.param(item, id=item["name"]) for item in items]


#: With the usual effort these stay above the optimum, and are not called proven: two fixtures of
#: one layer and 98 to 99 % fill, two mixed jobs of 96 %, puzzles of 90 to 98 %, one sheet above.
DEARER = {
    "fix118-MDF3-N30": 33.0,
    "fix119-MDF12-N50": 76.5,
    "mix206-30x90-one": 6,
    "mix210-60x300-one": 13,
    "con300-K1-n9-w1.8": 2,
    "con302-K1-n16-w5.4": 2,
    "con304-K1-n19-w3.8": 2,
    "con306-K2-n29-w4.0": 3,
    "con308-K2-n43-w4.5": 3,
    "con310-K3-n40-w4.1": 4,
    "con312-K4-n41-w3.1": 5,
    "con314-K5-n79-w4.1": 6,
    "con316-K6-n118-w4.4": 7,
    "con318-K8-n233-w5.3": 9,
    "gcut2-d1-O": 7,
    "gcut7-d1-O": 12,
    "gcut12-d1-R": 16,
}


@pytest.mark.parametrize(
    "item",
    instances(
        "edge_sheets", "sheets_fixtures", "sheets_mixed", "sheets_constructed", "sheets_gcut"
    ),
)
def test_instances_with_known_optimum(item, plan_of):
    if item.get("infeasible"):
        with pytest.raises(CuttingError, match="fits no stock"):
            plan_of(item)
        return
    _, _, found = plan_of(item)
    if item["optimum"] is None:
        assert found.bound <= item["best_known"]
        assert found.price >= item["lower_bound"] - 1e-9
        return
    assert found.bound <= item["optimum"] + 1e-9
    dearer = item["name"] in DEARER
    assert found.price <= DEARER.get(item["name"], item["optimum"]) + 1e-9
    assert found.price >= item["optimum"] - 1e-9
    assert not (found.proven and dearer)


@pytest.mark.parametrize(
    ("name", "effort"),
    [("mix206-30x90-one", 40_000), ("mix210-60x300-one", 40_000), ("con318-K8-n233-w5.3", 40_000)],
)
def test_more_effort_finds_the_optimum(name, effort, plan_of):
    items = instances("sheets_mixed", "sheets_constructed")
    item = next(item.values[0] for item in items if item.id == name)
    _, _, found = plan_of(item, effort)
    assert found.price == item["optimum"]
    assert found.proven
