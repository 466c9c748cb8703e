"""The rules of the circuit, each spoilt once: a rule that nothing breaks proves nothing."""

from dataclasses import replace
from math import hypot

import numpy as np
import pytest

from guidegen.calc.segments import distances
from guidegen.design import circuit_rules, settle
from guidegen.spec.changes import changed


@pytest.fixture(scope="module")
def model(demo_design):
    return demo_design.model


def wire(model, role, polarity):
    return next(w for w in model.wires(role) if w.polarity == polarity)


def found(design, id):
    return [finding for finding in design.findings if finding.id == id]


def test_a_sound_circuit_shows_nothing(model):
    for rule in ("free", "wrong_poles", "joined_poles", "doubled", "split_feeds"):
        assert getattr(circuit_rules, rule)(model) == []


def test_a_conductor_that_is_left_out_leaves_its_ends_free(model):
    gone = wire(model, "feed", "+")
    spoilt = replace(
        model,
        conductors=tuple(w for w in model.conductors if w.ref != gone.ref),
        joints=tuple(j for j in model.joints if j.conductor != gone.ref),
    )
    # An output that feeds two rails is joined by the other feed still.
    ends = {end for w in spoilt.conductors for end in (w.start, w.end)}
    left = {gone.start, gone.end} - ends
    assert gone.end in left
    assert set(circuit_rules.free(spoilt)) == left


def test_a_fed_pad_that_nothing_reaches_is_told(model):
    gone = wire(model, "jumper", "-")
    joints = tuple(j for j in model.joints if j.terminal != gone.end)
    assert circuit_rules.free(replace(model, joints=joints)) == [gone.end]


def swapped(model):
    """Both feed wires exchanged at the rails."""
    plus, minus = wire(model, "feed", "+"), wire(model, "feed", "-")
    ends = {plus.ref: minus.end, minus.ref: plus.end}
    return replace(
        model,
        conductors=tuple(replace(w, end=ends.get(w.ref, w.end)) for w in model.conductors),
    )


def test_feeds_that_are_exchanged_meet_the_other_pole(model):
    spoilt = swapped(model)
    both = [wire(model, "feed", pole).ref for pole in "+-"]
    assert sorted(circuit_rules.wrong_poles(spoilt)) == sorted(both)
    assert len(circuit_rules.joined_poles(spoilt)) == 2  # each rail with the other output


def test_a_conductor_from_pole_to_pole_is_a_short(model):
    plus, minus = (next(r for r in model.by_role("rail") if r.polarity == p) for p in "+-")
    short = replace(
        wire(model, "jumper", "+"),
        start=f"{plus.ref}:1", end=f"{minus.ref}:1", polarity="",
    )  # fmt: skip
    spoilt = replace(model, conductors=(*model.conductors, short))
    assert len(circuit_rules.joined_poles(spoilt)) == 1


def test_a_conductor_that_is_there_twice_is_told(model):
    twice = replace(wire(model, "feed", "+"), ref="W999")
    spoilt = replace(model, conductors=(*model.conductors, twice))
    assert circuit_rules.doubled(spoilt) == [wire(model, "feed", "+").ref, "W999"]


def test_a_feed_that_is_too_short_stops_and_its_mend_helps(demo_design):
    short = changed(demo_design.fixture, {"chain.feed.length": "30 mm"})
    [finding] = found(settle(short), "wire-too-short")
    assert finding.level == "stop"
    assert [dict(mend.changes) for mend in finding.mends] == [{"chain.feed.length": "auto"}]
    # The straight line between its ends, by Pythagoras.
    model = settle(short, mends=False).model
    ends = {w.ref: (model.terminal(w.start).at, model.terminal(w.end).at) for w in model.conductors}
    (ax, ay), (bx, by) = ends[finding.names["wire"]]
    assert finding.required.si == pytest.approx(hypot(ax - bx, ay - by))


def test_rails_nearer_than_the_clearance_are_told(demo):
    """Rails on the back lie a rail offset of 9 mm apart, less a wire of 1.5 mm²: 1.38 mm."""
    close = changed(demo, {"rows.1.fed_from": "middle", "limits.clearance": "8 mm"})
    [finding] = found(settle(close, mends=False), "bare-clearance")
    assert finding.level == "stop"
    assert finding.found.si == pytest.approx(0.009 - 2 * (1.5e-6 / np.pi) ** 0.5, abs=1e-9)
    kept = changed(demo, {"rows.1.fed_from": "middle", "limits.clearance": "7 mm"})
    assert found(settle(kept, mends=False), "bare-clearance")[0].level == "holds"


def test_a_rail_too_near_to_the_free_pads_of_its_rows_is_told(demo):
    """Pads that nothing is joined to are live: 3 mm less half a wire of 1.5 mm², 0.69 mm."""
    close = changed(demo, {"wiring.rails.offset": "3 mm"})
    [finding] = found(settle(close), "bare-clearance")
    assert finding.level == "stop"
    assert finding.found.si == pytest.approx(0.003 - (1.5e-6 / np.pi) ** 0.5, abs=1e-9)
    assert {"wiring.rails.offset": "9 mm"} in [dict(mend.changes) for mend in finding.mends]


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [
        ((0, 0, 10, 0), (0, 3, 10, 3), 3),  # side by side
        ((0, 0, 10, 0), (5, -1, 5, 1), 0),  # crossing
        ((0, 0, 10, 0), (13, 4, 13, 9), 5),  # 3, 4, 5
        ((0, 0, 0, 0), (3, 4, 3, 4), 5),  # two points
        ((0, 0, 4, 4), (4, 0, 8, 0), 8**0.5),  # foot of a perpendicular on the slope
        ((0, 0, 10, 0), (4, 0, 6, 0), 0),  # one on the other
    ],
)
def test_distances_of_segments_by_hand(first, second, apart):
    a, b = np.array([first], float), np.array([second], float)
    assert distances(a, b)[0, 0] == pytest.approx(apart)
    assert distances(b, a)[0, 0] == pytest.approx(apart)


def test_a_feed_that_begins_before_the_stage_is_told(model):
    """Past the last stage of the chain: a row that nothing dims or limits."""
    plus = wire(model, "feed", "+")
    other = replace(plus, ref="W999", start=plus.start.replace("OUT", "IN"))
    assert other.start != plus.start
    spoilt = replace(model, conductors=(*model.conductors, other))
    assert circuit_rules.split_feeds(spoilt) == ["W999"]


def test_a_third_end_under_one_screw_is_told(demo_design):
    """Two in a twin ferrule are usual; a third works loose (common practice, no source)."""
    (kept,) = found(demo_design, "screw-crowded")
    assert kept.level == "holds"
    model = demo_design.model
    screws = [j for j in model.joints if j.kind == "screw"]
    assert kept.found.si == max(
        sum(j.terminal == one.terminal for j in screws) for one in screws
    ) <= 2  # fmt: skip
    both = {"rows.1.fed_from": "both ends", "body.board.width": "auto", "chain.feed.cores":
            "both on one pole"}  # fmt: skip
    if demo_design.fixture.rows.fed_from == "opposite ends":
        worse = settle(changed(demo_design.fixture, both), mends=False)
        (crowded,) = found(worse, "screw-crowded")
        assert (crowded.level, crowded.found.si) == ("stop", 4)
