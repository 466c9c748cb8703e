from __future__ import annotations

from pathlib import Path
from textwrap import dedent

import pytest

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.headers import CautionHeader, FaultHeader, StepHeader
from guidegen.content.load import load, load_all

GOOD = """
    ---
    stage: panel
    goal: Done
    does: [{fits: row}]
    no_check: seen
    ---
    1. Fit it.
    """


def put(home: Path, name: str, text: str) -> SearchPath:
    file = home / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(dedent(text).lstrip(), encoding="utf-8")
    return SearchPath(home)


def test_a_step_is_read_whole(tmp_path: Path) -> None:
    search = put(
        tmp_path,
        "steps/a.md",
        """
        ---
        stage: power
        when: battery
        needs: [b, c?]
        gives: lit
        order: 20
        who: C
        hold: HP3
        goal: Lit
        does:
        - {powers: {from: bench, at: lead+ to lead-, volts: start, limit: 0.5}}
        - {reads: volts, at: rail+ to rail-, holds: setting.full, within: 0.02}
        - powers: none
        - {waits: border, hours: 12}
        minutes: {fixed: 5, each: 1.5, of: count.rows}
        waiting: 12
        uses: {solder: 2.5}
        tools: [meter]
        if_not: dark
        shows: {new: [row], view: back}
        ---
        """,
    )
    header = load(search, "steps/a.md", StepHeader).header
    assert [deed.verb for deed in header.does] == ["powers", "reads", "powers", "waits"]
    assert header.does[2].powers is not None
    assert header.does[2].powers.source == "none"
    assert (header.needs, header.hold, header.order) == (("b", "c?"), "HP3", 20)
    assert header.shows is not None
    assert header.shows.new == ("row",)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("stage: panel", "stage: pannel"), r":2:1: stage: found 'pannel'.*mean 'panel'"),
        (("goal:", "gaol:"), r"steps/a.md:3:1: gaol: unknown key 'gaol'.*Did you mean 'goal'\?"),
        (("goal: Done\n", ""), r"steps/a.md:1:1: goal: this key is missing|goal: this key is"),
        (("fits: row", "fitts: row"), r":4:\d+: does.0.fitts: unknown key 'fitts'.*'fits'\?"),
        (("fits: row", "fits: row, cuts: row"), r"found cuts and fits; one of cuts, fits"),
        (("fits: row", "waits: row"), r"does.0: 'waits' needs hours"),
        (("fits: row", "fits: row, hours: 2"), r"does.0: 'fits' takes no hours"),
        (("fits: row", "sets: row, to: up"), r"to: found 'up'\. Accepted: low, quarter, middle"),
        (("fits: row", "reads: ohms, at: a to b"), r"'reads' needs holds"),
        (("fits: row", "reads: ohms, holds: open"), r"'reads' needs at"),
        (("fits: row", "fits: row, if_not: dark"), r"does.0: 'fits' takes no if_not"),
        (
            ("fits: row", "reads: eye, at: row, holds: lit, if_low: dark"),
            r"does.0: 'lit' fails one way alone: if_not, not if_high or if_low",
        ),
        (
            ("fits: row", "reads: ohms, at: a to b, holds: open, if_high: dark"),
            r"does.0: 'open' fails one way alone",
        ),
        (("fits: row", "powers: {from: bench}"), r"a bench supply needs at, volts, limit"),
        (("no_check: seen\n", ""), r"a step without 'reads' must say why under 'no_check'"),
        (("goal: Done", "goal: 5"), r":3:1: goal: found 5, must be text"),
        (("goal: Done", "goal: Done\nneeds: x"), r"needs: found 'x', must be a list"),
        (("goal: Done", "goal: Done\nminutes: {each: 2}"), r"minutes: 'each' and 'of' go together"),
        (("goal: Done", "goal: Done\nhold: HP9"), r"hold: found 'HP9'. Accepted: HP1, HP2, HP3"),
    ],
)
def test_faults_of_a_step(tmp_path: Path, change: tuple[str, str], message: str) -> None:
    search = put(tmp_path, "steps/a.md", dedent(GOOD).replace(*change))
    with pytest.raises(ContentError, match=message):
        load(search, "steps/a.md", StepHeader)


def test_all_faults_of_all_files_come_at_once(tmp_path: Path) -> None:
    search = put(tmp_path, "steps/a.md", dedent(GOOD).replace("goal", "gaol"))
    put(tmp_path, "steps/b.md", dedent(GOOD).replace("panel", "x").replace("goal", "g"))
    with pytest.raises(ContentError) as caught:
        load_all(search, "steps", StepHeader)
    # a: the unknown key, and the key that is missing for it; b: those, and the stage.
    assert len(caught.value.troubles) == 5


CAUTION = """
    ---
    number: H11
    word: caution
    title: Bare rails
    hazard: A tool
    consequence: Burns
    avoid: Cover
    defers_to: data sheets
    ---
    """


def test_a_catalogue_number_in_place_of_the_sentence_is_told(tmp_path: Path) -> None:
    text = dedent(CAUTION).replace("number: H11\n", "").replace("A tool", "H11")
    search = put(tmp_path, "cautions/a.md", text)
    with pytest.raises(ContentError, match=r"the catalogue's H11 goes under 'number'"):
        load(search, "cautions/a.md", CautionHeader)


@pytest.mark.parametrize(
    ("word", "message"),
    [
        ("attention", r"found 'attention'.*danger, warning, caution, notice"),
        ("[{word: warning, when: battery}]", r"the last 'word' must hold always"),
        ("[]", r"the last 'word' must hold always"),
    ],
)
def test_faults_of_a_signal_word(tmp_path: Path, word: str, message: str) -> None:
    search = put(
        tmp_path, "cautions/a.md", dedent(CAUTION).replace("word: caution", f"word: {word}")
    )
    with pytest.raises(ContentError, match=message):
        load(search, "cautions/a.md", CautionHeader)


def test_an_own_template_rewords_a_caution(tmp_path: Path) -> None:
    put(tmp_path / "package", "cautions/a.md", CAUTION)
    put(tmp_path / "own", "cautions/a.md", "---\navoid: Keep off\n---\nMore.\n")
    search = SearchPath(tmp_path / "package", tmp_path / "own")
    found = load(search, "cautions/a.md", CautionHeader)
    assert (found.header.avoid, found.header.consequence) == ("Keep off", "Burns")
    assert found.words.body == "More."
    assert found.worded("avoid").file == "own templates/cautions/a.md"


@pytest.mark.parametrize(
    "line", ["when: battery", "number: H99", "at: {stages: []}", "word: notice"]
)
def test_an_own_template_never_loses_a_caution(tmp_path: Path, line: str) -> None:
    put(tmp_path / "package", "cautions/a.md", CAUTION)
    put(tmp_path / "own", "cautions/a.md", f"---\n{line}\n---\n")
    search = SearchPath(tmp_path / "package", tmp_path / "own")
    with pytest.raises(
        ContentError, match=r"own templates/cautions/a.md:2:1: \w+: decides, and only"
    ):
        load(search, "cautions/a.md", CautionHeader)


def test_a_fault_needs_a_cause(tmp_path: Path) -> None:
    search = put(tmp_path, "faults/a.md", "---\nsymptom: Dark\ncauses: []\n---\n")
    with pytest.raises(
        ContentError, match=r":3:1: causes: found .*, must be a list that is not empty"
    ):
        load(search, "faults/a.md", FaultHeader)


def test_a_missing_key_of_a_cause_names_its_line(tmp_path: Path) -> None:
    search = put(
        tmp_path,
        "faults/a.md",
        "---\nsymptom: Dark\ncauses:\n- cause: x\n  test: y\n  expect: z\n  action: a\n---\n",
    )
    with pytest.raises(ContentError, match=r"a.md:4:3: causes.0.retest: this key is missing"):
        load(search, "faults/a.md", FaultHeader)
