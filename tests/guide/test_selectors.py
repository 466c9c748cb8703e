from __future__ import annotations

from dataclasses import replace

import pytest

from guidegen.content.files import ContentError
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.errors import Place
from guidegen.guide.selector import selector
from guidegen.guide.selectors import Chooser, ranges

HERE = Place("steps/a.md", 4, 1)


@pytest.fixture
def chooser(model: Model, words: Words) -> Chooser:
    return Chooser(model, words)


@pytest.mark.parametrize(
    ("text", "refs"),
    [
        ("row", "E1 E2"),
        ("jumper", "W11 W12 W13 W14"),
        ("jumper+", "W11 W12"),
        ("jumper−", "W13 W14"),
        ("rail-", "W8"),
        ("trimmer", "T1.trimmer"),
        ("cut_off?", ""),
    ],
)
def test_parts(chooser: Chooser, text: str, refs: str) -> None:
    assert chooser.refs(selector(text, HERE)) == tuple(refs.split())


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("row+.fed", "E1:L+ E2:L+"),
        ("row-.fed", "E1:R- E2:R-"),
        ("row+.far", "E1:R+ E2:R+"),
        ("row-.far", "E1:L- E2:L-"),
        ("rail+.tap", "W7:1 W7:2"),
        ("rail-.feed", "W8:feed"),
        ("regulator+.in", "T1:IN+"),
        ("regulator+.out", "T1:OUT+"),
        ("regulator.OUT−", "T1:OUT-"),
        ("connector+", "X1:+"),
        ("connector-.-", "X1:-"),
        ("link.start", "F1:2 Q1:2"),
        ("control.2", "R1:2"),
    ],
)
def test_points(chooser: Chooser, text: str, keys: str) -> None:
    assert chooser.points(selector(text, HERE)) == tuple(keys.split())


def test_the_live_lug_is_the_one_without_the_tie(model: Model, words: Words) -> None:
    tie = replace(model.conductors[0], ref="W20", role="wiper_tie", start="R1:2", end="R1:3")
    tied = replace(model, conductors=(*model.conductors, tie))
    assert Chooser(tied, words).points(selector("control.live", HERE)) == ("R1:1",)


@pytest.mark.parametrize(
    ("text", "count"),
    [("jumper to row", 4), ("row to jumper", 4), ("jumper+ to rail", 2), ("jumper", 8),
     ("across_resistor", 2), ("control_lead to control", 2), ("link to switch", 2),
     ("lead to cut_off?", 0), ("regulator", 6)],
)  # fmt: skip
def test_joints(chooser: Chooser, text: str, count: int) -> None:
    assert len(chooser.joints(text, HERE)) == count


def test_probes_go_row_by_row_where_both_ends_have_rows(chooser: Chooser) -> None:
    assert chooser.probes("rail+.tap to row+.fed", HERE) == (("W7:1", "E1:L+"), ("W7:2", "E2:L+"))


def both_ends(model: Model) -> Model:
    """Two more rails: rows fed at both ends."""
    parts = [replace(model.part(ref), ref=new) for ref, new in (("W7", "W20"), ("W8", "W21"))]
    terminals = [
        replace(t, part={"W7": "W20", "W8": "W21"}[t.part])
        for t in model.terminals if t.part in ("W7", "W8")
    ]  # fmt: skip
    ends = {"W7:1": "W20:1", "W7:2": "W20:2", "W8:1": "W21:1", "W8:2": "W21:2",
            "E1:L+": "E1:R+", "E2:L+": "E2:R+", "E1:R-": "E1:L-", "E2:R-": "E2:L-"}  # fmt: skip
    wires = [
        replace(w, ref=f"W{30 + i}", start=ends[w.start], end=ends[w.end])
        for i, w in enumerate(model.wires("jumper"))
    ]
    return replace(
        model,
        parts=(*model.parts, *parts),
        terminals=tuple(replace(t, unused=False) for t in (*model.terminals, *terminals)),
        conductors=(*model.conductors, *wires),
    )


def test_of_two_rails_each_reads_at_its_own_end(model: Model, words: Words) -> None:
    chooser = Chooser(both_ends(model), words)
    assert chooser.probes("rail+.feed to row+.fed", HERE) == (
        ("W7:feed", "E1:L+"), ("W20:feed", "E1:R+"), ("W7:feed", "E2:L+"), ("W20:feed", "E2:R+"),
    )  # fmt: skip
    assert chooser.probes("rail+.tap to row+.fed", HERE)[1] == ("W20:1", "E1:R+")
    # Opposite poles never hang together: in the order of the model.
    assert chooser.probes("rail+.feed to rail-.feed", HERE) == (
        ("W7:feed", "W8:feed"), ("W20:feed", "W21:feed"),
    )  # fmt: skip


def test_probes_go_one_to_all_otherwise(chooser: Chooser) -> None:
    found = chooser.probes("regulator.OUT+ to row+.fed", HERE)
    assert found == (("T1:OUT+", "E1:L+"), ("T1:OUT+", "E2:L+"))
    assert chooser.probes("row+.fed to regulator.OUT+", HERE)[1] == ("E2:L+", "T1:OUT+")


@pytest.mark.parametrize(
    ("call", "text", "message"),
    [
        ("refs", "rwo", r"steps/a.md:4:1: no role is called 'rwo'. Did you mean 'row'\?"),
        ("refs", "cut_off", r"'cut_off' matches nothing in this fixture; write '\?'"),
        ("refs", "cut_of?", r"no role is called 'cut_of'. Did you mean 'cut_off'"),
        ("refs", "row+", r"'row\+' matches nothing"),
        ("refs", "row.L+", r"'row.L\+' names a terminal; parts are meant"),
        ("refs", "Row 1", r"'Row 1' is no selector. Accepted: role"),
        ("points", "row+.fde", r"'row\+.fde' matches no terminal. Accepted: .*mean 'fed'"),
    ],
)
def test_faults(chooser: Chooser, call: str, text: str, message: str) -> None:
    with pytest.raises(ContentError, match=message):
        getattr(chooser, call)(selector(text, HERE))


@pytest.mark.parametrize(
    ("call", "text", "message"),
    [
        ("joints", "jumper to board", r"matches no joint of the design"),
        ("joints", "jumpr to row", r"Did you mean 'jumper'"),
        ("probes", "row", r"'row' must name two points: A to B"),
        ("probes", "row to rail to lead", r"must name two points"),
        (
            "probes",
            "regulator to fuse",
            r"6 points to 2 points; one side must be a single point, or",
        ),
    ],
)
def test_faults_of_pairs(chooser: Chooser, call: str, text: str, message: str) -> None:
    with pytest.raises(ContentError, match=message):
        getattr(chooser, call)(text, HERE)


@pytest.mark.parametrize(
    ("refs", "text"),
    [
        ("E1", "E1"),
        ("E1 E2", "E1 and E2"),
        ("E1 E2 E3", "E1 to E3"),
        ("W11 W12 W13 W40", "W11 to W13 and W40"),
        ("W1 W3 W5 W7", "W1 to W7, every second one"),
        ("W1 W3 W4", "W1, W3 and W4"),
        ("W1 W2 E1 E2 E3", "W1, W2 and E1 to E3"),
        ("E3 E1 E2 E1", "E1 to E3"),
        ("", ""),
    ],
)
def test_references_in_short(words: Words, refs: str, text: str) -> None:
    assert ranges(refs.split(), words) == text
