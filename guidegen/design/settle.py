"""The one road from a fixture to its design."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

from guidegen.calc import tape
from guidegen.design import (
    bench,
    body,
    checks,
    circuit,
    circuit_rules,
    control,
    corners,
    dimming,
    electrical,
    grips,
    heat,
    light,
    lining,
    making,
    measured,
    protection,
    pulse,
    resolve,
    rows,
    solid_rules,
    solved_bands,
    solved_checks,
    solved_panel,
    solved_scan,
    substitutes,
    supply,
    supply_way,
    thermal_cut_out,
    wiring,
)
from guidegen.design.compare import identity
from guidegen.design.result import Design, Fact, Finding, Halt, Mend, Section
from guidegen.errors import GuidegenError
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.values import Value, work

Subject = Callable[[Fixture, tuple[Section, ...]], Section]

#: In the order in which they settle: what a subject reads was settled before it.
SUBJECTS: tuple[Subject, ...] = (
    rows.settle,
    electrical.settle,
    pulse.settle,
    supply.settle,
    control.settle,
    body.settle,
    wiring.settle,
    protection.settle,
    corners.settle,
    heat.settle,
    thermal_cut_out.settle,
    light.settle,
    circuit.settle,
    circuit_rules.settle,
    solid_rules.settle,
    grips.settle,
    lining.settle,
    making.settle,
    bench.settle,
    supply_way.settle,
    checks.settle,
    dimming.settle,
    solved_panel.settle,
    solved_bands.settle,
    solved_checks.settle,
    solved_scan.settle,
    substitutes.settle,
)
#: Those that only describe: no finding needs them, and a judge can do without.
DESCRIBING = (dimming.settle, solved_panel.settle, solved_bands.settle, solved_checks.settle,
              solved_scan.settle, substitutes.settle)  # fmt: skip
JUDGING = tuple(subject for subject in SUBJECTS if subject not in DESCRIBING)
#: Those that judge currents and voltages, and the rest: what fails the first needs no second.
EARLY = JUDGING[: JUDGING.index(protection.settle) + 1]
LATE = JUDGING[len(EARLY) :]
SURROUNDINGS = ("damp", "rain", "dust", "rotating tools", "sensitive objects", "public",
                "children", "air travel", "vehicle")  # fmt: skip


def settle(
    fixture: Fixture, subjects: tuple[Subject, ...] = SUBJECTS, mends: bool = True
) -> Design:
    """Settle every subject in order.

    Parameters
    ----------
    fixture : Fixture
        What the spec says.
    subjects : tuple
        Which subjects, in order.
    mends : bool
        Whether each mend is tried, so that its effect is known and useless ones are dropped.

    Returns
    -------
    Design
        With `complete` false where a finding left nothing to go on with.
    """
    try:
        fixture, readings = measured.taken(fixture)
        fixture, choices = resolve.resolved(fixture)
    except GuidegenError as trouble:
        finding = Finding("not-computable", "stop", names={"why": str(trouble)})
        return _design(fixture, (Section("resolve", (), {}, (), (finding,)),), False)
    begun = _design(fixture, (Section("use", (), _wishes(fixture), choices, ()), readings), True)
    design = further(begun, subjects)
    if set(JUDGING) <= set(subjects):
        design = with_others(design, lower=mends)
    return with_mends(design, subjects) if mends else design


def further(design: Design, subjects: tuple[Subject, ...]) -> Design:
    """A design that was settled so far, and the next subjects; mends are not tried."""
    fixture, sections, complete = design.fixture, design.sections, design.complete
    for subject in subjects if complete else ():
        try:
            sections += (subject(fixture, sections),)
        except Halt as halt:
            sections += (halt.section,)
            complete = False
            break
        except (GuidegenError, ZeroDivisionError, OverflowError) as trouble:
            finding = Finding("not-computable", "stop", names={"why": str(trouble)})
            sections += (Section("halted", (), {}, (), (finding,)),)
            complete = False
            break
    return _design(fixture, sections, complete)


def with_others(design: Design, lower: bool = False) -> Design:
    """A design that was judged with its first supply, and its other supplies judged as well."""
    if not design.fixture.alternatives or not design.complete:
        return design
    # Late: it settles each supply by this module.
    from guidegen.design.alternatives import with_alternatives

    return with_alternatives(design, lower)


def settled_if(fixture: Fixture, passes: Callable[[Design], bool]) -> Design | None:
    """The judged design of a fixture; None where its currents and voltages do not pass already."""
    early = settle(fixture, EARLY, mends=False)
    return with_others(further(early, LATE)) if passes(early) else None


def _wishes(fixture: Fixture) -> dict[str, Fact]:
    """Facts that the spec states without any calculation."""
    facts: dict[str, Fact] = {
        f"use.{word.replace(' ', '_')}": word in fixture.use.surroundings for word in SURROUNDINGS
    }
    return facts | {
        "region": fixture.guide.region,
        "paper": fixture.guide.paper,
        "chemistry": getattr(fixture.supply.part, "words", {}).get("chemistry", "none"),
        "board_material": fixture.body.board.sheet.words.get("material", "none"),
    }


def _design(fixture: Fixture, sections: tuple[Section, ...], complete: bool) -> Design:
    return Design(
        fixture,
        sections,
        {value.name: value for section in sections for value in section.values},
        {name: fact for section in sections for name, fact in section.facts.items()},
        tuple(choice for section in sections for choice in section.choices),
        tuple(finding for section in sections for finding in section.findings),
        complete,
    )


def with_mends(
    design: Design,
    subjects: tuple[Subject, ...] = SUBJECTS,
    wanted: Callable[[Finding], bool] = lambda _: True,
) -> Design:
    """Every mend tried on the whole design: kept only if its finding goes and no stop comes.

    Parameters
    ----------
    design : Design
        Settled without.
    subjects : tuple
        Which subjects, in order.
    wanted : callable
        Which findings are asked about; the others lose their mends.
    """
    # What finds nothing can't tell whether a mend helps.
    subjects = tuple(subject for subject in subjects if subject not in DESCRIBING)
    findings = tuple(
        dataclasses.replace(
            finding, mends=_that_help(design, finding, subjects) if wanted(finding) else ()
        )
        if finding.mends
        else finding
        for finding in design.findings
    )
    return dataclasses.replace(design, findings=findings)


def _that_help(design: Design, finding: Finding, subjects: tuple[Subject, ...]) -> tuple[Mend, ...]:
    """The mends after which it holds; where there is none, those that leave an advice of a stop."""
    tried = [with_effect(design, finding, mend, subjects) for mend in finding.mends]
    helping = [found for found in tried if found is not None]
    whole = [mend for mend, kept in helping if kept]
    return tuple(whole or (mend for mend, _ in helping))


def with_effect(
    design: Design, finding: Finding, mend: Mend, subjects: tuple[Subject, ...] = SUBJECTS
) -> tuple[Mend, bool] | None:
    """Try a mend on the whole design.

    Parameters
    ----------
    design : Design
        The design with the finding.
    finding : Finding
        What the mend is to do away with.
    mend : Mend
        A change of the spec.
    subjects : tuple
        Which subjects, in order.

    Returns
    -------
    tuple or None
        The mend with its effect, and whether the finding holds then; None where it does not help,
        brings a new stop, or can't be written or settled.
    """
    try:
        after = settle(changed(design.fixture, mend.changes), subjects, mends=False)
    except GuidegenError:
        return None
    same = [other for other in after.findings if identity(other) == identity(finding)]
    open_ = [other for other in same if not holds(other)]
    before = {other.id for other in design.findings if other.level == "stop"}
    worse = {other.id for other in after.findings if other.level == "stop"} - before
    if worse or not after.complete or any(other.level == finding.level for other in open_):
        return None
    found, light = _found(same, finding, after), _light(mend, design, after)
    return dataclasses.replace(mend, effect=found, light=light), not open_


def holds(finding: Finding) -> bool:
    """Whether its limit is kept, even where the limit itself is from memory."""
    return finding.level == "holds" or bool(finding.names.get("kept"))


def _light(mend: Mend, design: Design, after: Design) -> Value | None:
    """What is left of the light where a mend sets the output lower."""
    now, full = (one.values.get("panel.current") for one in (after, design))
    lower = any(path.endswith(".output") for path in mend.changes)
    if not lower or now is None or full is None or now.si >= full.si:
        return None
    return work("usable.light", tape.share_of_full, current=now, full_current=full)


def _found(same: list[Finding], finding: Finding, after: Design) -> Value | None:
    if same and same[0].found is not None:
        return same[0].found
    return after.values.get(finding.found.name) if finding.found else None
