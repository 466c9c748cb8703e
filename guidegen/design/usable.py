"""How much light a design can give where its full setting is too much for one of its parts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from guidegen.calc import tape
from guidegen.design.compare import Identity, identity, stops
from guidegen.design.outputs import STEPS, greatest_output, output_text
from guidegen.design.parts import regulator_of
from guidegen.design.result import Design, Finding
from guidegen.design.settle import JUDGING, settle
from guidegen.errors import GuidegenError
from guidegen.spec.changes import changed
from guidegen.values import Value, band, work

#: Where between the darkest and the full setting a design is tried that may be without the stops.
PROBES = (0.25, 0.5, 0.75, 0.9)


@dataclass(frozen=True)
class Usable:
    """The highest full setting at which nothing stops that the full light caused."""

    key: str
    """`chain.regulator.output`."""
    output: str
    """What to write there."""
    light: Value
    """Share of the full light."""
    limits: tuple[Finding, ...]
    """What stops one step higher."""
    advice: tuple[Finding, ...]
    """What stops at full, and is an advice there still."""
    left: tuple[Finding, ...]
    """What stops at every setting."""


def usable(design: Design) -> Usable | None:
    """The highest lower setting that a design allows, found by whole designs.

    The setting is where the trimmer is set, not where a hand holds the control: nothing keeps a
    hand from turning it farther.

    Parameters
    ----------
    design : Design
        One with a stop.

    Returns
    -------
    Usable or None
        None where nothing can be set lower, or no setting takes a stop away.
    """
    stage = regulator_of(design.fixture)
    full = design.values.get("setting.full")
    dark = design.values.get("tape.threshold")
    if stage is None or full is None or dark is None or "panel.current" not in design.values:
        return None
    key, whole = f"{stage.path}.output", stops(design)

    @cache
    def at(volts: float) -> Design | None:
        try:
            lower = changed(design.fixture, {key: output_text(stage, volts)})
            return settle(lower, JUDGING, mends=False)
        except GuidegenError:
            return None

    def stopped(volts: float) -> frozenset[Identity] | None:
        """What stops there; None where it is more than at full, or not known."""
        tried = at(volts)
        if tried is None or not tried.complete or not stops(tried) <= whole:
            return None
        return stops(tried)

    least = max(band(dark)[1], 0.0 if stage.control is None else stage.output_low.si)
    probes = (round((least + share * (full.si - least)) * STEPS) / STEPS for share in PROBES)
    tried = ((probe, stopped(probe)) for probe in probes if least < probe < full.si)
    some = next(((probe, left) for probe, left in tried if left not in (None, whole)), None)
    if some is None:
        return None
    probe, left = some
    top = greatest_output(stage, lambda volts: stopped(volts) == left, probe) or probe
    found, above = at(top), at(top + 1 / STEPS) if top + 1 / STEPS < full.si else design
    assert found is not None  # `stopped` knew both
    assert left is not None
    light = work("usable.light", tape.share_of_full, current=found.values["panel.current"],
                 full_current=design.values["panel.current"])  # fmt: skip
    still = {level: tuple(one for one in found.findings
                          if one.level == level and identity(one) in whole)
             for level in ("advice", "stop")}  # fmt: skip
    return Usable(key, output_text(stage, top), light, _stops(above or design, left),
                  still["advice"], still["stop"])  # fmt: skip


def _stops(design: Design, left: frozenset[Identity]) -> tuple[Finding, ...]:
    return tuple(one for one in design.findings
                 if one.level == "stop" and identity(one) not in left)  # fmt: skip
