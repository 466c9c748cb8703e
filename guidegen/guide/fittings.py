"""Sizes of the lugs, ferrules and sleeves that the ends of the wires ask for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from guidegen.content.words import Words
from guidegen.design.ferrules import FERRULE, TWIN, ferrule_for
from guidegen.design.looks import sleeve_over
from guidegen.design.model import Conductor, Model
from guidegen.design.parts import connector_label, supply_part
from guidegen.design.result import Design
from guidegen.guide.step import Step

#: Consumables that go on the ends of wires: the joint that each is for.
SLEEVES = "heat-shrink"
#: By the treatment of an end: the consumable, and how many ends one takes.
FERRULES = {FERRULE: ("ferrules", 1), TWIN: ("twin-ferrules", 2)}


def fittings(design: Design, steps: Sequence[Step], words: Words) -> Mapping[str, tuple[str, ...]]:
    """What lugs, ferrules and sleeves must fit, by the id of the consumable: each size."""
    model, phrases = design.model, words.phrases
    ends = Counter(
        (treatment, wire.size.si)
        for wire in model.conductors
        for treatment in (wire.start_treatment, wire.end_treatment)
    )
    texts = {wire.size.si: wire.size_text for wire in model.conductors}
    bolts = {"lug": _pole(design), "bolt_lug": str(design.values.get("fuse_holder.stud") or "")}
    said: dict[str, list[str]] = defaultdict(list)
    for (treatment, area), count in ends.items():
        size = texts[area]
        if treatment in bolts:
            phrase = phrases["for_pole" if treatment == "lug" else "for_stud"]
            said["lugs"].append(phrase.format(count=count, size=size, bolt=bolts[treatment]))
        elif treatment in FERRULES:
            name, each = FERRULES[treatment]
            barrel = ferrule_for(area, treatment).barrel
            said[name].append(phrases[f"for_{treatment}"].format(
                count=count // each, size=size, barrel=barrel))  # fmt: skip
    for wire in _sleeved(model, steps):
        said[SLEEVES].append(
            phrases["for_joint"].format(bore=sleeve_over(wire.size), size=wire.size_text)
        )
    said |= {name: [text] for name, text in _test_lead(design, words).items()}
    return {name: tuple(dict.fromkeys(texts)) for name, texts in said.items()}


def wider(name: str, words: Words) -> tuple[str, ...]:
    """What holds beside the sizes of a consumable."""
    return (words.phrases["wider_lug"],) if name == SLEEVES else ()


def _test_lead(design: Design, words: Words) -> Mapping[str, str]:
    """What the lead from a bench supply is made of: it stands in for the supply."""
    model, phrases = design.model, words.phrases
    current = design.values["bench.supply_current"]
    found = {"bench-plugs": phrases["for_bench_plugs"].format(current=current)}
    for part in model.by_role("connector")[:1]:
        joined = [wire for wire in model.conductors
                  if f"{part.ref}:+" in (wire.start, wire.end)]  # fmt: skip
        thickest = max(joined, key=lambda wire: wire.size.si)
        found["test-cable"] = phrases["for_test_cable"].format(size=thickest.size_text)
        found["test-plug"] = phrases["for_test_plug"].format(
            ref=part.ref, part=connector_label(design.fixture), current=current,
            voltage=design.values["bench.supply_voltage"],
        )  # fmt: skip
    return found


def _pole(design: Design) -> str:
    """Bolt of the battery's pole."""
    return str(supply_part(design.fixture).get("pole") or "")


def _sleeved(model: Model, steps: Sequence[Step]) -> list[Conductor]:
    """One conductor of each size whose soldered ends get a sleeve, in the order of the work."""
    joints = {joint.ref: joint for joint in model.joints if joint.kind == "solder"}
    wires = {wire.ref: wire for wire in model.conductors}
    found: dict[float, Conductor] = {}
    for step in steps:
        if any(use.id == SLEEVES for use in step.consumables):
            for ref in (ref for act in step.acts for ref in act.joints if ref in joints):
                wire = wires.get(joints[ref].conductor)
                if wire is not None:
                    found.setdefault(wire.size.si, wire)
    return list(found.values())
