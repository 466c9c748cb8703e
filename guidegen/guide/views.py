"""What pages see of things that other rooms made: texts, ready to print."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from markupsafe import Markup

from guidegen.calc.cutting import Bar, Sheet
from guidegen.calc.led_group import dimmed_current
from guidegen.content.words import Words
from guidegen.design.dimming import CURVE
from guidegen.design.discharge import CHARGES
from guidegen.design.efficiency import COLUMNS, TABLE
from guidegen.design.making import Cutting
from guidegen.design.model import Model
from guidegen.design.parts import part_of, regulator_of
from guidegen.design.result import Design
from guidegen.design.solved_curve import CurvePoint
from guidegen.guide.cautions import Placed
from guidegen.guide.plan import Work
from guidegen.guide.routes import Way, step_ways
from guidegen.guide.solved import Solved, shown
from guidegen.guide.speech import ASKS_FIRST, ENDS_READ, WAYS
from guidegen.guide.step import Step
from guidegen.guide.ticks import ticks
from guidegen.guide.walk import SolvedRow, WalkRow
from guidegen.guide.workings import hours
from guidegen.kinds import FineAmpere, FineMetre, FinePercent, Minute, Percent, Volt, Watt, kind_of
from guidegen.values import Value

_LENGTH = kind_of(FineMetre)
#: Where the last tenth of the light begins.
_LAST = 0.9


class Ready:
    """An object some of whose texts were written by the renderer: they are escaped already.

    Parameters
    ----------
    item : object
        What is looked through.
    names : collection of str
        Its attributes that hold such texts.
    **more
        Further attributes.
    """

    def __init__(self, item: Any, names: Iterable[str], **more: Any) -> None:
        self._item, self._names, self._more = item, frozenset(names), more

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        if name in self._more:
            return self._more[name]
        value = getattr(self._item, name)
        return Markup(value) if name in self._names and isinstance(value, str) else value


CAUTION = ("title", "hazard", "consequence", "avoid", "defers_to", "body", "brief")
#: Messages of four lines that a third of a sheet holds.
MOST_IN_A_BOX = 5
#: Claims whose one limit is the least reading, and those whose it is the greatest.
FROM_BELOW, FROM_ABOVE = ("open", "not-short"), ("joined",)
CAUSE = ("cause", "test", "expect", "action", "retest")


def caution(item: Any) -> Ready:
    """A safety message."""
    return Ready(item, CAUTION)


def boxes(cautions: Iterable[Any], steps: Sequence[Step] = ()) -> list[dict[str, Any]]:
    """Boxes of short messages, one signal word each, none taller than a third of a sheet.

    Where the page has these steps, a message says no more than at which of them it stands.
    """
    found: list[dict[str, Any]] = []
    for (signal, word), group in itertools.groupby(cautions, lambda one: (one.signal, one.word)):
        said = [Ready(one, CAUTION, at=[step for step in steps if step.id in one.steps])
                for one in group]  # fmt: skip
        found += [
            {"signal": signal, "word": word, "cautions": said[start : start + MOST_IN_A_BOX]}
            for start in range(0, len(said), MOST_IN_A_BOX)
        ]
    return found


def step(
    item: Any, model: Model, steps: Sequence[Step], symptoms: Mapping[str, str], words: Words
) -> Ready:
    """A step with its messages, and where each reading leads that is not as it must be.

    What is new on the page stands in full. What stood before is a line: its first order, or what
    comes of it and all orders where the step can itself bring it about, and where it is in full.
    """
    there = {one.id: one for one in steps}
    whole = [caution(placed.caution) for placed in item.cautions if placed.full]
    brief = [Ready(placed.caution, CAUTION, line=_line(placed), at=there[placed.first])
             for placed in item.cautions if not placed.full]  # fmt: skip
    foot, led = _ways(item, symptoms, words)
    ordered = ASKS_FIRST.sub(r"\1\3 \2", WAYS.sub(lambda m: led[int(m[1])], str(item.body)))
    body = ENDS_READ.sub(r'\1<span class="gg-do">\2</span> \3', ordered)
    return Ready(item, ("goal", "no_check"), full=whole, short=brief, body=Markup(body),
                 bench=body != ordered, ticks=ticks(item, model), foot=foot)  # fmt: skip


def _ways(item: Any, symptoms: Mapping[str, str], words: Words) -> tuple[str, dict[int, str]]:
    """(the entry for all readings of the step, or by number what stands beside each)."""
    every = step_ways(item, symptoms)
    plain = {(Way("", item.if_not),)}
    if set(every.values()) <= plain:
        return item.if_not, dict.fromkeys(every, "")
    return "", {
        number: "".join(
            f" {words.phrases[f'way_{way.how}']}: "
            f"[{symptoms[way.fault]}](troubleshooting.md#fault-{way.fault})."
            for way in found
        )
        for number, found in every.items()
    }


def _line(placed: Placed) -> Markup:
    one = placed.caution
    return Markup(f"{one.consequence} {one.avoid}" if placed.own else one.order)


def readings(steps: Iterable[Step], words: Words) -> list[dict[str, Any]]:
    """A line of the record for every reading: what is expected, its limits, how many points."""
    return [
        {
            "step": step.number,
            "kind": one.instrument,
            "instrument": Markup(one.by),
            "where": one.where or words.phrases["axis"],
            "expected": Markup(one.target if one.low or one.high else one.says),
            "low": one.low or (one.target if one.holds in FROM_BELOW else "") or "–",
            "high": one.high or (one.target if one.holds in FROM_ABOVE else "") or "–",
            "several": len(one.probes) > 1,
        }
        for step in steps
        for one in step.reads
        if not one.absent
    ]


def log_times(burn_in: float) -> list[str]:
    r"""When temperatures are read in the log: every ten minutes from an hour on.

    Parameters
    ----------
    burn_in : float
        How long it burns. [h]

    Examples
    --------
    >>> log_times(1.5)
    ['60\xa0min', '70\xa0min', '80\xa0min', '90\xa0min']
    """
    minute = kind_of(Minute)
    return [minute.text(time) for time in range(60, round(burn_in * 60) + 1, 10)]


def fault(item: Any) -> Ready:
    """A symptom with its causes."""
    return Ready(item, ("symptom", "body"), causes=[Ready(c, CAUSE) for c in item.causes])


def cut_sheets(cutting: Cutting) -> list[dict[str, Any]]:
    """Sheets by material, numbered as in the drawings, with every cut as text."""
    numbers = itertools.count(1)
    return [
        {
            "title": f"{work.part.label}, {work.thickness}",
            "proven": work.plan.proven,
            "sheets": [_sheet(next(numbers), sheet) for sheet in work.plan.sheets],
        }
        for work in cutting.sheets
    ]


def _sheet(number: int, sheet: Sheet) -> dict[str, Any]:
    return {
        "number": number,
        "name": sheet.stock.name,
        "cuts": [
            {
                "number": cut.number,
                "plate": cut.plate,
                "across": cut.across,
                "edge_from": cut.edge_from,
                "at": _LENGTH.text(cut.at),
                "gives": " + ".join(name for name in cut.gives if name),
            }
            for cut in sheet.cuts
        ],
        "keeps": ", ".join(
            f"{_LENGTH.text(o.width)} × {_LENGTH.text(o.height)}" for o in sheet.offcuts
        ),
    }


def cut_bars(cutting: Cutting) -> list[dict[str, Any]]:
    """Bars by material, with every piece as text."""
    return [
        {
            "title": work.part.label,
            "proven": work.plan.proven,
            "bars": [_bar(bar) for bar in work.plan.bars],
        }
        for work in cutting.bars
    ]


def _bar(bar: Bar) -> dict[str, str]:
    pieces = [f"{piece.name or piece.label}: {_LENGTH.text(piece.length)}" for piece in bar.pieces]
    return {
        "name": bar.stock.name,
        "pieces": ", ".join(pieces),
        "offcut": _LENGTH.text(bar.offcut),
    }


def plan(work: Work, words: Words) -> dict[str, Any]:
    """The work plan with its times as text."""

    def said(minutes: float) -> str:
        return hours(minutes / 60)

    return {
        "alone": said(work.alone.length),
        "together": said(work.together.length),
        "longest": said(work.longest_time),
        "longest_hands_on": said(work.longest_hands_on),
        "way": work.longest,
        "tools": work.least_tools,
        "turns": [
            {"begins": said(turn.begins), "person": words.phrases[_who(turn.people)],
             "checks": [{"person": words.phrases[f"person_{one}"],
                         "steps": ", ".join(step.number for step in steps)}
                        for one, steps in turn.checks if steps],
             "step": turn.step,
             "rest": turn.rest,
             "takes": turn.step.minutes.kind.text(turn.ends - turn.begins),
             "waits": said(turn.done - turn.ends) if turn.done > turn.ends else ""}
            for turn in work.together.turns
        ],
    }  # fmt: skip


def _who(people: Sequence[int]) -> str:
    return "both" if len(people) > 1 else f"person_{people[0]}"


def walked(rows: Sequence[WalkRow], words: Words) -> list[dict[str, str]]:
    """The walk's table: what each step adds, and the state that it begins with."""
    return [
        {
            "step": row.step.partition(" ")[0],
            "adds": ", ".join(row.adds) or "–",
            "power": words.phrases["power_on"] if row.before.power else words.phrases["power_off"],
            "readable": str(len(row.readable)),
        }
        for row in rows
    ]


def solved(rows: Sequence[SolvedRow], words: Words) -> list[dict[str, str]]:
    """The table of solved readings: where, what is printed, and what the circuit gives."""
    return [
        {
            "step": row.step.partition(" ")[0],
            "where": row.solved.reading.where,
            "says": row.solved.reading.says,
            "solved": _solved(row.solved, words),
            "tried": "; ".join(row.solved.tried),
        }
        for row in rows
        if row.solved.reading.expected is not None
    ]


def _solved(one: Solved, words: Words) -> str:
    """One number, or the least and the greatest of several points."""
    texts = [shown(one.reading, value) or words.phrases["open_circuit"]
             for value in (one.low, one.high)]  # fmt: skip
    return f" {words.phrases['to']} ".join(dict.fromkeys(texts))


def dimming(points: Sequence[CurvePoint], values: Mapping[str, Value]) -> dict[str, Any]:
    """How the light dims: its points, and the share of the range that its last tenth takes.

    Beside each point stands the current of one group and one resistance: the sum by hand.
    """
    known = {key: values[name].si for key, name in CURVE.items()}
    span = points[-1].volts - points[0].volts
    last = next(point for point in points if point.light >= _LAST)
    return {
        "curve": [{"light": kind_of(FinePercent).text(point.light),
                   "volts": kind_of(Volt).text(point.volts),
                   "amps": kind_of(FineAmpere).text(point.amps),
                   "watts": kind_of(Watt).text(point.watts),
                   "by_hand": kind_of(FineAmpere).text(
                       dimmed_current(output=point.volts, **known))} for point in points],
        "curve_last": kind_of(Percent).text((points[-1].volts - last.volts) / span),
    }  # fmt: skip


def efficiency_points(design: Design) -> list[dict[str, str]]:
    """The points of the regulator's data sheet as text, by column; empty: it has none."""
    stage = regulator_of(design.fixture)
    rows = part_of(stage).tables.get(TABLE, ()) if stage is not None else ()
    return [dict(zip(COLUMNS, map(str, row), strict=True)) for row in rows]


def charges(design: Design) -> list[dict[str, str]]:
    """The light as its battery empties, down to its end; empty where it stays full."""
    if not design.facts["fades"]:
        return []
    rows = [(f"{one}.charge", f"{one}.battery", f"{one}.time") for one in CHARGES
            if f"{one}.time" in design.values]  # fmt: skip
    rows.append(("battery.ends_at", "battery.last", "battery.run_time"))
    return [
        {"charge": str(design.values[charge]), "time": str(design.values[time]),
         **{key: str(design.values[f"{name}_{key}"]) for key in ("voltage", "output", "light")}}
        for charge, name, time in rows
    ]  # fmt: skip


def corners(design: Design, words: Words) -> list[dict[str, str]]:
    """The light at the ends of its supply and its control, in words."""
    found = []
    for one in design.result("corners"):
        of = {key: str(value) for key in ("output", "light", "input", "drawn", "heat", "share")
              if (value := design.values.get(f"corner_{one.number}.{key}"))}  # fmt: skip
        lit = one.limited_by
        found.append({
            **of,
            "supply": str(design.values[f"supply.{one.supply}"]),
            "control": words.phrases[f"control_{one.control}"],
            "light": of["light"] if lit else words.phrases["dark"],
            "nearest": f"{words.role(lit).one}, {of['share']}" if lit else "–",
        })  # fmt: skip
    return found
