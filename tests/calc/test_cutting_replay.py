"""The printed cuts alone, followed by a machine that knows nothing of the plan, give the pieces."""

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from guidegen.calc.cutting import Cut, Piece, Sheet, SheetPlan, SheetStock, sheet_plan

DATA = Path(__file__).parents[1] / "data" / "cutting"
SETS = ("edge_sheets", "sheets_fixtures", "sheets_mixed", "sheets_constructed", "sheets_gcut")
QUICK = 300


def instances(*names):
    files = [json.loads((DATA / f"{name}.json").read_text()) for name in names]
    return [
        pytest.param(item, id=item["name"])
        for file in files
        for item in file["instances"]
        if not item.get("infeasible")
    ]


SNAPPED = [item for item in instances(*SETS) if item.values[0]["min_strip"]]


def tenths(metres):
    return round(metres * 10_000)


def replay(sheet: Sheet, kerf: float) -> tuple[dict[str, tuple[int, ...]], int]:
    """Cut a sheet; (name -> (x, y, width, height)) of all that lies there, and the area sawn away.

    In tenths of a millimetre. Knows the size of the sheet, the blade and the cuts, no places.
    """
    blade = tenths(kerf)
    bench = {"sheet": (0, 0, tenths(sheet.stock.width), tenths(sheet.stock.height))}
    sawn = 0
    for cut in sheet.cuts:
        x, y, width, height = bench.pop(cut.plate)
        at, side = tenths(cut.at), width if cut.across == "width" else height
        assert 0 <= at < side, f"cut {cut.number} misses the plate"
        blade_in = min(blade, side - at)
        beyond = side - at - blade_in
        if cut.across == "width":
            assert cut.edge_from == "left"
            line = (x + at, y, x + at, y + height)
            near, far = (x, y, at, height), (x + at + blade_in, y, beyond, height)
            sawn += blade_in * height
        else:
            assert cut.edge_from == "bottom"
            line = (x, y + at, x + width, y + at)
            near, far = (x, y, width, at), (x, y + at + blade_in, width, beyond)
            sawn += blade_in * width
        # The drawn line runs from one edge of the plate to the other.
        assert line == tuple(map(tenths, (cut.from_x, cut.from_y, cut.to_x, cut.to_y)))
        for name, plate in zip(cut.gives, (near, far), strict=True):
            if not name:
                assert not plate[2] or not plate[3], f"cut {cut.number} forgets a plate"
                continue
            assert plate[2] > 0, f"cut {cut.number} gives nothing called {name}"
            assert plate[3] > 0, f"cut {cut.number} gives nothing called {name}"
            if name == "waste":
                name = f"waste {cut.number} {len(bench)}"
            assert name not in bench, f"two plates are called {name}"
            bench[name] = plate
    return bench, sawn


def check(pieces, plan: SheetPlan, kerf: float) -> None:
    """Exactly the wanted pieces, each where the drawing shows it; areas add up."""
    got = Counter()
    for sheet in plan.sheets:
        bench, sawn = replay(sheet, kerf)
        if not sheet.cuts:
            bench = {sheet.placed[0].name: bench["sheet"]}
        whole = tenths(sheet.stock.width) * tenths(sheet.stock.height)
        assert sum(w * h for _, _, w, h in bench.values()) + sawn == whole
        for placed in (*sheet.placed, *sheet.offcuts):
            size = tuple(map(tenths, (placed.x, placed.y, placed.width, placed.height)))
            assert bench.pop(placed.name) == size
        assert all(name.startswith("waste ") for name in bench), bench
        got.update(
            (placed.label, tuple(sorted((tenths(placed.width), tenths(placed.height)))))
            for placed in sheet.placed
        )
        for placed in sheet.placed:
            piece = next(piece for piece in pieces if piece.label == placed.label)
            upright = (tenths(piece.width), tenths(piece.height))
            lies = (tenths(placed.width), tenths(placed.height))
            assert lies == (upright if not placed.turned else upright[::-1])
            assert piece.turns or not placed.turned
    wanted = Counter()
    for piece in pieces:
        wanted[piece.label, tuple(sorted((tenths(piece.width), tenths(piece.height))))] += (
            piece.count
        )
    assert got == wanted
    names = [placed.name for sheet in plan.sheets for placed in sheet.placed]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("item", instances(*SETS))
def test_the_cuts_alone_give_the_pieces(item, plan_of):
    pieces, stock, plan = plan_of(item, QUICK)
    check(pieces, plan, item["kerf"] / 1000)
    used = Counter(sheet.stock.name for sheet in plan.sheets)
    assert all(s.quantity is None or used[s.name] <= s.quantity for s in stock)
    assert plan.price == pytest.approx(sum(sheet.stock.price for sheet in plan.sheets))
    assert plan.bound <= plan.price
    assert plan.proven == (plan.bound == plan.price)


@pytest.mark.parametrize("item", SNAPPED)
def test_no_strip_is_narrower_than_the_sheet_can_be_snapped(item, plan_of):
    least = item["min_strip"] * 10
    _, _, plan = plan_of(item, QUICK)
    edges = 4 if item["trim"] else 0
    for sheet in plan.sheets:
        bench = {"sheet": (tenths(sheet.stock.width), tenths(sheet.stock.height))}
        for cut in sheet.cuts:
            width, height = bench.pop(cut.plate)
            at, wide = tenths(cut.at), cut.across == "width"
            halves = (
                ((at, height), (width - at, height))
                if wide
                else ((width, at), (width, height - at))
            )
            bench.update(dict(zip(cut.gives, halves, strict=True)))
            if cut.number > edges:
                assert min(side[0 if wide else 1] for side in halves) >= least


def test_a_spoilt_order_is_noticed():
    pieces = [Piece("a", 0.3, 0.2, 3), Piece("b", 0.25, 0.2, 2)]
    plan = sheet_plan(pieces, [SheetStock("s", 1.0, 0.6)], 0.003, 0.01)
    check(pieces, plan, 0.003)
    (sheet,) = plan.sheets
    number = next(n for n, cut in enumerate(sheet.cuts) if n >= 4)
    moved = replace(sheet.cuts[number], at=sheet.cuts[number].at - 0.001)
    cuts: tuple[Cut, ...] = (*sheet.cuts[:number], moved, *sheet.cuts[number + 1 :])
    spoilt = replace(plan, sheets=(replace(sheet, cuts=cuts),))
    with pytest.raises((AssertionError, KeyError)):
        check(pieces, spoilt, 0.003)
    with pytest.raises((AssertionError, KeyError)):
        check(pieces, replace(plan, sheets=(replace(sheet, cuts=sheet.cuts[:-1]),)), 0.003)
    with pytest.raises(AssertionError):
        check(pieces, plan, 0.002)
