"""Handles, own pieces and own holes: what is read, and what is told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.errors import SpecError
from guidegen.spec import load

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"


PIECE = "piece: stop, sheet: mdf, width: 20 mm, height: 20 mm"
TRIANGLE = "[[-5 mm, -5 mm], [5 mm, -5 mm], [0 mm, 5 mm]]"


@pytest.fixture
def told(tmp_path: Path) -> Callable[[str], str]:
    """What is said of the demonstration with a line of its body replaced."""

    def of(line: str) -> str:
        text = SPEC.read_text("utf-8").replace("\nmaking:\n", f"  {line}\n\nmaking:\n", 1)
        path = tmp_path / "spec.yaml"
        path.write_text(text, encoding="utf-8")
        try:
            load(path)
        except SpecError as trouble:
            return str(trouble)
        return ""

    return of


def test_what_can_be_written_is_read(told: Callable[[str], str]) -> None:
    assert told("handles: [{edges: [top, bottom], length: auto, blocks: 3}]") == ""
    assert told("pieces: [{piece: stop, sheet: mdf, width: 20 mm, height: 20 mm,"
                " across: 8 mm left of middle, up: 8 mm above middle,"
                " holes: [{shape: slot, width: 4 mm, length: 10 mm}]}]") == ""  # fmt: skip
    assert told(f"pieces: [{{{PIECE}, holes: [{{shape: outline, corners: {TRIANGLE}}}]}}]") == ""


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("handles: [{edges: [left]}]", "'left' is no edge that takes a handle. Accepted: top"),
        ("handles: {edges: [top]}", "this is no list"),
        ("handles: [{blocks: 2.5}]", "'2.5' is no whole number"),
        ("handles: [{bar: mdf}]", "'mdf' is a sheet, not a bar"),
        ("pieces: [{piece: stop, width: 2 cm, height: 2 cm, up: 8 mm from left}]",
         "'8 mm from left' is no place. Accepted: middle, '40 mm from bottom'"),
        ("pieces: [{piece: stop, width: 2 cm, height: 2 cm, holes: [{shape: slot}]}]",
         "'width' is missing"),
        ("pieces: [{piece: stop, width: 2 cm, height: 2 cm, holes: [{length: 5 mm}]}]",
         "'length' does not belong to a round hole. Accepted: diameter"),
        (f"pieces: [{{{PIECE}, holes: [{{shape: outline}}]}}]", "'corners' is missing"),
        (f"pieces: [{{{PIECE}, holes: [{{diameter: 5 mm, corners: [[1 mm, 1 mm]]}}]}}]",
         "an outline has 3 to 60 corners, and here are 1"),
        (f"pieces: [{{{PIECE}, holes: [{{shape: outline, diameter: 5 mm, corners: {TRIANGLE}}}]}}]",
         "'diameter' does not belong to an outline"),
        (f"pieces: [{{{PIECE}, holes: [{{diameter: 5 mm, corners: {TRIANGLE}}}]}}]",
         "'corners' belongs to an outline. Accepted: 'shape: outline'"),
        (f"pieces: [{{{PIECE}, holes: [{{shape: outline, corners: [[1 mm, 1 mm], 5 mm, 6 mm]}}]}}]",
         "this is no corner. Accepted: such as '[-15 mm, 4 mm]'"),
        (f"pieces: [{{{PIECE}, holes: [{{shape: outline, corners:"
         " [[0 mm, 0 mm], [2 mm, 2 mm], [2 mm, 0 mm], [0 mm, 2 mm]]}]}]",
         "this outline crosses or touches itself"),
        (f"pieces: [{{{PIECE}, holes: [{{shape: outline, corners: [[1 V, 1 mm], ['- mm', 0 mm],"
         " [1 mm, 0 mm]]}]}]", "'1 V' is a voltage, not a length"),
        ("lining: {film: foil}", "no film 'foil' in catalogue"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(told: Callable[[str], str], line: str, said: str) -> None:
    assert said in told(line)
