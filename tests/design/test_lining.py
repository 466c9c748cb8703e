"""The lining: where its film lies, what its metal may touch, and what the guide does about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.calc import making, radiation
from guidegen.design import Design, Finding, settle
from guidegen.design.circuit_rules import Bare
from guidegen.design.lining import near
from guidegen.errors import SpecError
from guidegen.guide.bench import all_facts
from guidegen.guide.walk import walk
from guidegen.road import guide_of
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
WHITE, FOIL, TAPE = "film-white-50mm", "foil-aluminium-50mm", "insulating-tape-15mm"


def lined(demo: Fixture, film: str, where: str = "[border, board]", under: str = "none",
          **more: str) -> Design:  # fmt: skip
    text = f"{{film: {film}, where: {where}, under: {under}}}"
    changes = {key.replace("__", "."): value for key, value in more.items()}
    return settle(changed(demo, {"body.lining": text, **changes}), mends=False)


def found(design: Design, id: str) -> Finding:
    return next(finding for finding in design.findings if finding.id == id)


def test_it_lies_on_the_inner_faces_of_the_rim_and_on_the_board_within(demo: Fixture) -> None:
    model = lined(demo, WHITE).model
    places = {part.ref: part.solid for part in model.by_role("lining") if part.solid}
    # A board of 360 mm x 210 mm in a rim of strips 12 mm thick and 25 mm high.
    corners = [(*solid.low, *solid.high) for solid in places.values()]
    assert [[round(1000 * c) for c in corner] for corner in corners] == [
        [12, 198, 0, 348, 198, 25],
        [12, 12, 0, 348, 12, 25],
        [12, 12, 0, 12, 198, 25],
        [348, 12, 0, 348, 198, 25],
        [12, 12, 0, 348, 198, 0],
    ]
    assert [part.on for part in model.by_role("lining")] == ["U2", "U3", "U4", "U5", "U1"]


def test_film_that_is_narrower_than_a_face_goes_on_in_bands(demo: Fixture) -> None:
    # 25 mm of rim take one band of 50 mm. 186 mm of board take 1 + (186 - 50) / 47 -> 4 bands.
    values = lined(demo, WHITE).values
    assert (values["lining.rim_bands"].si, values["lining.board_bands"].si) == (1, 4)
    assert values["lining.length"].si == pytest.approx(2 * (0.336 + 0.186) + 4 * 0.336)
    by_hand = making.film_length(along=0.4, across=0.2, rim_bands=2, board_bands=3)
    assert by_hand == pytest.approx(2.4 + 1.2)
    narrow = lined(demo, f"{{like: {WHITE}, width: 20 mm}}", "[border]").values
    assert narrow["lining.rim_bands"].si == 2
    assert narrow["lining.board_bands"].si == 0


def test_white_film_may_touch_anything(demo: Fixture) -> None:
    design = lined(demo, WHITE)
    assert not design.stops
    assert not [f for f in design.findings if f.id == "lining-bare"]
    assert not design.model.by_role("underlay")
    assert design.facts["underlaid"] is False


@pytest.mark.parametrize("where", ["[board]", "[border, board]"])
def test_foil_under_bare_metal_stops_until_insulation_lies_over_it(
    demo: Fixture, where: str
) -> None:
    bare = lined(demo, FOIL, where)
    assert found(bare, "lining-bare").level == "stop"
    # Rows and rails lie on it.
    assert bare.values["lining.nearest"].si == 0
    insulated = lined(demo, FOIL, where, TAPE)
    assert found(insulated, "lining-bare").level == "holds"
    assert not insulated.stops
    assert {part.key for part in insulated.model.by_role("underlay")} == {TAPE}


def test_the_mends_are_insulation_or_a_film_that_does_not_conduct(demo: Fixture) -> None:
    design = settle(changed(demo, {"body.lining": f"{{film: {FOIL}, where: [board]}}"}))
    assert [mend.changes for mend in found(design, "lining-bare").mends] == [
        {"body.lining.under": TAPE}, {"body.lining.film": WHITE},
    ]  # fmt: skip


def test_distance_of_foil_and_bare_wire_by_hand(demo: Fixture) -> None:
    model = lined(demo, FOIL, "[border]").model
    # A wire of 2 mm whose middle lies at x = 20 mm: 8 mm from the left strip's face at 12 mm.
    left = Bare("W8", "+", "front", (0.020, 0.05, 0.020, 0.15), 0.001)
    assert near(model, [left]) == ("U9", "W8", pytest.approx(0.007))
    # On the back of the board, 9 mm below the foil's foot.
    behind = replace(left, side="back")
    close = near(model, [behind])
    assert close is not None
    assert close[2] == pytest.approx((0.007**2 + 0.009**2) ** 0.5)
    assert near(model, []) is None
    assert near(lined(demo, WHITE).model, [left]) is None


def test_foil_on_the_rim_holds_where_it_is_far_enough(demo: Fixture) -> None:
    # A wider board: the row ends and rails keep their distance from the rim.
    near_rim = found(lined(demo, FOIL, "[border]"), "lining-bare")
    assert near_rim.level == "stop"
    wide = lined(demo, FOIL, "[border]", body__board__width="420 mm", body__board__height="260 mm")
    far = found(wide, "lining-bare")
    assert far.level == "holds"
    assert far.names["apart"] is True
    assert far.found is not None
    assert far.found.si >= wide.values["limits.clearance"].si


def test_bright_foil_between_the_rows_keeps_heat_in(demo: Fixture) -> None:
    plain, bright = settle(demo, mends=False).values, lined(demo, FOIL, "[board]", TAPE).values
    # 3.6 m of tape 8 mm wide on 0.0756 m²: 38.1 % at 0.9, the rest at 0.07: 0.386.
    assert bright["lining.face_emissivity"].si == pytest.approx(0.386, abs=5e-4)
    by_hand = radiation.mean_emissivity(
        tape=0.9, film=0.1, tape_length=1, tape_width=0.01, area=0.02
    )
    assert by_hand == pytest.approx(0.5)
    assert bright["board.tape_temperature"].si > plain["board.tape_temperature"].si + 1
    rim = lined(demo, FOIL, "[border]", TAPE).values
    assert rim["board.tape_temperature"].si == pytest.approx(plain["board.tape_temperature"].si)


def test_its_light_is_not_counted(demo: Fixture) -> None:
    plain, white = settle(demo, mends=False).values, lined(demo, WHITE).values
    assert white["light.illuminance"].si == plain["light.illuminance"].si
    guide = guide_of(SPEC, lined(demo, WHITE))
    page = next(page for page in guide.pages if page.uri.startswith("performance"))
    assert "None of the figures above counts it" in page.markdown


@pytest.mark.parametrize(
    ("lining", "said"),
    [
        (f"{{film: {WHITE}, where: [cover]}}", "'cover' takes no lining. Accepted: border, board"),
        (f"{{film: {WHITE}, where: board}}", "this is no list"),
        (f"{{film: {FOIL}, under: cable-tie}}", "does not insulate"),
        ("{film: mdf}", "is a sheet, not a film"),
        ("{film: film-white-50}", "Did you mean 'film-white-50mm'"),
        ("{where: [board]}", "'film' is missing"),
        (f"{{film: {WHITE}, colour: red}}", "unknown key 'colour'"),
    ],
)
def test_what_can_not_be_is_refused(demo: Fixture, lining: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(demo, {"body.lining": lining})


@pytest.mark.parametrize("where", ["", ", where: [border]", ", where: [board, border]"])
def test_without_a_rim_there_is_none_to_line(demo: Fixture, where: str) -> None:
    gone = {"body.border": "(left out)", "body.cover": "(left out)"}
    with pytest.raises(SpecError, match="no rim to line"):
        changed(demo, {**gone, "body.lining": f"{{film: {WHITE}{where}}}"})
    board = changed(demo, {**gone, "body.lining": f"{{film: {WHITE}, where: [board]}}"})
    (piece,) = settle(board, mends=False).model.by_role("lining")
    assert [size.si for size in piece.size] == pytest.approx([0.36, 0.21])


def test_the_walk_wants_film_then_insulation_then_rows(demo: Fixture) -> None:
    design = lined(demo, FOIL, "[border, board]", TAPE)
    guide = guide_of(SPEC, design)
    order = [step.id for step in guide.steps]
    names = ("rim-fitted", "lining-stuck", "underlays-stuck", "rows-stuck", "rails-fixed",
             "lining-read")  # fmt: skip
    assert [order.index(name) for name in names] == sorted(order.index(name) for name in names)
    facts = all_facts(design.facts, design.values)
    assert walk(design.model, guide.steps, facts).passed
    without = tuple(step for step in guide.steps if step.id != "lining-stuck")
    assert "left-over" in {t.rule for t in walk(design.model, without, facts).findings}
    assert "H43" in {caution.number for caution in guide.cautions.chosen}


def test_foil_is_bought_by_the_metre(demo: Fixture) -> None:
    guide = guide_of(SPEC, lined(demo, WHITE))
    page = next(page for page in guide.pages if page.uri.startswith("parts"))
    line = next(line for line in page.markdown.splitlines() if "White reflective film" in line)
    assert "2.39" in line


def test_film_of_every_panel_is_bought(
    demo: Fixture, variations: Mapping[str, Mapping[str, Any]]
) -> None:
    two = {**variations["two panels"]["change"], "body.lining": f"{{film: {WHITE}}}"}
    design = settle(changed(demo, two), mends=False)
    # 2 · (336 mm + 186 mm) = 1.044 m for each of two panels.
    assert design.values["lining.length"].si == pytest.approx(1.044)
    guide = guide_of(SPEC, design)
    page = next(page for page in guide.pages if page.uri.startswith("parts"))
    assert "2.09" in next(line for line in page.markdown.splitlines() if "White reflec" in line)
    step = next(step for step in guide.steps if step.id == "lining-stuck")
    assert "for each panel" in step.body
