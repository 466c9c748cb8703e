"""One slip a rule: the sound guide passes, and each slip is told by its own rule."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.content.files import SearchPath
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps
from guidegen.guide.walk import WalkReport, walk


class Walker:
    """Walks the toy guide with slips in its content files or in its model."""

    def __init__(self, toy: Path, facts: dict, model: Model, values: dict, words: Words) -> None:
        self.toy, self.facts, self.model, self.values, self.words = toy, facts, model, values, words
        self.known: dict[str, Any] = {}

    def steps(self) -> tuple[Step, ...]:
        search = SearchPath(self.toy)
        return load_steps(search, self.facts, self.model, self.values, self.words)

    def change(self, name: str, old: str, new: str) -> None:
        file = self.toy / "steps" / f"{name}.md"
        assert old in file.read_text()
        file.write_text(file.read_text().replace(old, new, 1))

    def report(self) -> WalkReport:
        return walk(self.model, self.steps(), self.known)

    def rules(self) -> set[str]:
        return {finding.rule for finding in self.report().findings}


@pytest.fixture
def walker(toy: Path, facts: dict, model: Model, values: dict, words: Words, known: dict) -> Walker:
    found = Walker(toy, facts, model, values, words)
    found.known = known
    return found


def test_the_sound_guide_passes(walker: Walker) -> None:
    report = walker.report()
    assert report.findings == ()
    assert report.passed


def test_the_table_tells_state_additions_and_reach(walker: Walker) -> None:
    rows = {row.step.split()[1]: row for row in walker.report().rows}
    stuck = rows["rows-stuck"]
    assert stuck.adds == ("E1", "E2", "W7", "W8")
    # Three of the board, two rows, two rails, four jumpers, eight other wires: 4 + 4 + 12.
    assert (stuck.before.made, stuck.before.fitted, stuck.before.joined) == (20, 2, 0)
    assert "E1" in stuck.readable
    assert "T1" not in stuck.readable
    assert "E1" not in rows["rails-covered"].readable
    assert dict(rows["first-light"].before.positions) == {"Q1": "open"}


SLIPS = [
    # Parts
    ("wire-cut", "- {cuts: jumper}\n", "- {cuts: jumper}\n- {cuts: jumper}\n", "made",
     "cuts W11 a second time"),
    ("box-fitted", "{fits: regulator}", "{cuts: regulator}, {fits: regulator}", "made",
     "cuts T1, which is bought ready"),
    ("wire-cut", "tools: [side-cutters]", "tools: [rule]", "tool", "can do this: cut"),
    ("rows-stuck", "{fits: row}", "{fits: row}, {fits: row}", "fitted", "fits E1 a second time"),
    ("rows-stuck", "{fits: row}", "{fits: row}, {fits: jumper}", "fitted",
     "W11: a conductor is joined, not fitted"),
    ("border-glued", "{waits: border, hours: glue.hours}", "{fits: cover}", "wet",
     "U2 is still wet"),
    ("rails-covered", "{fits: insulation}, {fits: cover}", "{fits: cover}, {fits: insulation}",
     "", ""),
    ("rails-covered", "{fits: cover}, {fits: cover_screw}", "{fits: cover_screw}, {fits: cover}",
     "host", "fits H1 on U4, which is not there yet"),
    ("rails-covered", "tools: [screwdriver]", "tools: [saw]", "tool", "can do this: screw"),
    ("border-glued", "{waits: border, hours: glue.hours}",
     "{waits: border, hours: 12}, {waits: border, hours: 12}", "wait", "nothing of it is wet"),
    # Joints
    ("rows-joined", "- {joins: jumper to rail}\n",
     "- {joins: jumper to rail}\n- {joins: jumper to rail}\n", "joint",
     "joins W11 to W7:1 a second time"),
    ("rows-joined", "- {joins: jumper to rail}\n", "- {joins: jumper+ to rail}\n", "joint",
     "W13 was never joined to W8:1"),
    ("rows-joined", "tools: [soldering-iron, meter]", "tools: [saw, meter]", "tool",
     "can do this: solder"),
    ("box-wired", "tools: [soldering-iron, screwdriver]", "tools: [soldering-iron, saw]", "tool",
     "can do this: screw"),
    ("rows-stuck", "{fits: rail}", "{fits: rail}, {joins: feed}", "fitted",
     "joins T1 before it is fitted"),
    # Power
    ("cold-read", "hold: HP2\n", "", "hold", "before hold point HP2"),
    ("cold-read", "- {reads: ohms, at: connector+ to connector-, holds: not-short}\n",
     "- {reads: ohms, at: fuse.1 to fuse.2, holds: joined}\n", "cold",
     "power on nets not read against their opposite pole"),
    ("first-light", "limit: start.limit", "limit: 5.0", "limit",
     "is more than the light's own supply gives"),
    ("first-light", "limit: start.limit", "limit: 4.0", "first-power",
     "no limit below its supply"),
    ("first-light", "limit: start.limit", "limit: full.limit", "bare",
     "power with a limit above 1 A while W7 is bare"),
    ("first-light", "limit: start.limit", "limit: full.limit", "trimmer",
     "power comes while T1.trimmer is low, and must be design"),
    ("first-light", "- {sets: control, to: low}\n- {sets: trimmer", "- {sets: trimmer", "control",
     "power comes while R1 is unknown, and must be low"),
    ("first-light", "- {sets: trimmer, to: low}\n", "", "trimmer",
     "power comes while T1.trimmer is unknown, and must be low or design"),
    ("first-light", "at: connector+ to connector-, volts", "at: connector- to connector+, volts",
     "polarity", "the + of the supply goes to X1:-"),
    ("first-light", "tools: [bench-supply, ", "tools: [saw, ", "tool", "can do this: bench"),
    ("first-light", "tools: [bench-supply, meter, trim-tool]",
     "tools: [bench-supply, meter, saw]", "tool", "can do this: trim"),
    ("first-light", "- {powers: none}\n", "", "power-on", "the power is on already"),
    ("first-light", "- {powers: none}\n", "- {powers: none}\n- {powers: none}\n", "power-off",
     "takes the power off, and there is none"),
    ("full-light", "- {powers: none}\n", "", "power-on", "the power is still on"),
    ("full-light", "- {powers: {from: supply}}\n",
     "- {powers: {from: supply}}\n- {joins: feed}\n", "power-on", "joins feed with the power on"),
    ("full-light", "- {powers: {from: supply}}\n",
     "- {powers: {from: bench, at: connector+ to connector-, volts: 14, limit: 0.5}}\n",
     "own-supply", "never fed from its own supply"),
    # Settings
    ("first-light", "- {sets: trimmer, to: design}\n", "", "position",
     "T1.trimmer is left low, and must be design"),
    ("full-light", "- {sets: switch, to: open}\n", "", "position", "Q1 is left closed"),
    ("first-light", "- {sets: control, to: low}\n- {powers", "- {powers", "position",
     "R1 is left high, and must be low"),
    ("first-light", "- {sets: control, to: high}\n", "", "setting",
     "sets R1 to low, which it is already"),
    # Readings
    ("rows-joined", "- {reads: ohms, at: rail+.feed to row+.fed, holds: joined}\n",
     "- {reads: ohms, at: rail+.feed to row+.fed, holds: open}\n", "claim",
     "W7:feed to E1:L+ is joined at this step, not open"),
    ("rows-joined", "- {joins: jumper to row}\n", "- {joins: jumper- to row}\n", "claim",
     "W7:feed to E1:L+ is open at this step, not joined"),
    ("cold-read", "- {sets: switch, to: closed}\n", "", "claim", "X1:+ to T1:IN+ is open"),
    ("cold-read", "tools: [meter]", "tools: [saw]", "tool", "can do this: ohms"),
    ("first-light", "- {reads: volts, at: regulator.OUT+ to regulator.OUT-",
     "- {reads: volts, at: regulator.OUT- to regulator.OUT+", "probes",
     "red goes to the positive point"),
    ("first-light", "- {reads: volts, at: regulator.OUT+ to regulator.OUT-",
     "- {reads: volts, at: regulator.OUT+ to regulator.OUT+", "probes", "T1:OUT+ against itself"),
    ("first-light", "- {sets: control, to: high}\n",
     "- {reads: mv, at: rail+.tap to row+.fed, holds: setting.full}\n- {sets: control, to: high}\n",
     "control", "reads mv while R1 is not high"),
    ("full-light", "- {sets: switch, to: closed}\n", "", "claim", "E1 is not lit at this step"),
    ("full-light", "holds: lit}\n",
     "holds: lit}\n- {reads: volts, at: rail+.feed to rail-.feed, holds: setting.full}\n",
     "covered", "reads at W7 under"),
    ("full-light", "holds: lit}\n", "holds: lit}\n- {reads: amps, holds: start.limit}\n",
     "instrument", "only a bench supply shows them"),
    ("full-light", "holds: lit}\n",
     "holds: lit}\n- {reads: ohms, at: fuse.1 to fuse.2, holds: joined}\n", "power-on",
     "reads ohms with the power on"),
    ("cold-read", "- {sets: switch, to: closed}\n",
     "- {reads: volts, at: connector+ to connector-, holds: setting.full}\n"
     "- {sets: switch, to: closed}\n", "power-off", "reads volts without power"),
]  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip[3]}: {slip[4]}")
def test_each_slip_is_told_by_its_rule(
    walker: Walker, slip: tuple[str, str, str, str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    name, old, new, rule, what = slip
    # The sentences would be at odds with the spoiled header before the walk begins.
    monkeypatch.setattr("guidegen.guide.steps._differences", lambda *_: iter(()))
    monkeypatch.setattr("guidegen.guide.speech.Speech.reading", lambda *_: "")
    walker.change(name, old, new)
    found = {(finding.rule, finding.what) for finding in walker.report().findings}
    if not rule:
        assert not found
        return
    assert [text for kind, text in found if kind == rule and what in text], found


def test_a_part_that_no_step_makes_or_fits_is_left_over(walker: Walker) -> None:
    walker.change("board-cut", ", {cuts: cover}", "")
    walker.change("board-cut", " and {{ part('cover') }}", "")
    found = {finding.what for finding in walker.report().findings}
    assert "U4 (cover) was never made" in found
    assert "fits U4 before it is made" in found


def moved(steps: tuple[Step, ...], name: str, before: str) -> list[Step]:
    step = next(step for step in steps if step.id == name)
    rest = [other for other in steps if other is not step]
    rest.insert(next(i for i, other in enumerate(rest) if other.id == before), step)
    return rest


@pytest.mark.parametrize(
    ("name", "before", "rules"),
    [
        ("first-light", "cold-read", {"needs", "stage", "cold", "hold"}),
        ("rails-covered", "rows-joined", {"covered"}),
        ("rows-stuck", "wire-cut", {"made", "stage"}),
        ("rows-joined", "rows-stuck", {"fitted", "needs"}),
        ("rows-stuck", "border-glued", {"needs", "stage"}),
    ],
)
def test_steps_in_a_wrong_order(walker: Walker, name: str, before: str, rules: set[str]) -> None:
    report = walk(walker.model, moved(walker.steps(), name, before), walker.known)
    assert rules <= {finding.rule for finding in report.findings}


def test_covering_the_bare_rails_lets_the_current_rise(walker: Walker) -> None:
    steps = moved(walker.steps(), "rails-covered", "cold-read")
    rules = {finding.rule for finding in walk(walker.model, steps, walker.known).findings}
    assert "bare" not in rules


def test_a_joint_after_the_check_makes_its_net_unchecked(walker: Walker) -> None:
    walker.change("box-wired", "- {joins: feed}\n", "")
    walker.change("box-wired", "4. Join {{ part('feed') }} to {{ part('rail') }}.\n", "")
    text = "- {joins: feed to rail}\n- {joins: feed to regulator}\n- {sets: control, to: low}\n"
    walker.change("first-light", "- {sets: control, to: low}\n", text)
    walker.change("first-light", "tools: [", "tools: [soldering-iron, screwdriver, ")
    line = "1. Join {{ part('feed') }} to {{ part('rail') }} and {{ part('regulator') }}"
    line += " with {{ tool('soldering-iron') }} and {{ tool('screwdriver') }}. "
    walker.change("first-light", "1. ", line)
    walker.change("cold-read", "- {reads: ohms, at: regulator.OUT+ to rail+.tap, holds: joined}\n",
                  "- {reads: ohms, at: regulator.OUT+ to rail+.tap, holds: open}\n")  # fmt: skip
    findings = [finding for finding in walker.report().findings if finding.rule == "cold"]
    assert findings[0].step == "6.1 first-light"
    assert "E1:L+" in findings[0].what


def test_a_single_part_may_be_powered_before_all_checks(walker: Walker) -> None:
    test = (
        "{fits: control}, {sets: trimmer, to: low}, {powers: {from: bench, at: regulator.IN+ to "
        "regulator.IN-, volts: 14, limit: 0.1}}, {reads: volts, at: regulator.OUT+ to "
        "regulator.OUT-, holds: setting.full}, {powers: none}]"
    )
    tools = "tools: [bench-supply, meter, trim-tool]"
    line = "2. Turn {{ part('trimmer') }} low with {{ tool('trim-tool') }}. "
    line += "Use {{ tool('bench-supply') }} and {{ tool('meter') }}: {{ reading(1) }}. Fit"
    walker.change("box-fitted", "{fits: control}]", test)
    walker.change("box-fitted", "no_check: nothing can be read yet", tools)
    walker.change("box-fitted", "2. Fit", line)
    walker.change("first-light", "- {sets: trimmer, to: low}\n", "")
    assert walker.rules() == set()


@pytest.mark.parametrize(
    ("joint", "terminal", "rule"),
    [(17, "E1:R-", "polarity"), (0, "X1:-", "polarity"), (16, "W7:9", "design")],
)
def test_faults_of_the_design(walker: Walker, joint: int, terminal: str, rule: str) -> None:
    steps, joints = walker.steps(), list(walker.model.joints)
    joints[joint] = replace(joints[joint], terminal=terminal)
    wrong = replace(walker.model, joints=tuple(joints))
    assert rule in {finding.rule for finding in walk(wrong, steps, walker.known).findings}


def test_a_part_that_is_painted_must_dry(walker: Walker) -> None:
    parts = tuple(
        replace(part, cures=True) if part.ref == "U1" else part for part in walker.model.parts
    )
    walker.model = replace(walker.model, parts=parts)
    assert "U1 (board) was never glued or painted: fits it" in {
        finding.what for finding in walker.report().findings
    }
    walker.change("border-glued", "hours: glue.hours}]", "hours: glue.hours}, {fits: board}]")
    assert "fits E1 on U1, which is wet" in {finding.what for finding in walker.report().findings}
    walker.change("border-glued", "{fits: board}]", "{fits: board}, {waits: board, hours: 4}]")
    assert walker.rules() == set()
