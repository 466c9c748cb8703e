"""The one road from a fixture to its design."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

from guidegen.design import (
    bench,
    body,
    circuit,
    control,
    electrical,
    heat,
    light,
    making,
    protection,
    resolve,
    rows,
    supply,
    wiring,
)
from guidegen.design.result import Design, Fact, Finding, Halt, Mend, Section
from guidegen.errors import GuidegenError
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.values import Value

Subject = Callable[[Fixture, tuple[Section, ...]], Section]

#: In the order in which they settle: what a subject reads was settled before it.
SUBJECTS: tuple[Subject, ...] = (
    rows.settle,
    electrical.settle,
    supply.settle,
    control.settle,
    body.settle,
    wiring.settle,
    protection.settle,
    heat.settle,
    light.settle,
    circuit.settle,
    making.settle,
    bench.settle,
)
#: Enough to see whether a mend helps, unless the finding comes from one of those left out.
LATE = ("tape-spare", "row-reel", "no-sheet", "no-bar")
SLOW = (circuit.settle, making.settle, bench.settle)
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
        fixture, choices = resolve.resolved(fixture)
    except GuidegenError as trouble:
        finding = Finding("not-computable", "stop", names={"why": str(trouble)})
        return _design(fixture, (Section("resolve", (), {}, (), (finding,)),), False)
    sections: tuple[Section, ...] = (Section("use", (), _wishes(fixture), choices, ()),)
    complete = True
    for subject in subjects:
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
    design = _design(fixture, sections, complete)
    return _tried(design, subjects) if mends else design


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


def _tried(design: Design, subjects: tuple[Subject, ...]) -> Design:
    """Every mend tried on the whole design: kept only if its finding goes and no stop comes."""
    findings = tuple(
        dataclasses.replace(finding, mends=_that_help(design, finding, subjects))
        if finding.mends
        else finding
        for finding in design.findings
    )
    return dataclasses.replace(design, findings=findings)


def _that_help(design: Design, finding: Finding, subjects: tuple[Subject, ...]) -> tuple[Mend, ...]:
    return tuple(
        mend
        for mend in (with_effect(design, finding, mend, subjects) for mend in finding.mends)
        if mend is not None
    )


def with_effect(
    design: Design, finding: Finding, mend: Mend, subjects: tuple[Subject, ...] = SUBJECTS
) -> Mend | None:
    """The mend with what it does to the found value; None if it does not help."""
    late = finding.id in LATE
    enough = tuple(s for s in subjects if late or s not in SLOW)
    try:
        after = settle(changed(design.fixture, mend.changes), enough, mends=False)
    except GuidegenError:
        return None
    same = [other for other in after.findings if _same(other, finding)]
    before = {other.id for other in design.findings if other.level == "stop"}
    worse = {other.id for other in after.findings if other.level == "stop"} - before
    if worse or not after.complete or any(other.level == finding.level for other in same):
        return None
    return dataclasses.replace(mend, effect=_found(same, finding, after))


def _same(other: Finding, finding: Finding) -> bool:
    return (other.id, other.names.get("conductor"), other.names.get("contact")) == (
        finding.id, finding.names.get("conductor"), finding.names.get("contact"),
    )  # fmt: skip


def _found(same: list[Finding], finding: Finding, after: Design) -> Value | None:
    if same and same[0].found is not None:
        return same[0].found
    return after.values.get(finding.found.name) if finding.found else None
