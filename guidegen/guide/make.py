"""The one road from a design to its guide."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from html import unescape
from typing import Any

from markupsafe import Markup

from guidegen.content.files import SearchPath, read
from guidegen.content.render import Renderer
from guidegen.content.words import Words, load_words
from guidegen.design.parts import part_of, pulse_of, regulator_of
from guidegen.design.result import Design
from guidegen.design.solved_curve import curve
from guidegen.design.solved_faults import UnsolvedError
from guidegen.design.spice import circuit_files
from guidegen.errors import GuidegenError
from guidegen.folders import slug
from guidegen.guide import bill, cautions, drilling, faults, sheets, tops, views, workings
from guidegen.guide.bench import Bench, all_facts
from guidegen.guide.charts import chart_requests, tables
from guidegen.guide.fingerprint import fingerprint
from guidegen.guide.model import Guide, Page
from guidegen.guide.not_needed import not_needed
from guidegen.guide.orders import orders
from guidegen.guide.plan import work
from guidegen.guide.record import record
from guidegen.guide.schedule import schedule
from guidegen.guide.selectors import Chooser
from guidegen.guide.sentences import Sentences
from guidegen.guide.shorts import dead_shorts, shorts
from guidegen.guide.solved import Solver
from guidegen.guide.speech import cut_lengths
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps
from guidegen.guide.supplies import other_supplies
from guidegen.guide.tracing import Tracing, trace
from guidegen.guide.walk import WalkReport, walk
from guidegen.values import Value

#: In the order of the work; titles are in `templates/words/`.
PAGES = ("index", "safety", "parts", "cutting", "templates", "wiring", "plan", "steps",
         "calibration", "record", "performance", "care", "troubleshooting", "workings",
         "revisions")  # fmt: skip

#: Steps in which a cut-off is tried, and set where it can be.
CUT_OFF_STEPS = ("cut-off-tested", "supply-cut-off-tested")

#: Draws the figures: a design and the step pictures that are wanted, by name.
Draw = Callable[[Design, Sequence[Step]], Mapping[str, Any]]


class WalkError(GuidegenError):
    """The steps can't be followed as they stand: the guide is not published."""

    def __init__(self, report: WalkReport) -> None:
        self.report = report
        lines = "\n".join(f"  {trouble}" for trouble in report.findings)
        super().__init__(f"the steps can't be followed as they stand:\n{lines}")


def make(design: Design, search: SearchPath, draw: Draw) -> Guide:
    """Make the guide of a design.

    Parameters
    ----------
    design : Design
        Settled and complete.
    search : SearchPath
        Where templates are looked for.
    draw : callable
        Draws the figures; passed in because this room knows no drawing.

    Raises
    ------
    ContentError
        If a content file is at fault.
    WalkError
        If the steps can't be followed.
    GuidegenError
        If the design is not complete.
    """
    if not design.complete:
        raise GuidegenError("the fixture could not be computed: mend what stops it first")
    words = load_words(search)
    facts = {**design.facts, "stops": design.stops}
    parts = (facts, design.model, design.values, words)
    steps = load_steps(search, *parts)
    chosen = cautions.load_cautions(search, *parts, steps)
    steps = cautions.placed(steps, chosen, lambda step: "steps")
    found_faults = faults.load_faults(search, *parts, steps)
    known = all_facts(facts, design.values)
    report = walk(design.model, steps, known, Solver())
    if design.stops:
        # A light that is not to be built may well not work: its guide says so, and shows why.
        kept = tuple(one for one in report.findings if one.rule != "solved")
        report = replace(report, findings=kept)
    if not report.passed:
        raise WalkError(report)
    planned = work(design.model, steps, known)
    traced = None if design.stops else _traced(design, words)
    figures = draw(design, steps)
    symptoms = {one.id: Markup(one.symptom.rstrip(".")) for one in found_faults}
    desk = _Desk(design, search, words, known, steps, symptoms)
    head = desk.head()
    sentences = Sentences(search, words=words)
    said = [sentences.say(finding) for finding in design.findings]
    items = bill.items(design, steps, desk.bench)
    others = other_supplies(design, said, words)
    charts = chart_requests(design, words)
    context = desk.context(head, said, items, figures) | {
        "chart_tables": tables(charts),
        "chosen": chosen,
        "other_supplies": [views.Ready(one, ("text",)) for one in others],
        "messages": lambda *ids: [views.caution(c) for c in chosen.chosen if c.id in ids],
        "cautions": [views.caution(one) for one in chosen.chosen],
        "not_applying": chosen.not_applying,
        "faults": [views.fault(one) for one in found_faults],
        "symptoms": symptoms,
        "tracing": traced,
        **(
            views.dimming(curve(design), design.values)
            if facts.get("control") and regulator_of(design.fixture)
            else {"curve": ()}
        ),
        "walk_rows": views.walked(report.rows, words),
        "plan": views.plan(planned, words),
        "not_needed": not_needed(search, facts, design.values, words, steps),
        "solved_rows": views.solved(report.solved, words),
    }
    pages = tuple(Page(f"{name}.md", words.pages[name], desk.page(name, context)) for name in PAGES)
    # Other programs get the same sentences; all that the page adds to them is entities.
    plain = [replace(one, text=unescape(one.text)) for one in said]
    data = {
        "guide.json": record(design, head, plain, steps, items, report.solved,
                             supplies=other_supplies(design, plain, words)),
        "connections.csv": _csv(context["schedule"]),
        **(traced.files if traced else {}),
        **circuit_files(design),
    }  # fmt: skip
    revision = design.fixture.revisions[0]
    return Guide(
        slug(design.fixture.file), design.fixture.fixture.name, revision.revision, revision.date,
        head["fingerprint"], design.fixture.guide.paper, design.stops,
        words.phrases["certification"], pages, figures, data,
        charts, design, steps, chosen, found_faults, report,
    )  # fmt: skip


def _traced(design: Design, words: Words) -> Tracing | None:
    """The solved faults; none where they can't be solved: the page then has symptoms alone."""
    try:
        return trace(design, words)
    except UnsolvedError:
        return None


class _Desk:
    """Writes pages."""

    def __init__(
        self,
        design: Design,
        search: SearchPath,
        words: Words,
        facts: Mapping[str, Any],
        steps: Sequence[Step],
        symptoms: Mapping[str, str],
    ) -> None:
        self.design, self.search, self.words, self.steps = design, search, words, steps
        self.renderer = Renderer(search)
        numbers = {step.id: step.number for step in steps}
        self.bench = Bench(Chooser(design.model, words), design.values, facts,
                           self.renderer, numbers)  # fmt: skip
        self.shown = [views.step(step, design.model, steps, symptoms, words) for step in steps]

    def head(self) -> dict[str, Any]:
        """What identifies the guide."""
        fixture = self.design.fixture
        newest = fixture.revisions[0]
        return {
            "name": fixture.fixture.name,
            "purpose": fixture.fixture.purpose,
            "spec": fixture.file,
            "revision": newest.revision,
            "date": newest.date.isoformat() if newest.date else "undated",
            "fingerprint": fingerprint(fixture, self.search),
            "stop": self.design.stops,
            "publisher": fixture.guide.publisher,
        }

    def context(
        self, head: dict[str, Any], said: Sequence[Any], items: Sequence[Any], figures: Any
    ) -> dict[str, Any]:
        """What every page may use."""
        design = self.design
        readings = views.readings(self.steps, self.words)
        minutes = sum(map(_printed, self.steps))
        waiting = sum(step.waiting.si for step in self.steps if step.waiting)
        return {
            **self.bench.speech().context(),
            "head": head,
            "stands": [
                {"name": one.name, "side": one.side, "angle": one.angle, "distance": one.distance}
                for one in design.fixture.light.placed if len(design.fixture.light.placed) > 1
            ],
            "revisions": [
                {"revision": one.revision, "change": one.change,
                 "date": one.date.isoformat() if one.date else "undated"}
                for one in design.fixture.revisions
            ],
            "findings": [views.Ready(one, ("text",)) for one in said],
            "shorts": shorts(design, self.words),
            "dead_shorts": dead_shorts(design, self.words),
            "open": [views.Ready(one, ("text",)) for one in said
                     if one.level != "holds" and not one.from_memory],
            "items": [views.Ready(item, ("at_least",)) for item in items],
            **self._turns(),
            "tools": bill.tools(self.steps, self.bench),
            "consumables": bill.consumables(self.steps, design, self.words),
            "orders": orders(design, self.bench),
            "steps": self.shown,
            "cut_off_step": next((s.id for s in self.steps if s.id in CUT_OFF_STEPS), ""),
            "cut_off_meter": next((one.by for s in self.steps if s.id in CUT_OFF_STEPS
                                   for one in s.reads), ""),
            "templates": [name for name in figures if name.startswith("template-")],
            "tall": sheets.tall(self.shown, figures, design.fixture.guide.paper),
            "stages": _stages(self.shown),
            "readings": readings,
            "warm": [row for row in readings if row["kind"] == "celsius"],
            "log_times": views.log_times(design.values["burn_in.hours"].si),
            "holds": [step for step in self.shown if step.hold],
            "cut_lengths": lambda role: cut_lengths(role, Chooser(design.model, self.words)),
            "schedule": schedule(design, self.steps, self.words),
            "cut_sheets": views.cut_sheets(design.result("making")),
            "cut_bars": views.cut_bars(design.result("making")),
            "drawn": lambda name: _drawn(name, figures),
            "step_figures": {step.id: f"step-{step.id}" for step in self.steps
                             if f"step-{step.id}" in figures},
            "workings": workings.workings(design, self.words, self.search),
            "solved": workings.solved(design, self.words, self.search),
            "network_of": workings.network_of(design, self.words),
            "network_tried": ", ".join(design.result("solved panel").tried),
            "givens": workings.givens(design, self.words),
            "choices": workings.choices(design, self.words),
            "widest": [views.Ready(one, (), name=workings.called(one.part, self.words))
                       for one in design.result("solved bands")],
            "sampled": design.result("measured"),
            "corners": views.corners(design, self.words),
            "charges": views.charges(design),
            "efficiency_points": views.efficiency_points(design),
            "words": self.words,
            "designations": workings.designations(design, self.words),
            "hands_on": workings.hours(minutes / 60),
            "waiting": workings.hours(waiting),
            "certification": self.words.phrases["certification"],
            "drilled": drilling.tables(design, self.words),
            "bits": drilling.bits(design, self.words),
            "matched": drilling.matched(design, self.words),
            "places": workings.places_on_board(design, self.words),
            "by_thickness": workings.by_thickness(design, self.words),
            "size_list": workings.sizes(design, self.words),
        }  # fmt: skip

    def _turns(self) -> dict[str, str]:
        """Directions of trimmer and control, in words."""
        stage = regulator_of(self.design.fixture)
        phrases = self.words.phrases
        raises = part_of(stage).words.get("raises", "") if stage else ""
        turn = {"clockwise": "turn_known", "anticlockwise": "turn_other"}.get(raises)
        pulses = pulse_of(self.design.fixture)
        asked = pulses.control if pulses else stage.control if stage else None
        control = asked.raises if asked else "clockwise"
        return {
            "turn_words": phrases[turn or "turn_unknown"],
            "control_turns": phrases[control],
        }

    def page(self, name: str, context: Mapping[str, Any]) -> str:
        """One page as Markdown."""
        file = tops.page_file(self.search, name, self.words)
        header, chosen = file.header, context["chosen"]
        top = tops.Top(
            self.bench.say(file, header.goal, "goal"),
            self.bench.say(file, header.before, "before"),
            tops.hazards(file, chosen, self.steps, self.bench.chooser),
        )
        body = str(self.renderer.body(file.words, context))
        # Over the page's own words, which may be the maker's: none of them loses a hazard.
        title, _, text = body.partition("\n") if body.startswith("# ") else ("", "", body)
        return f"{title}\n\n{self._top(name, top)}\n\n{text.lstrip()}".lstrip()

    def _top(self, name: str, top: tops.Top) -> str:
        source = "pages/top.md"
        file = self.search.base(source)
        if file is None:
            raise GuidegenError(f"templates/{source} is missing")
        raw = read(self.search, source, file)
        # The steps bring their messages with them.
        here = self.steps if name == "steps" else ()
        shown = {"goal": top.goal, "before": top.before, "boxes": views.boxes(top.hazards, here)}
        return str(self.renderer.body(raw, shown))


def _drawn(name: str, figures: Iterable[str]) -> list[str]:
    """Figures of one kind: `rows`, `rows-2`, ... in their order; none where it was not drawn."""
    found = {int(f.removeprefix(name)[1:] or 1): f for f in figures
             if re.fullmatch(rf"{name}(-\d+)?", f)}  # fmt: skip
    return [found[number] for number in sorted(found)]


def _stages(steps: Sequence[views.Ready]) -> list[dict[str, Any]]:
    """Steps by stage, with the stage's time."""
    found: dict[str, list[views.Ready]] = {}
    for step in steps:
        found.setdefault(step.stage, []).append(step)
    return [
        {
            "id": stage,
            "number": mine[0].number.split(".")[0],
            "title": mine[0].stage_title,
            "steps": mine,
            "hazards": _hazards(mine),
            "time": workings.hours(sum(map(_printed, mine)) / 60),
        }
        for stage, mine in found.items()
    ]


def _printed(step: Any) -> float:
    """A step's time as its head shows it: who adds the heads up gets the stage's. [min]."""
    minutes: Value = step.minutes
    return minutes.kind.as_shown(minutes.si)


def _hazards(steps: Sequence[views.Ready]) -> list[views.Ready]:
    """The messages of a stage, each once, the most severe first."""
    found = {one.caution.id: one.caution for step in steps for one in step.cautions}
    ranked = sorted(found.values(), key=lambda one: (one.rank, one.number, one.id))
    return [views.caution(one) for one in ranked]


def _csv(lines: Sequence[Any]) -> bytes:
    """The connection schedule for a spreadsheet; a formula in a cell stays text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["wire", "from", "to", "pole", "size", "colour", "length", "end 1", "end 2",
                     "joint 1", "joint 2"])  # fmt: skip
    for line in lines:
        row = (line.ref, line.start, line.end, line.pole, line.size, line.colour, line.length,
               line.start_end, line.end_end, *line.joints)  # fmt: skip
        # A sign alone is a pole and no formula.
        writer.writerow([f"'{c}" if str(c)[:1] in ("=", "+", "-", "@") and len(str(c)) > 1 else c
                         for c in row])  # fmt: skip
    return out.getvalue().encode()
