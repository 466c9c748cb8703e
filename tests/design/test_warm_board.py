"""What lies on the warm board, and what it is made of."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.calc import warm_wire
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
    warmest = warm_wire.in_the_warm(around=343.15, current=5.0, ampacity=10.0,
                                 insulation_temperature=343.15, ambient=303.15)  # fmt: skip
    assert warmest == pytest.approx(353.15)


def test_a_fuse_guards_a_wire_as_warm_as_it_lies() -> None:
    """IEC 60364-4-43, 433.1 (from memory): rating up to the ampacity, 1.45 times that opens it.

    By hand: PVC for 70 °C, in air of 55 °C instead of 35 °C, bears √(15/35) of its current.
    """
    flex = {f"{chain}__lead__lead": "twin-flex" for chain in ("supplies__pack__chain", "chain")}
    named = {key.replace("__", "."): text for key, text in flex.items()}
    puppet = changed(load(SPECS / "puppet-wash-light.yaml"), named)
    found = {depth: settle(changed(puppet, {"body.enclosure.depth": depth}), mends=False)
             for depth in ("90 mm", "180 mm", "60 mm")}  # fmt: skip
    for depth, level in (("180 mm", "holds"), ("60 mm", "stop")):
        (one,) = (f for f in found[depth].findings if f.id == "guard-warm"
                  and f.names["conductor"] == "link")  # fmt: skip
        assert one.level == level
        # Blades open from 1.35 times their rating: 20.25 A / 1.45 is below 15 A.
        assert one.found is not None
        assert one.found.si == pytest.approx(15.0)
    v = found["90 mm"].values
    share = (343.15 - v["box.temperature"].si) / 35
    allowed = v["link.ampacity"].si * share**0.5
    assert v["link.warm_ampacity"].si == pytest.approx(allowed)


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
