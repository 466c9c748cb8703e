from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps

Load = Callable[[], tuple[Step, ...]]


@pytest.fixture
def load(search: SearchPath, facts: dict, model: Model, values: dict, words: Words) -> Load:
    return lambda: load_steps(search, facts, model, values, words)


def change(toy: Path, name: str, old: str, new: str) -> None:
    file = toy / "steps" / f"{name}.md"
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new, 1))


def by_id(steps: tuple[Step, ...]) -> dict[str, Step]:
    return {step.id: step for step in steps}


def test_steps_are_numbered_by_stage_and_need(load: Load) -> None:
    assert [(step.number, step.id) for step in load()] == [
        ("1.1", "board-cut"), ("1.2", "wire-cut"), ("2.1", "border-glued"), ("3.1", "rows-stuck"),
        ("3.2", "rows-joined"), ("4.1", "box-fitted"), ("4.2", "box-wired"), ("5.1", "cold-read"),
        ("6.1", "first-light"), ("7.1", "rails-covered"), ("7.2", "full-light"),
    ]  # fmt: skip


def test_order_decides_among_ready_steps(load: Load, toy: Path) -> None:
    change(toy, "wire-cut", "stage: cut", "stage: cut\norder: 5")
    assert [step.id for step in load()][:2] == ["wire-cut", "board-cut"]


def test_a_step_that_is_set_free_late_keeps_its_place(load: Load, toy: Path) -> None:
    # a-last is ready only after wire-cut; within the stage its name would come first.
    (toy / "steps/a-last.md").write_text(
        "---\nstage: cut\nneeds: [wire-cut]\ngoal: x\nno_check: x\n---\n1. Look.\n"
    )
    assert [step.id for step in load()][:4] == ["board-cut", "wire-cut", "a-last", "border-glued"]


def test_a_step_is_written_whole(load: Load) -> None:
    step = by_id(load())["rows-joined"]
    assert step.body.splitlines()[:2] == [
        "1. Solder jumpers W11 to W14 to rows E1 and E2 with the soldering iron.",
        "2. Solder them to rails W7 and W8.",
    ]
    assert str(step.minutes) == "11\u00a0min"  # 5 + 1.5 x 4, from the header
    assert [use.text for use in step.consumables] == ["4"]
    assert [reading.says for reading in step.reads] == [
        "below 1\u00a0Ω",
        "below 1\u00a0Ω",
        "above 1\u00a0MΩ, once settled",
    ]
    assert step.reads[0].where == "red on feed of rail W7, black on L+ of rows E1 and E2"
    assert step.stage_title == "Build the light panel"


def test_a_reading_of_a_value_prints_its_band(load: Load) -> None:
    reading = by_id(load())["first-light"].reads[0]
    # setting.full is given as 11.8 V with a spread of 0.2 V.
    assert reading.says == "11.80\u00a0V (11.60\u00a0V to 12.00\u00a0V)"


def test_a_tolerance_by_hand_rounds_inward(load: Load, toy: Path) -> None:
    change(toy, "first-light", "holds: setting.full", "holds: setting.full, within: 0.011")
    # 11.8 ± 1.1 % is 11.6702 to 11.9298: no accepted reading may lie outside.
    assert by_id(load())["first-light"].reads[0].low == "11.68\u00a0V"
    assert by_id(load())["first-light"].reads[0].high == "11.92\u00a0V"


def test_every_part_is_used_exactly_once(load: Load, model: Model) -> None:
    taken = [use.ref for step in load() for use in step.takes]
    assert sorted(taken) == sorted(model.refs())


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("rows-joined", "needs: [rows-stuck]", "needs: [rows-stuk]",
         r"rows-joined.md:3:\d+: needs: needs 'rows-stuk', which no step gives. .*'rows-stuck'"),
        ("rows-stuck", "needs: [wire-cut, border-glued]", "needs: [wire-cut, first-light]",
         r"needs 'first-light', and steps/first-light.md gives it in a later stage"),
        ("board-cut", "stage: cut", "stage: cut\nneeds: [wire-cut]\nwhen: batery",
         r"board-cut.md:4:1: no fact is called 'batery'"),
        ("rows-joined", "tools: [soldering-iron, meter]",
         "amid: rows-stuk\ntools: [soldering-iron, meter]",
         r"amid: no step is called 'rows-stuk'.*Did you mean 'rows-stuck'"),
        ("rows-joined", "tools: [soldering-iron, meter]", "tools: [solderin-iron, meter]",
         r"no tool is called 'solderin-iron'.*Did you mean 'soldering-iron'"),
        ("rows-joined", "uses: {solder:", "uses: {soldr:",
         r"uses: no consumable is called 'soldr'.*Did you mean 'solder'"),
        ("rows-joined", "of: count.jumpers", "of: count.jumper",
         r"no value or fact is called 'count.jumper'. Did you mean 'count.jumpers'"),
        ("first-light", "holds: setting.full", "holds: setting.ful",
         r"'holds: setting.ful' is not .*Did you mean 'setting.full'"),
        ("first-light", "limit: start.limit", "limit: start.limits",
         r"first-light.md:9:\d+: no value or fact is called 'start.limits'"),
        ("first-light", "{reads: volts",
         "{reads: volts, holds: joined, at: fuse.1 to fuse.2}\n- {reads: volts",
         r"'joined' is not read in volts, but by ohms"),
        ("rows-stuck", "{fits: row}", "{fits: rows}",
         r"rows-stuck.md:5:\d+: no role is called 'rows'. Did you mean 'row'"),
        ("rows-stuck", "1. Stick {{ part('row') }}", "1. Stick E1",
         r"rows-stuck.md:8:1: 'E1' is written by hand: name it with part\(\)"),
        ("rows-stuck", "1. Stick {{ part('row') }}", "1. Stick them",
         r"rows-stuck.md:8:1: does act on E1 and E2, and no sentence names it"),
        ("rows-stuck", "2. Fix", "2. Join {{ part('jumper') }}. Fix",
         r"a sentence names W11 to W14, and does act on no such part"),
        ("rows-stuck", "2. Fix", "2. With the {{ tool('saw') }}, fix",
         r"a sentence names the tool 'saw', which is not listed under tools"),
        ("rows-joined", "with the {{ tool('soldering-iron') }}", "",
         r"'soldering-iron' is listed under tools, and no sentence names it"),
        ("rows-joined", "5. Read {{ reading(3) }}.", "",
         r"reads number 3 \(ohms\), and no sentence has it: write reading\(3\)"),
        ("rows-joined", "reading(3)", "reading(4)",
         r"rows-joined.md:\d+:1: reading\(4\): the header has 3 'reads'"),
        ("border-glued", "consumable('wood-glue')", "consumable('solder')",
         r"a sentence names 'solder', which is not listed under uses"),
        ("border-glued", "v.glue.hours }}", "v.glue.hour }}",
         r"border-glued.md:11:1: no value is called 'glue.hour'. Did you mean 'glue.hours'"),
        ("border-glued", "goal: Border glued", "goal: Border {{ v.glued }}",
         r"border-glued.md:4:1: no value is called 'glued'"),
        ("border-glued", "2. Leave", "2. {% if fact('faces') %}x{% endif %} Leave",
         r"fact\('faces'\) is 'sideways': only yes or no"),
        ("border-glued", "2. Leave", "2. {{ v.glue }} Leave",
         r"no value is called 'glue', only names that begin so"),
        ("border-glued", "2. Leave", "2. {% if has('bordr') %}x{% endif %} Leave",
         r"no role is called 'bordr'. Did you mean 'border'"),
    ],
)  # fmt: skip
def test_faults(load: Load, toy: Path, name: str, old: str, new: str, message: str) -> None:
    change(toy, name, old, new)
    with pytest.raises(ContentError, match=message):
        load()


def test_a_circle_is_printed_as_its_files(load: Load, toy: Path) -> None:
    change(toy, "board-cut", "stage: cut", "stage: cut\nneeds: [wire-cut]")
    change(toy, "wire-cut", "stage: cut", "stage: cut\nneeds: [board-cut]")
    with pytest.raises(ContentError, match=r"a circle: steps/\S+ needs steps/\S+ needs steps/\S+"):
        load()


def test_a_need_that_is_not_chosen_names_both_files(load: Load, toy: Path) -> None:
    change(toy, "box-fitted", "stage: box", "stage: box\nwhen: battery")
    message = (
        r"steps/box-wired.md needs 'box-fitted', and steps/box-fitted.md, which gives it, is not"
    )
    with pytest.raises(ContentError, match=message):
        load()


def test_a_need_with_a_question_mark_may_be_absent(load: Load, toy: Path) -> None:
    change(toy, "box-fitted", "stage: box", "stage: box\nwhen: battery")
    change(toy, "box-wired", "needs: [box-fitted]", "needs: [box-fitted?, rows-joined]")
    assert "box-fitted" not in by_id(load())


def test_all_faults_come_at_once(load: Load, toy: Path) -> None:
    change(toy, "rows-stuck", "{fits: row}", "{fits: rows}")
    change(toy, "cold-read", "holds: not-short", "holds: noshort")
    with pytest.raises(ContentError) as caught:
        load()
    assert len(caught.value.troubles) == 2


def test_optional_parts_and_readings_may_be_absent(load: Load, toy: Path) -> None:
    change(toy, "cold-read", "- {sets: switch, to: open}",
           '- {reads: ohms, at: "cut_off.IN+? to cut_off.IN-?", holds: open}\n'
           "- {sets: switch, to: open}")  # fmt: skip
    text = "{% if has('cut_off') %}{{ reading(7) }}{{ part('cut_off?') }}{% endif %}"
    change(toy, "cold-read", "Open the switch.", f"Open the switch. {text}")
    reads = by_id(load())["cold-read"].reads
    assert [reading.absent for reading in reads] == [False] * 6 + [True]


@pytest.mark.parametrize(("cover", "tools"), [(True, ["meter", "file"]), (False, ["meter"])])
def test_a_tool_with_a_question_mark_is_listed_where_a_sentence_names_it(
    load: Load, toy: Path, facts: dict, cover: bool, tools: list[str]
) -> None:
    facts["cover"] = cover
    change(toy, "cold-read", "tools: [meter]", "tools: [meter, file?]")
    text = "{% if fact('cover') %}Take the {{ tool('file') }}.{% endif %}"
    change(toy, "cold-read", "Open the switch.", f"Open the switch. {text}")
    assert [tool.id for tool in by_id(load())["cold-read"].tools] == tools


def test_one_sentence_may_claim_the_same_of_several_parts(load: Load, toy: Path) -> None:
    reads = (
        "does: [{reads: eye, at: fuse, holds: as-rated}, {reads: eye, at: switch, holds: as-rated}"
    )
    change(toy, "box-fitted", "does: [", f"{reads}, ")
    change(toy, "box-fitted", "no_check: nothing can be read yet\n", "")
    with pytest.raises(ContentError, match=r"reads number 1 \(eye\).*\n.*reads number 2"):
        load()
    change(toy, "box-fitted", "2. Fit", "2. {{ reading(1) }} Fit")
    assert len(by_id(load())["box-fitted"].reads) == 2


def test_a_reading_is_found_by_its_claim(load: Load, toy: Path) -> None:
    reads = (
        'does: [{reads: eye, at: "cut_off?", holds: sealed}, {reads: eye, at: fuse, holds: sealed}'
    )
    change(toy, "box-fitted", "does: [", f"{reads}, ")
    change(toy, "box-fitted", "no_check: nothing can be read yet\n", "")
    change(toy, "box-fitted", "2. Fit", "2. {{ reading('sealed') }} Fit")
    assert "Naked eye. Fuse F1. Good: **lacquer" in by_id(load())["box-fitted"].body


def test_the_claim_of_an_absent_reading_is_not_asked_for(load: Load, toy: Path) -> None:
    change(toy, "cold-read", "- {sets: switch, to: open}",
           '- {reads: celsius, at: "lid?", holds: lid.temperature}\n'
           "- {sets: switch, to: open}")  # fmt: skip
    assert by_id(load())["cold-read"].reads[-1].absent


def test_own_words_are_compared_with_the_packages_header(
    toy: Path, tmp_path: Path, facts: dict, model: Model, values: dict, words: Words
) -> None:
    own = tmp_path / "own" / "steps"
    own.mkdir(parents=True)
    (own / "rows-stuck.md").write_text("1. Press {{ part('row') }} down.\n")
    search = SearchPath(toy, own.parent)
    message = r"own templates/steps/rows-stuck.md:1:1: does act on W7 and W8, and no sentence"
    with pytest.raises(ContentError, match=message):
        load_steps(search, facts, model, values, words)
    (own / "rows-stuck.md").write_text("1. Press {{ part('row') }} down. Fix {{ part('rail') }}.\n")
    found = by_id(load_steps(search, facts, model, values, words))["rows-stuck"]
    assert found.body.startswith("1. Press rows E1 and E2 down.")
    assert found.goal == "Rows and rails on the board"
