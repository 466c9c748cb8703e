"""What lies on the warm board, and what it is made of."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.calc import wire
from guidegen.design import Finding, settle
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.parts import catalogue_part
from guidegen.values import band

SPECS = Path(__file__).parents[2] / "specs"


def levels(spec: str, **changes: str) -> dict[str, str]:
    named = {key.replace("__", "."): text for key, text in changes.items()}
    design = settle(changed(load(SPECS / f"{spec}.yaml"), named), mends=False)
    return {one.id: one.level for one in design.findings}


def warm(conductor: str, **changes: str) -> Finding | None:
    """What is found of the insulation of a conductor on the boatshed's aluminium."""
    named = {key.replace("__", "."): text for key, text in changes.items()}
    design = settle(changed(load(SPECS / "boatshed-work-bar.yaml"), named), mends=False)
    return next((one for one in design.findings if one.id == "insulation-warm"
                 and one.names["conductor"] == conductor), None)  # fmt: skip


def test_insulation_that_bears_less_than_the_board_is_told() -> None:
    """PVC for 70 °C on a board of 73 °C; for 90 °C, which scatter may pass; silicone rubber."""
    for conductor, path in (
        ("jumper", "wiring__jumpers__conductor"),
        ("feed", "chain__feed__feed"),
    ):
        pvc, warm_pvc, silicone = {
            "jumper": ("hook-up", "hook-up-flex", "hook-up-silicone"),
            "feed": ("twin-flex", "{like: twin-flex, temperature: 90 °C (label)}", "twin-silicone"),
        }[conductor]
        levels = [one and one.level for one in (warm(conductor, **{path: part})
                                                for part in (pvc, warm_pvc, silicone))]  # fmt: skip
        assert levels == ["stop", "advice", "holds"]
    assert warm("jumper", wiring__jumpers__conductor="bare-copper") is None


def test_its_own_current_warms_it_by_its_square() -> None:
    """IEC 60287: losses, and with them the rise, go with the square of the current.

    Half of the ampacity that was told for a rise of 40 K is a quarter of that rise: 10 K.
    """
    warmest = wire.in_the_warm(around=343.15, current=5.0, ampacity=10.0,
                                 insulation_temperature=343.15, ambient=303.15)  # fmt: skip
    assert warmest == pytest.approx(353.15)


def test_ties_hold_on_a_warm_board() -> None:
    """Bases for 80 °C on a board that may reach 92 °C would drop the feed."""
    warm_board = settle(load(SPECS / "boatshed-work-bar.yaml"), mends=False)
    (base,) = {part.key for part in warm_board.model.by_role("tie_base")}
    assert (
        catalogue_part(base)["temperature"].si
        >= band(warm_board.values["board.back_temperature"])[1]
    )


def test_a_board_that_bears_less_than_its_rows_make_is_told() -> None:
    hot = levels("herbarium-copy-light")
    assert hot["board-bears"] == "advice"
    own = "{like: mdf, highest_temperature: 120 °C (data sheet)}"
    assert levels("herbarium-copy-light", body__board__sheet=own)["board-bears"] == "holds"
