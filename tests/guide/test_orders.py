"""What is ordered, against a sum of our own over the lines of the parts table."""

from __future__ import annotations

import json
import math
import re
from typing import Any

import pytest

from guidegen.guide.model import Guide
from guidegen.guide.orders import packs


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def table(guide: Guide, heading: str) -> list[list[str]]:
    text = next(page.markdown for page in guide.pages if page.uri == "parts.md")
    lines = text.split(f"\n## {heading}\n")[1].split("\n## ")[0].splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")]
            for line in lines if line.startswith("|")]  # fmt: skip
    return rows[2:]


def number(text: str) -> float:
    found = re.match(r"[\d.\u202f]+", text)
    assert found, text
    return float(found[0].replace("\u202f", ""))


def bill(guide: Guide) -> dict[int, dict[str, Any]]:
    return {line["number"]: line for line in json.loads(guide.data["guide.json"])["bill"]}


def test_every_line_of_the_parts_table_is_ordered_once(guide: Guide) -> None:
    ordered = [int(n) for row in table(guide, "What to buy") for n in row[0].split(",")]
    assert sorted(ordered) == sorted(bill(guide))


def test_packs_hold_the_total_of_all_copies_and_its_spares(guide: Guide) -> None:
    copies, lines = int(guide.design.values["making.copies"].si), bill(guide)
    seen = 0
    for numbers, what, need, spare, sold, buy, _ in table(guide, "What to buy"):
        mine = [lines[int(n)] for n in numbers.split(",")]
        found = re.match(r"(pack|coil|roll|tin) of ([\d.]+)", sold)
        if not found:
            assert number(buy) == sum(number(line["total"]) for line in mine), what
            continue
        seen += 1
        size, bought = float(found[2]), number(buy)
        if found[1] in ("pack", "coil"):
            # Lengths are printed rounded up to a centimetre, of each line.
            total = sum(number(line["each"]) for line in mine) * copies
            assert total - 0.01 * copies * len(mine) - 1e-9 <= number(need) <= total + 1e-9, what
        over = 0.0 if spare == "–" else number(spare)
        assert over >= 0.1 * number(need) - 0.011 * copies, what
        assert bought * size >= number(need) + over - 0.02 - 1e-9, what
        assert (bought - 1) * size < number(need) + over, f"{what}: one pack too many"
    assert seen > 5


def test_equal_screws_of_two_lines_are_one_order(guide: Guide) -> None:
    orders = [row[1] for row in table(guide, "What to buy")]
    assert len(set(orders)) == len(orders)


def test_a_pack_is_counted_on_the_total() -> None:
    """By hand: 8 copies of 3 screws and 3 spare ones are 27: one pack of 30, not eight."""
    assert packs(8 * 3 + 3, 30) == 1
    assert packs(31, 30) == 2
    assert packs(30, 30) == 1
    # 0.1 + 0.2 is a little more than 0.3 in binary.
    assert packs(0.1 + 0.2, 0.3) == 1


def test_every_part_has_what_a_substitute_must_reach(guide: Guide) -> None:
    for row in table(guide, "Parts"):
        assert len(row[3]) > 3, row


def test_consumables_have_packs_with_a_tenth_to_spare(guide: Guide) -> None:
    rows = table(guide, "Consumables")
    assert len(rows) > 4
    several = 0
    for name, fits, _, every, pack, buy, _ in rows:
        assert number(buy) * number(pack) >= number(every) - 1e-9, name
        sizes = max(1, len(re.findall(r"for wire of|for two wires of", fits)))
        several += sizes > 1
        assert number(buy) >= sizes, name
        # Printed amounts are rounded up to two digits. Each size may leave most of a pack over.
        assert number(buy) <= math.ceil(number(every) * 1.1 / number(pack)) + sizes - 1, name
    assert several, "no consumable of two sizes: this proves nothing of them"
