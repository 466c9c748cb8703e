"""A guide whose spec has further supplies: what may be used, what must not, in every place."""

from __future__ import annotations

import html
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from guidegen.design import settle
from guidegen.folders import folder
from guidegen.guide.model import Guide
from guidegen.guide.record_schema import record_schema
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed

TOP = folder("templates").parent
DEMO = Path(TOP / "specs" / "herbarium-copy-light.yaml")
VARIATIONS = yaml.safe_load((TOP / "tests" / "variations.yaml").read_text("utf-8"))
WEAK = "\n- {name: feeble, adapter: {like: adapter-19v-65w, power: 20 W}}"


@pytest.fixture(scope="module")
def guide() -> Guide:
    """With one that may be used, a battery that may, and an adapter that must not."""
    change = VARIATIONS["other supplies that may be used, a battery among them"]["change"]
    change = change | {"supplies": change["supplies"] + WEAK}
    made = guide_of(DEMO, settle(changed(load(DEMO), change), mends=False))
    assert isinstance(made, Guide)
    return made


def page(guide: Guide, name: str) -> str:
    text = next(one.markdown for one in guide.pages if one.uri == f"{name}.md")
    return html.unescape(text).replace("\xa0", " ")


def row(text: str, name: str) -> list[str]:
    return next([cell.strip() for cell in line.strip("|").split("|")]
                for line in text.splitlines() if line.startswith(f"| {name} |"))  # fmt: skip


def test_the_table_names_what_may_be_used_and_what_must_not(guide: Guide) -> None:
    text = page(guide, "performance")
    assert row(text, "stronger")[1] == row(text, "pack")[1] == "may be used"
    assert row(text, "feeble")[1] == "NOT to be used"
    # By hand: 21.6 V x 5 Ah x 90 % over what the light takes.
    hours = 21.6 * 5 * 0.9 / guide.design.values["input.power"].si
    assert float(row(text, "pack")[7].split()[0]) == pytest.approx(hours, abs=0.11)
    for part in ("18.50 V", "Blade fuse, 58 V, 5 A", "1.5 mm², 0.50 m"):
        assert part in text


def test_a_supply_that_stops_is_allowed_nowhere(guide: Guide) -> None:
    assert guide.stop
    assert "| NOT with feeble | |" in page(guide, "record")
    assert "feeble: NOT to be used" in page(guide, "index")
    for name in ("record", "index", "care"):
        assert "Or feeble" not in page(guide, name)
        assert "feeble: may" not in page(guide, name)


def test_the_plate_has_the_others(guide: Guide) -> None:
    text = page(guide, "record")
    assert "| Or stronger, 18.0 V to 20.0 V |" in text
    assert "| Or pack, 18.2 V to 25.2 V |" in text


def test_the_care_page_warns(guide: Guide) -> None:
    assert "Another supply than the first" in page(guide, "care")
    everywhere = " ".join(" ".join(page(guide, name).split()) for name in ("care", "safety"))
    assert "only through its own fuse and cut-off" in everywhere


def test_the_record_has_them_by_its_schema(guide: Guide) -> None:
    data: dict[str, Any] = json.loads(guide.data["guide.json"])
    jsonschema.validate(data, record_schema())
    found = {one["name"]: one for one in data["other_supplies"]}
    assert {name: one["level"] for name, one in found.items()} == {
        "stronger": "holds", "pack": "holds", "feeble": "stop"}  # fmt: skip
    assert found["pack"]["margin"] is None
    assert found["pack"]["battery"]
    assert not found["stronger"]["battery"]
    assert [one["number"] for one in data["other_supplies"]] == [2, 3, 4]
