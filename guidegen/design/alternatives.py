"""The light as it is made, with each further supply of its spec: what holds, what stops."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from guidegen.design import light
from guidegen.design.compare import fresh_stops, paired, worse
from guidegen.design.parts import all_stages, first_stage
from guidegen.design.result import Alternative, Design, Finding, Mend, Own
from guidegen.design.settle import EARLY, JUDGING, LATE, settle
from guidegen.design.usable import Usable, usable
from guidegen.design.wiring import supply_cable
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture, Held
from guidegen.spec.quantities import Auto
from guidegen.spec.section import renamed
from guidegen.spec.stages import AnyStage, FuseStage
from guidegen.values import Given
from guidegen.values import renamed as named

#: What a supply decides ends with the light; solids, cutting and bench are those of the light
#: that is made already.
LAST = JUDGING.index(light.settle) + 1
DECIDED = LATE[: LAST - len(EARLY)]
#: What is asked of a second fuse: all else is guarded by the first.
OF_FUSE = ("fuse-load", "fuse-voltage", "fuse-breaking")


def with_alternatives(design: Design, lower: bool = False) -> Design:
    """A design with its other supplies judged: one finding for each.

    Parameters
    ----------
    design : Design
        Complete, with its first supply.
    lower : bool
        Whether a lower full setting is looked for where one stops.
    """
    found = tuple(
        _judged(design, number) for number in range(2, len(design.fixture.alternatives) + 2)
    )
    findings = tuple(_finding(design, one, lower) for one in found)
    return replace(design, alternatives=found, findings=(*design.findings, *findings))


def _judged(design: Design, number: int) -> Alternative:
    fixture = design.fixture.alternatives[number - 2]
    after = settle(_made(fixture, design), JUDGING[:LAST], mends=False)
    after = replace(after, findings=(*after.findings, *_second_fuse(fixture, design)))
    name = _called(after.fixture)
    if name in [_called(design.fixture), *map(_called, design.fixture.alternatives[: number - 2])]:
        name = f"{name} ({number})"
    stopped = tuple(one for one in after.findings if one.level == "stop")
    if stopped:
        fresh = fresh_stops(after, design) or stopped
        return Alternative(number, name, after, "stop", fresh, _own(after))
    moved = tuple(
        new for old, new in paired(design.findings, after.findings)
        if new is not None and worse(old, new)
    )  # fmt: skip
    return Alternative(number, name, after, "advice" if moved else "holds", moved, _own(after))


def _own(design: Design) -> tuple[Own, ...]:
    """What stays with a supply, each with the figures that say what it must be."""
    figures = {"fuse": ("rating",), "cut_off": ("trips_at",), "lead": ("size", "length")}
    found = []
    for stage in design.fixture.supply.chain:
        name = _name(stage, design.fixture)
        values = [design.values.get(f"{name}.{one}") for one in figures.get(stage.kind, ())]
        label = getattr(stage.part, "label", "")
        found.append(Own(stage.kind, label, tuple(one for one in values if one is not None)))
    return tuple(found)


def _called(fixture: Fixture) -> str:
    supply = fixture.supply
    return supply.name or getattr(supply.part, "label", supply.kind)


def _made(fixture: Fixture, design: Design) -> Fixture:
    """The fixture as it was read with another supply, with all that was chosen for the light."""
    made_of = design.fixture
    chain = tuple(
        stage.model_copy(update={"part": made.part})
        if isinstance(getattr(stage, "part", None), Auto) else stage
        for stage, made in zip(fixture.chain, made_of.chain, strict=True)
    )  # fmt: skip
    rows = fixture.rows.model_copy(update={"fed_from": design.facts["feed"]})
    made = fixture.model_copy(update={"chain": chain, "rows": rows})
    made._held = Held(_held(fixture, design), supply_cable(made_of)[1].named("link"))
    return made


def _held(fixture: Fixture, design: Design) -> dict[str, Given]:
    """What was chosen for the light, by the names that it has with another supply."""
    pairs = zip(design.fixture.chain, fixture.chain, strict=True)
    names = {_name(made, design.fixture): _name(stage, fixture) for made, stage in pairs}
    # What stays with the first supply is no part of the light.
    own = {_name(stage, design.fixture) for stage in design.fixture.supply.chain}
    found = {}
    for name, value in design.values.items():
        prefix, point, rest = name.partition(".")
        if isinstance(value, Given) and prefix not in own:
            new = f"{names.get(prefix, prefix)}{point}{rest}"
            found[new] = named(value, new)
    return found


def _name(stage: AnyStage, fixture: Fixture) -> str:
    """What the values of a stage are called: a light's lead is `lead_2` behind a supply's own."""
    same = [one for one in all_stages(fixture) if one.kind == stage.kind]
    number = next(n for n, one in enumerate(same, 1) if one is stage)
    return stage.kind if number == 1 else f"{stage.kind}_{number}"


def _second_fuse(fixture: Fixture, design: Design) -> tuple[Finding, ...]:
    """What the light's own fuse says where the supply has one too: the subjects know one fuse."""
    own = tuple(one for one in fixture.supply.chain if not isinstance(one, FuseStage))
    if len(own) == len(fixture.supply.chain):
        return ()
    chain = tuple(
        one.model_copy(update=renamed(one, one.kind)) if isinstance(one, FuseStage) else one
        for one in fixture.chain
    )
    supply = fixture.supply.model_copy(update={"chain": own})
    alone = fixture.model_copy(update={"supply": supply, "chain": chain})
    if first_stage(alone, FuseStage) is None:
        return ()
    after = settle(_made(alone, design), EARLY, mends=False)
    return tuple(one for one in after.findings if one.id in OF_FUSE)


def _finding(design: Design, one: Alternative, lower: bool) -> Finding:
    stops = one.level == "stop"
    found = _lower(design, one) if lower and stops else None
    names = {"supply": one.name, "kept": one.level == "holds", "stops": stops,
             "reasons": one.reasons, "usable": found and found.light,
             "key": found.key if found else "",
             "output": found.output if found else ""}  # fmt: skip
    place = design.fixture.alternatives[one.number - 2].place("supplies.1")
    # A lower setting is no mend: it changes the light for every supply. It is told beside.
    mends = (Mend({f"supplies.{one.number}": "(left out)"}),) if stops else ()
    return Finding("supply-alternative", one.level, None, None, place, names, mends)


def _lower(design: Design, one: Alternative) -> Usable | None:
    """The highest full setting at which this supply stops nothing."""

    def change(_: Fixture, changes: Mapping[str, str]) -> Fixture:
        return _made(changed(design.fixture, changes).alternatives[one.number - 2], design)

    found = usable(one.design, change, EARLY, DECIDED)
    if found is None or found.left:
        return None
    fuse = _second_fuse(
        changed(design.fixture, {found.key: found.output}).alternatives[one.number - 2], design
    )
    return None if any(other.level == "stop" for other in fuse) else found
