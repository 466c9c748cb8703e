"""A design with changes of its spec, beside the one without: nothing is written anywhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.design.compare import fresh_stops, moved, paired
from guidegen.design.nearest import Instead, nearest_fit, replaceable
from guidegen.design.parts import pulse_of, regulator_of
from guidegen.design.result import Design
from guidegen.design.settle import JUDGING, settle, with_mends
from guidegen.design.usable import Usable, usable
from guidegen.errors import SpecError
from guidegen.spec.canonical import canonical
from guidegen.spec.model import Fixture
from guidegen.spec.overrides import ARGUMENT, Change, overridden, written
from guidegen.values import Given


@dataclass(frozen=True)
class Typed:
    """One change as it was typed, and what stood there before."""

    change: Change
    before: str
    """What the spec says there; `(left out)` where it says nothing."""
    same: bool
    """Whether that is what the change says."""
    name: str
    """Of the value that it became in the design; empty for a part or a word."""


@dataclass(frozen=True)
class Tried:
    """What one set of changes makes of a design."""

    typed: tuple[Typed, ...]
    gone: tuple[str, ...]
    """Keys that went along with what was replaced."""
    design: Design
    """Mends are tried where a finding is not as before."""
    usable: Usable | None
    pulses: bool
    """Whether something new stops, and no lower light helps because pulses dim it."""
    instead: tuple[Instead, ...]
    """What fits in the place of a part that does not; one for each change at most."""
    unfit: tuple[str, ...]
    """Keys of parts and sizes for which nothing near fits while the other changes stay."""


def judged(fixture: Fixture) -> Design:
    """The design of a spec as far as its findings go, mends not tried."""
    return settle(fixture, JUDGING, mends=False)


def tried(fixture: Fixture, before: Design, changes: Sequence[Change]) -> Tried:
    """Try some changes together.

    Parameters
    ----------
    fixture : Fixture
        As its file says.
    before : Design
        Its design, `judged`.
    changes : sequence of Change
        What is written otherwise.

    Raises
    ------
    SpecError
        If the changed spec is not accepted.
    """
    changed = overridden(fixture, changes)
    after = judged(changed)
    asked = {id(new) for old, new in paired(before.findings, after.findings) if moved(old, new)}
    fresh = fresh_stops(after, before)
    found = [(one, nearest_fit(fixture, before, after, changes, one))
             for one in changes if fresh and replaceable(after, one)]  # fmt: skip
    lower = usable(after) if fresh else None
    pulses = bool(fresh) and pulse_of(after.fixture) is not None and not regulator_of(after.fixture)
    kept = changed.supply.chain or any(one.key.endswith("chain") for one in changes)
    return Tried(
        tuple(Typed(one, written(fixture, one.key), _same(fixture, changed, changes, one),
                    _name(after, one)) for one in changes),
        () if kept or not fixture.supply.chain else ("supplies.1.chain",),
        with_mends(after, JUDGING, lambda finding: id(finding) in asked),
        lower,
        pulses,
        tuple(fit for _, fit in found if fit is not None),
        tuple(one.key for one, fit in found if fit is None),
    )  # fmt: skip


def _same(fixture: Fixture, changed: Fixture, changes: Sequence[Change], change: Change) -> bool:
    """Whether the spec would say the same without this change."""
    others = [one for one in changes if one is not change]
    try:
        without = overridden(fixture, others) if others else fixture
    except SpecError:
        return False  # the others need it
    return canonical(without) == canonical(changed)


def _name(design: Design, change: Change) -> str:
    places = ((name, value.place) for name, value in design.values.items()
              if isinstance(value, Given) and value.place)  # fmt: skip
    return next((name for name, place in places
                 if place.file == ARGUMENT and place.line == change.number), "")  # fmt: skip
