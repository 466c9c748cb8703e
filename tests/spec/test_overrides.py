"""Changes typed as `KEY=VALUE`: what they reach, and where their faults stand."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from guidegen.errors import SpecError
from guidegen.folders import folder
from guidegen.spec import Fixture, canonical, load
from guidegen.spec.changes import changed
from guidegen.spec.overrides import (
    MOST_CHANGES,
    known_keys,
    overridden,
    read_change,
    read_columns,
    written,
)

SPECS = folder("templates").parent / "specs"


@pytest.fixture(scope="module")
def fixture() -> Fixture:
    return load(SPECS / "herbarium-copy-light.yaml")


def tried(fixture: Fixture, *texts: str) -> Fixture:
    return overridden(fixture, read_columns([texts])[0])


def message(fixture: Fixture, *texts: str) -> str:
    with pytest.raises(SpecError) as error:
        tried(fixture, *texts)
    return str(error.value)


@pytest.mark.parametrize(
    ("typed", "begins", "holds"),
    [
        ("chain.lead.size=14 AVG", "argument:1:17: chain.lead.size: '14 AVG' is not an area.",
         "Accepted: a number with a point, then mm²"),
        ("chain.lead.size=.75 mm²", "argument:1:17: chain.lead.size: ", "Did you mean '0.75 mm²'?"),
        ("wiring.lead.size=14 AWG", "argument:1:8: wiring: unknown key 'lead'.",
         "Did you mean 'chain.lead.size'?"),
        ("chain.lead.sise=1 mm²", "argument:1:12: chain.lead: unknown key 'sise'.",
         "Did you mean 'chain.lead.size'?"),
        ("chain.leed.size=1 mm²", "argument:1:7: chain.leed.size: there is no item 'leed'",
         "Did you mean 'chain.lead.size'?"),
        ("supply=adapter-19v-60w", "argument:1:8: supply: 'adapter-19v-60w' is no supply.",
         "Did you mean 'adapter-19v-"),
        ("supply=fuse-5x20", "argument:1:8: supply: 'fuse-5x20' is no supply.", "or auto."),
        ("supply={adapter: auto}", "argument:1:8: supply: a list or map stands here.", ""),
        ("chain.fuse=fuse-5x2", "argument:1:12: chain.fuse: no fuse 'fuse-5x2'",
         "Did you mean 'fuse-5x20'?"),
        ("chain.fuse=switch-dc-6a", "argument:1:12: chain.fuse: 'switch-dc-6a' is a switch", ""),
        ("rows.2.count=9", "argument:1:6: rows.2.count: there is no item '2'", "Accepted: 1."),
        ("rows.count=9", "argument:1:6: rows.count: there is no item 'count'",
         "Did you mean 'rows.1.count'?"),
        ("light.placed.left.distance=1 m", "argument:1:14: light.placed.left.distance: ",
         "Accepted: 1, 2."),
        ("rows.1.count=0", "argument:1:14: rows.1.count: '0' is out of range.",
         "Accepted: 1 to 200"),
        ("supplies.1.adapter={like: adapter-19v-65w, volts: 3 V}", "argument:1:44: ",
         "Did you mean 'voltage'?"),
        ("use.surroundings=[damp, wett]", "argument:1:25: ", ""),
        ("x=1", "argument:1:1: unknown key 'x'.", "Accepted: fixture, revisions"),
        ("chain.lead.size", "argument:1:1: 'chain.lead.size' is no change.", "KEY=VALUE"),
        ("=3 A", "argument:1:1: '' is no key.", ""),
        ("a..b=3", "argument:1:1: 'a..b' is no key.", ""),
        ("chain.lead.size=", "argument:1:17: chain.lead.size: nothing stands after '='.", ""),
        ("chain.lead.size='1 mm²", "argument:1:23: chain.lead.size: this can't be read", ""),
        ("rows.1.count=&a 4", "argument:1:14: rows.1.count: anchor '&a' is refused", ""),
        ("rows.1.count=!!int 4", "argument:1:14: rows.1.count: tag", "is refused"),
        ("chain.lead.size=230 V AC", "argument:1:17: chain.lead.size: ", ""),
        ("supplies.1.adapter=mains", "argument:1:20: supplies.adapter: 'mains' is refused", ""),
        ("rows.1.count=1\n2", "argument:1:1: ", "one line of text"),
        ("body.cover.sheet.like={like: fuse-5x20}", "argument:1:23: body.cover.sheet.like: no part",
         "Accepted: a part's key."),
        ("use.surroundings.1.x=3", "argument:1:1: use.surroundings.1.x: 'x' can't be changed",
         "Did you mean 'use.surroundings'?"),
        ("body.+cover=x", "argument:1:6: body.+cover: '+cover' adds nothing here", ""),
        ("chain.+lamp=x", "argument:1:7: chain.+lamp: there is no item '+lamp'", "thermal_cut_out"),
    ],
)  # fmt: skip
def test_a_fault_stands_at_its_argument(
    fixture: Fixture, typed: str, begins: str, holds: str
) -> None:
    found = message(fixture, typed)
    assert found.startswith(begins)
    assert holds in found
    # What is wrong, and what is accepted or why it is refused.
    assert any(word in found for word in ("Accepted: ", "refused", "YAML", ", not a"))


def test_a_faulty_part_of_a_handle_is_told() -> None:
    found = message(load(SPECS / "puppet-wash-light.yaml"), "body.handles.1.bar.colour=red")
    assert found.startswith("argument:1:20: body.handles.1.bar: unknown figure 'colour' of a bar.")


def test_the_number_is_that_of_the_argument(fixture: Fixture) -> None:
    columns = read_columns([["rows.1.count=10"], ["rows.1.pitch=15 mm", "chain.lead.size=1 V"]])
    with pytest.raises(SpecError, match=r"^argument:3:17: chain\.lead\.size"):
        overridden(fixture, columns[1])
    with pytest.raises(SpecError) as error:
        read_columns([["a"], [], ["b="]])
    assert [(one.place.line, one.place.column) for one in error.value.troubles] == [
        (1, 1), (2, 1), (2, 3)]  # fmt: skip


def test_too_much_is_refused(fixture: Fixture) -> None:
    with pytest.raises(SpecError, match="too many"):
        read_columns([["rows.1.count=3"]] * 13)
    with pytest.raises(SpecError, match="too many"):
        read_columns([["rows.1.count=3"] * (MOST_CHANGES + 1)])
    with pytest.raises(SpecError, match="longer than"):
        read_change("fixture.name=" + "a" * 5000, 1)
    assert "is no key" in message(fixture, "a" * 500 + "=1")
    assert "changed twice" in message(fixture, "rows.1.count=3", "rows.1.count=4")


def test_the_rest_keeps_its_place(fixture: Fixture) -> None:
    found = tried(fixture, "chain.lead.size=1 mm²", "chain.+thermal_cut_out=thermal-cut-out-70c")
    assert str(found.place("chain.lead.size")) == "argument:1:17"
    for key in ("chain.fuse.rating", "rows.1.count", "supplies.1"):
        assert found.place(key) == fixture.place(key)
    assert fixture.place("chain.lead.size") != found.place("chain.lead.size")
    assert fixture.text == (SPECS / "herbarium-copy-light.yaml").read_text("utf-8")


SAME = [
    {"chain.lead.size": "14 AWG"},
    {"rows.1.count": "10", "rows.1.pitch": "16 mm"},
    {"body.cover": "(left out)"},
    {"chain.fuse": "none"},
    {"chain.regulator.current_limit": "none"},
    {"chain.switch.switch": "auto"},
    {"chain.switch": "{like: switch-dc-6a, current: 1 A}"},
    {"body.cover.sheet.transmittance": "60 %"},
    {"body.board.sheet.thickness": "9 mm"},
    {"light.placed": "[{side: front, angle: 0 °, distance: 1 m}]"},
    {"chain.+thermal_cut_out": "thermal-cut-out-70c"},
    {"use.ambient": "-5 °C to 40 °C"},
]


@pytest.mark.parametrize("changes", SAME)
def test_it_is_what_a_written_change_is(fixture: Fixture, changes: dict[str, str]) -> None:
    typed = [f"{key}={value}" for key, value in changes.items()]
    try:
        wanted = canonical(changed(fixture, changes))
    except SpecError:
        message(fixture, *typed)
        return
    assert canonical(tried(fixture, *typed)) == wanted


def test_a_supply_brings_its_kind_along() -> None:
    puppet, bank = load(SPECS / "puppet-wash-light.yaml"), load(SPECS / "boatshed-work-bar.yaml")
    battery = tried(puppet, "supply=li-ion-4s-5ah").supply
    assert (battery.kind, battery.name, len(battery.chain)) == ("battery", "pack", 2)
    adapter = tried(puppet, "supply=adapter-24v-120w").supply
    assert (adapter.kind, adapter.name, adapter.chain) == ("adapter", "pack", ())
    assert tried(bank, "supply=lead-acid-12v-7ah").supply.kind == "battery"
    assert tried(bank, "supply=auto").supply.kind == "bank"
    assert written(puppet, "supply") == "lifepo4-4s-20ah"


def test_a_part_of_ones_own_is_a_supply(tmp_path: Path) -> None:
    (tmp_path / "light.yaml").write_bytes((SPECS / "herbarium-copy-light.yaml").read_bytes())
    own = "odd-brick:\n  like: adapter-19v-65w\n  power: 40 W\n"
    (tmp_path / "own-parts.yaml").write_text(own, "utf-8")
    found = tried(load(tmp_path / "light.yaml"), "supply=odd-brick")
    assert found.supply.part.figures["power"].si == 40.0  # type: ignore[union-attr]


def test_every_known_key_is_reached(fixture: Fixture) -> None:
    """Setting a key to what it says already is accepted, wherever the messages can send one."""
    light = load(SPECS / "puppet-wash-light.yaml")
    texts = {key: written(light, key) for key, _ in known_keys(light)}
    plain = {key: text for key, text in texts.items()
             if text != "(left out)" and not text.startswith(("{", "["))}  # fmt: skip
    assert len(plain) > 50
    assert {"supplies.1.battery", "supplies.pack.battery", "chain.feed.size"} <= plain.keys()
    for key, text in plain.items():
        assert canonical(tried(light, f"{key}={text}")) == canonical(light), key


KEYS = ["", ".", "..", "chain", "chain.", ".chain", "chain.1", "chain.99", "chain.-1", "chain.²",
        "chain.+", "chain.+fuse", "rows", "rows.1", "rows.1.count.x.y", "supplies.1.chain.1",
        "supply", "supply.x", "parts.a.b", "fixture.name", "body.board.sheet.like", "a b.c",
        "chain.lead.lead.lead", "light.placed.1", "light.placed.3.side", "revisions.1.date",
        "chain.fuse.+rating", "__class__", "chain.__len__", "use.surroundings.1", "<<",
        "use.surroundings.1.x", "body.cover.sheet.like", "body.board.sheet.kind"]  # fmt: skip
VALUES = ["1", "-1", "nan", "inf", "1e400 V", "[", "]", "{", "{}", "[]", "{a: 1}", "[1, [2, [3]]]",
          "'", '"', "*a", "&a b", "!x y", "# only a remark", "~", "null", "none", "auto", "yes",
          "(left out)", ": x", "a: b: c", "- x", "? x", "%", "@x", "`x`", "|", "> x", "---", "...",
          "\ttab", "é", "\u202e", "\ud800", "0" * 400, "[" * 200, "230 V AC", "{like: *x}",
          "{<<: {a: 1}}", "{like: fuse-5x20}"]  # fmt: skip


def said(fixture: Fixture, text: str) -> str:
    """What an argument is answered with; empty where it is accepted."""
    try:
        tried(fixture, text)
    except SpecError as error:
        return str(error) or "nothing"
    return ""


def test_no_text_brings_more_than_a_message(fixture: Fixture) -> None:
    """Some hundreds of pairs: each key with every third value, in turn."""
    pairs = list(itertools.product(KEYS, VALUES))[::3]
    assert len(pairs) > 400
    found = [said(fixture, f"{key}={value}") for key, value in pairs]
    assert "nothing" not in found
    assert found.count("") < 20


@settings(max_examples=40, deadline=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
@given(text=st.text(max_size=40), key=st.sampled_from(["", "rows.1.", "chain.lead.size="]))
def test_no_random_text_does_either(fixture: Fixture, text: str, key: str) -> None:
    assert said(fixture, key + text) != "nothing"
