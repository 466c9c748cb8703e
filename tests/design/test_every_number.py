"""Every number of the demonstration spec matters: moved alone, it changes the record."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pytest
import yaml

from guidegen.design import Design, settle
from guidegen.guide.record import record
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

MOVE = 1.13
#: What a builder may change and the design does not answer, and why.
SILENT = {
    "use.ambient: 15 °C to 30 °C -> 16.95 °C to 30 °C":
        "the coldest room is printed for the calibration; nothing gets worse in the cold",
    "body.cover.gap: auto at least 20 mm -> auto at least 22.6 mm":
        "the rim is a bar, which leaves 23.6 mm: a bound that is kept changes nothing",
    "making.stock.1.price: 22 EUR -> 24.86 EUR":
        "reels of one length: there is nothing to choose by price",
}  # fmt: skip

#: A quantity: it begins with a number, or with a bound before one. Not `barrel-5525`.
QUANTITY = re.compile(r"(at least |at most |auto at least )?\d")
NUMBER = re.compile(r"\d+(?:\.\d+)?(?![\w-]*-)")
#: Conductors are made in these sizes only (IEC 60228, mm²): the next one is the move.
SIZES = (0.5, 0.75, 1, 1.5, 2.5, 4)
TEXTS = ("fixture", "revisions", "guide")


@dataclass(frozen=True)
class Move:
    path: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.path}: {self.old} -> {self.new}"


def leaves(node: Any, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(node, Mapping):
        for key, inner in node.items():
            if path or key not in TEXTS:
                yield from leaves(inner, f"{path}.{key}" if path else key)
    elif isinstance(node, list):
        for number, inner in enumerate(node, 1):
            yield from leaves(inner, f"{path}.{number}")
    else:
        yield path, node


def moves(text: str) -> Iterator[Move]:
    """Each number of the spec, moved alone."""
    for path, written in leaves(yaml.load(text, Loader=yaml.BaseLoader)):
        if not QUANTITY.match(written):
            continue
        for found in NUMBER.finditer(written):
            moved = _moved(found[0], written)
            yield Move(
                path, written, f"{written[: found.start()]}{moved:g}{written[found.end() :]}"
            )


def _moved(number: str, written: str) -> float:
    if written.isdigit():
        return int(number) + 1
    if written.endswith("mm²"):
        return next(size for size in SIZES if size > float(number))
    return float(f"{float(number) * MOVE:.4g}")


def told(design: Design) -> dict[str, Any]:
    """What the record says of a design, the sentences left out."""
    said: dict[str, Any] = json.loads(record(design, {}, [], [], []))
    said["verdicts"] = [(finding.id, finding.level) for finding in design.findings]
    return said


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> set[str]:
    """What differs, beyond givens that merely repeat what the spec says."""
    found = set()
    for part in before:
        if part not in ("givens", "main") and before[part] != after[part]:
            found.add(part)
    for name in before["givens"].keys() | after["givens"].keys():
        one, two = before["givens"].get(name), after["givens"].get(name)
        if one != two and not (two and "yaml:" in two["source"]):
            found.add(name)
    return found


@pytest.fixture(scope="module")
def plain(demo: Fixture) -> dict[str, Any]:
    # Written anew, as the moved ones are: the lines of both must be the same.
    return told(settle(changed(demo, {}), mends=False))


def test_every_number_changes_the_record(demo: Fixture, plain: dict[str, Any]) -> None:
    silent, tried = [], list(moves(demo.text))
    for move in tried:
        after = settle(changed(demo, {move.path: move.new}), mends=False)
        assert after.complete, str(move)
        if not differences(plain, told(after)):
            silent.append(str(move))
    assert len(tried) >= 38
    assert silent == list(SILENT)


@pytest.mark.parametrize(
    ("path", "text"),
    [("body.cover.gap", "auto at least 25 mm"), ("use.ambient", "15 °C to 25 °C")],
)
def test_what_is_silent_at_first_is_heard_when_moved_farther(
    demo: Fixture, plain: dict[str, Any], path: str, text: str
) -> None:
    assert differences(plain, told(settle(changed(demo, {path: text}), mends=False)))


def test_a_number_that_stays_changes_nothing(demo: Fixture, plain: dict[str, Any]) -> None:
    """Spoiled on purpose: a move by nothing is seen as silent, a spelling as well."""
    for change in ({"rows.1.pitch": "15 mm"}, {"rows.1.pitch": "1.5 cm"}):
        assert differences(plain, told(settle(changed(demo, change), mends=False))) == set()
