"""A lower full setting: how it is written, and the highest one that keeps to something."""

from __future__ import annotations

import math
from collections.abc import Callable

from guidegen.design.result import Desk, Mend
from guidegen.spec.stages import RegulatorStage
from guidegen.values import Value, redo

#: Steps in a volt: what is offered is written to 0.1 V, as a builder sets it.
STEPS = 10


def output_text(stage: RegulatorStage, top: float) -> str:
    """The regulator's `output` with another upper end; tolerances stay. [top in V]."""
    low, high = stage.output_low, stage.output_high
    text = f"{top:.4g} V" + (f" ± {high.spread:.2g} V" if high.spread else "")
    if stage.control is None or low.si >= top:
        return text
    return f"{low.si:.4g} V" + (f" ± {low.spread:.2g} V" if low.spread else "") + f" to {text}"


def greatest_output(
    stage: RegulatorStage, fits: Callable[[float], bool], least: float = 0.0
) -> float | None:
    """The highest full setting below the present one that fits.

    Parameters
    ----------
    stage : RegulatorStage
        What sets the voltage of the rows.
    fits : callable
        Whether a full setting will do. [V]. What is below one that does must do too.
    least : float
        A setting that is known to be too low. [V]

    Returns
    -------
    float or None
        In steps of 0.1 V. [V]. None where no setting fits.
    """
    low = least if stage.control is None else max(least, stage.output_low.si)
    good = math.floor(low * STEPS + 1e-9)
    bad = math.ceil(stage.output_high.si * STEPS - 1e-9)
    first = good
    while bad - good > 1:
        middle = (good + bad) // 2
        if fits(middle / STEPS):
            good = middle
        else:
            bad = middle
    return good / STEPS if good > first else None


def lower_output(
    desk: Desk, stage: RegulatorStage | None, found: Value, fits: Callable[[float], bool]
) -> tuple[Mend, ...]:
    """The mend of a part that is too weak for the full setting: the highest that it allows.

    Parameters
    ----------
    desk : Desk
        Knows the full setting.
    stage : RegulatorStage or None
        What can be set lower; without one there is no mend.
    found : Value
        What is too much at the full setting.
    fits : callable
        Whether a number in its place would do. [its SI unit]
    """
    if stage is None:
        return ()
    full = desk["setting.full"]
    top = greatest_output(stage, lambda volts: fits(redo(found, {full: volts}, {})),
                          desk["tape.threshold"].si)  # fmt: skip
    return (Mend({f"{stage.path}.output": output_text(stage, top)}),) if top else ()
