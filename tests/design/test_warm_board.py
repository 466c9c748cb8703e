"""What lies on the warm board, and what it is made of."""

from __future__ import annotations

from pathlib import Path

from guidegen.design import settle
from guidegen.spec import load
from guidegen.spec.changes import changed

SPECS = Path(__file__).parents[2] / "specs"


def levels(spec: str, **changes: str) -> dict[str, str]:
    named = {key.replace("__", "."): text for key, text in changes.items()}
    design = settle(changed(load(SPECS / f"{spec}.yaml"), named), mends=False)
    return {one.id: one.level for one in design.findings}


def test_insulation_that_bears_less_than_the_board_is_told() -> None:
    """PVC for 70 °C on a board that scatter may take above that, and enamel for 130 °C."""
    assert levels("boatshed-work-bar", wiring__jumpers__conductor="hook-up")["jumper-warm"] == (
        "advice")  # fmt: skip
    enamel = levels("boatshed-work-bar", wiring__jumpers__conductor="enamelled-copper")
    assert enamel["jumper-warm"] == "holds"
    bare = levels("puppet-wash-light", wiring__jumpers="{conductor: bare-copper}")
    assert "jumper-warm" not in bare


def test_a_board_that_bears_less_than_its_rows_make_is_told() -> None:
    hot = levels("herbarium-copy-light")
    assert hot["board-bears"] == "advice"
    own = "{like: mdf, highest_temperature: 120 °C (data sheet)}"
    assert levels("herbarium-copy-light", body__board__sheet=own)["board-bears"] == "holds"
