"""How much light a design can give where its full setting is too much for one of its parts."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from guidegen.calc import tape
from guidegen.design.compare import Identity, identity, stops
from guidegen.design.outputs import STEPS, output_text
from guidegen.design.parts import regulator_of
from guidegen.design.result import Design, Finding
from guidegen.design.settle import EARLY, LATE, Subject, further, settle, with_others
from guidegen.errors import SpecError
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.spec.stages import RegulatorStage
from guidegen.values import Value, band, work

Changing = Callable[[Fixture, Mapping[str, str]], Fixture]
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


def usable(
    design: Design,
    change: Changing = changed,
    early: tuple[Subject, ...] = EARLY,
    late: tuple[Subject, ...] = LATE,
) -> Usable | None:
    """The highest lower setting that a design allows, found by whole designs.

    The setting is the upper end of the output, not a place of the control: nothing keeps a hand
    from turning it to its end.

    Parameters
    ----------
    design : Design
        One with a stop.
    change : callable
        Makes the fixture with another setting.
    early, late : tuple
        What judges it: subjects whose stops need no more, and the rest.

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
    scale = _Scale(design, stage, change, (early, late))
    least = max(band(dark)[1], 0.0 if stage.control is None else stage.output_low.si)
    for share in PROBES:
        probe = math.floor((least + share * (full.si - least)) * STEPS)
        if least * STEPS < probe < scale.full:
            found, does = scale.at(probe, scale.whole)
            if does and stops(found) != scale.whole:
                return scale.highest(probe, found)
    return None


class _Scale:
    """The full settings of a design, in steps of 0.1 V, and the designs at those that were tried.

    Parameters
    ----------
    design : Design
        At its own full setting.
    stage : RegulatorStage
        What sets it.
    change : callable
        Makes the fixture with another setting.
    judges : tuple
        Subjects whose stops need no more, and the rest.
    """

    def __init__(
        self,
        design: Design,
        stage: RegulatorStage,
        change: Changing,
        judges: tuple[tuple[Subject, ...], tuple[Subject, ...]],
    ) -> None:
        self.design, self.stage, self.change, self.judges = design, stage, change, judges
        self.key, self.whole = f"{stage.path}.output", stops(design)
        self.full = math.ceil(design.values["setting.full"].si * STEPS - 1e-9)

    def text(self, step: int) -> str:
        """What is written for a setting."""
        return output_text(self.stage, step / STEPS)

    def at(self, step: int, most: frozenset[Identity]) -> tuple[Design, bool]:
        """The design at a setting, and whether no more stops it than this.

        Where it does not do, what was settled until that was clear.
        """
        try:
            lower = self.change(self.design.fixture, {self.key: self.text(step)})
        except SpecError:
            return self.design, False  # its tolerance is as large as itself: nobody writes that
        early, late = self.judges
        found = settle(lower, early, mends=False)
        for rest in ((), late):
            found = further(found, rest)
            if not found.complete or not stops(found) <= most:
                return found, False
        found = with_others(found)
        return found, stops(found) <= most

    def highest(self, good: int, found: Design) -> Usable:
        """The highest setting that is stopped by no more than this one.

        Where limits cross is guessed by a straight line between a setting that is good and one
        that is not; that guess may fail to close in, so every third is the middle.
        """
        left, bad, above, tries = stops(found), self.full, self.design, 0
        while bad - good > 1:
            tries += 1
            step = _guess(found, good, above, bad, left) if tries % 3 else (good + bad) // 2
            tried, does = self.at(step, left)
            if does:
                good, found = step, tried
            else:
                bad, above = step, tried
        return self._usable(good, found, above, left)

    def _usable(self, step: int, found: Design, above: Design, left: frozenset[Identity]) -> Usable:
        light = work("usable.light", tape.share_of_full, current=found.values["panel.current"],
                     full_current=self.design.values["panel.current"])  # fmt: skip
        still = {level: tuple(one for one in found.findings
                              if one.level == level and identity(one) in self.whole)
                 for level in ("advice", "stop")}  # fmt: skip
        limits = tuple(one for one in above.findings
                       if one.level == "stop" and identity(one) not in left)  # fmt: skip
        return Usable(self.key, self.text(step), light, limits, still["advice"], still["stop"])


def _guess(low: Design, good: int, high: Design, bad: int, left: frozenset[Identity]) -> int:
    """The step below the first limit that is crossed between two settings."""
    margins = [{identity(one): one.required.si - one.found.si for one in design.findings
                if one.required is not None and one.found is not None}
               for design in (low, high)]  # fmt: skip
    shares = [
        margins[0][name] / (margins[0][name] - margins[1][name])
        for name in stops(high) - left
        if name in margins[0] and name in margins[1] and margins[0][name] * margins[1][name] < 0
    ]
    step = good + math.floor(min(shares, default=0.5) * (bad - good))
    return min(max(step, good + 1), bad - 1)
