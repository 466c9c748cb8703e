"""`guide.json`: the whole guide for other programs. Its schema is `record_schema`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import isfinite
from typing import Any

from guidegen import __version__
from guidegen.design.making import Cutting
from guidegen.design.model import Conductor, Part
from guidegen.design.result import Choice, Design
from guidegen.guide.bill import Item
from guidegen.guide.sentences import Said
from guidegen.guide.step import Reading, Step
from guidegen.guide.supplies import OtherSupply
from guidegen.guide.walk import SolvedRow
from guidegen.units import rounded
from guidegen.values import Given, Result, Value, band, references

#: Raised when a key changes its meaning or goes.
VERSION = 1
#: The numbers that a rebuild compares, in this order, as far as a fixture has them.
MAIN = (
    "setting.full", "setting.low", "panel.current", "panel.power", "input.highest_current",
    "adapter.margin", "battery.run_time", "fuse.rating", "limit.set", "row.drop_share",
    "rail.drop_share", "lead.drop_share", "lead.size", "feed.size", "rail.size",
    "control.worst_fault_output", "board.tape_temperature", "box.temperature", "light.illuminance",
    "light.evenness", "board.width", "board.height", "body.mass", "tape.reels",
)  # fmt: skip


def record(  # noqa: PLR0913 - a record has this many sources
    design: Design,
    head: dict[str, Any],
    findings: Sequence[Said],
    steps: Sequence[Step],
    items: Sequence[Item],
    solved: Sequence[SolvedRow] = (),
    *,
    supplies: Sequence[OtherSupply] = (),
) -> bytes:
    """The record as UTF-8 JSON, the same bytes for the same guide.

    Parameters
    ----------
    design : Design
        Settled and complete.
    head : dict
        What identifies the guide: name, spec, revision, fingerprint.
    findings : sequence of Said
        All findings of the design, in its order.
    steps : sequence of Step
        In working order.
    items : sequence of Item
        Lines of the parts list.
    solved : sequence of SolvedRow
        What the walk's circuits gave for the readings.
    supplies : sequence of OtherSupply
        The light with each further supply of its spec.

    Returns
    -------
    bytes
        `guide.json`; its schema is `record_schema`.

    Raises
    ------
    TypeError
        If a result has neither a law nor sensitivities: its band is not known.
    """
    data = {
        "record": VERSION,
        "generator": f"guidegen {__version__}",
        **head,
        "main": {name: value_entry(design.values[name]) for name in MAIN if name in design.values},
        "givens": {n: value_entry(v) for n, v in design.values.items() if isinstance(v, Given)},
        "values": {n: value_entry(v) for n, v in design.values.items() if isinstance(v, Result)},
        "facts": dict(sorted(design.facts.items())),
        "choices": [_choice(choice) for choice in design.choices],
        "findings": [_finding(design, said, number) for number, said in enumerate(findings)],
        "other_supplies": [_supply(one) for one in supplies],
        "parts": [_part(part) for part in design.model.parts],
        "bill": [vars(item) for item in items],
        "cuts": _cuts(design),
        "connections": [_connection(wire) for wire in design.model.conductors],
        "joints": [vars(joint) for joint in design.model.joints],
        "steps": [_step(step) for step in steps],
        "checks": [check | {"solved": _solved(check["id"], solved)}
                   for step in steps for check in _checks(step)],
    }  # fmt: skip
    return (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()


def value_entry(value: Value) -> dict[str, Any]:
    """One value: text, number and band in SI, where it comes from.

    Raises
    ------
    TypeError
        If its band is not known.
    """
    low, high = band(value)
    entry: dict[str, Any] = {
        "text": str(value),
        "si": rounded(value.si),
        "low": rounded(low),
        "high": rounded(high),
        "unit": value.kind.si,
    }
    if isinstance(value, Given):
        return {**entry, "source": value.source}
    if isinstance(value, Result):
        inputs = {k: v.name for k, v in value.inputs.items() if isinstance(v, Value)}
        return {**entry, "law": value.law.__name__, "inputs": inputs,
                "source": references(value.law)}  # fmt: skip
    return entry


def _supply(one: OtherSupply) -> dict[str, Any]:
    return {
        "number": one.number,
        "name": one.name,
        "level": one.level,
        "text": one.text,
        "battery": one.battery,
        **{name: value_entry(value) if value else None for name, value in one.values.items()},
        "usable_output": one.output,
        "own_parts": list(one.own),
    }


def _choice(choice: Choice) -> dict[str, Any]:
    return {
        "id": choice.id,
        "chosen": choice.chosen,
        "wanted": choice.wanted.name if choice.wanted else None,
        "margin": choice.margin.name if choice.margin else None,
    }


def _finding(design: Design, said: Said, number: int) -> dict[str, Any]:
    finding = design.findings[number]
    return {
        "id": said.id,
        "level": said.level,
        "text": said.text,
        "required": value_entry(finding.required) if finding.required else None,
        "found": value_entry(finding.found) if finding.found else None,
        "place": said.place,
        "mends": [
            {
                "changes": dict(mend.changes),
                "effect": value_entry(mend.effect) if mend.effect else None,
            }
            for mend in finding.mends
        ],
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "ref": part.ref,
        "role": part.role,
        "on": part.on,
        "count": part.count,
        "made": part.made,
        "material": part.material,
        "key": part.key,
        "size_m": [rounded(value.si) for value in part.size],
    }


def _connection(wire: Conductor) -> dict[str, Any]:
    return {
        "ref": wire.ref,
        "role": wire.role,
        "from": wire.start,
        "to": wire.end,
        "polarity": wire.polarity,
        "material": wire.material,
        "area_m2": rounded(wire.size.si),
        "colour": wire.colour,
        "length_m": rounded(wire.length.si),
        "ends": [wire.start_treatment, wire.end_treatment],
        "current_a": rounded(wire.current.si),
    }


def _cuts(design: Design) -> dict[str, Any]:
    cutting: Cutting = design.result("making")
    bars = [*cutting.bars, *([cutting.reels] if cutting.reels else [])]
    return {
        "sheets": [
            {
                "material": work.part.key,
                "thickness_m": rounded(work.thickness.si),
                "proven": work.plan.proven,
                "sheets": [
                    {
                        "size_m": [sheet.stock.width, sheet.stock.height],
                        "pieces": [
                            {"name": p.name or p.label, "at_m": [rounded(p.x), rounded(p.y)],
                             "size_m": [rounded(p.width), rounded(p.height)]}
                            for p in sheet.placed
                        ],
                    }
                    for sheet in work.plan.sheets
                ],
            }
            for work in cutting.sheets
        ],
        "bars": [
            {
                "material": work.part.key,
                "proven": work.plan.proven,
                "bars": [
                    {"length_m": bar.stock.length,
                     "pieces": [{"name": p.name or p.label, "length_m": rounded(p.length)}
                                for p in bar.pieces]}
                    for bar in work.plan.bars
                ],
            }
            for work in bars
        ],
    }  # fmt: skip


def _step(step: Step) -> dict[str, Any]:
    return {
        "id": step.id,
        "number": step.number,
        "stage": step.stage,
        "goal": step.goal,
        "who": step.who,
        "hold": step.hold,
        "minutes": step.minutes.si,
        "waiting_h": step.waiting.si if step.waiting else 0,
        "needs": list(step.needs),
        "tools": [tool.id for tool in step.tools],
        "acts": [act.text for act in step.acts],
        "checks": [check["id"] for check in _checks(step)],
        "cautions": [placed.caution.id for placed in step.cautions],
    }


def _checks(step: Step) -> list[dict[str, Any]]:
    return [_check(step, reading) for reading in step.reads if not reading.absent]


def _check(step: Step, reading: Reading) -> dict[str, Any]:
    return {
        "id": f"{step.id}.{reading.number}",
        "step": step.id,
        "instrument": reading.instrument,
        "points": [list(pair) for pair in reading.probes],
        "parts": list(reading.parts),
        "holds": reading.holds,
        "value": reading.expected.name if reading.expected else None,
        "target": reading.target,
        "low": reading.low,
        "high": reading.high,
    }


def _solved(check: str, rows: Sequence[SolvedRow]) -> list[float | None]:
    """What each pair of points gives; None: open."""
    for row in rows:
        if f"{row.step.partition(' ')[2]}.{row.solved.reading.number}" == check:
            return [rounded(v) if isfinite(v) else None for v in row.solved.values]
    return []
