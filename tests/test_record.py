"""`guide.json` against its schema, and against the guide that it belongs to."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from guidegen.guide.record import MAIN, VERSION, record
from guidegen.guide.record_schema import record_schema
from guidegen.values import Given, Result, band

Record = dict[str, Any]


@pytest.fixture(scope="module")
def data(demo_guide: Any) -> Record:
    found = json.loads(demo_guide.data["guide.json"])
    assert isinstance(found, dict)
    return found


def faults(data: Record) -> list[str]:
    return [f"{error.json_path}: {error.message}"
            for error in Draft202012Validator(record_schema()).iter_errors(data)]  # fmt: skip


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(record_schema())
    assert record_schema()["$id"].endswith(f":{VERSION}")


def keys_of(schema: Any, path: str = "") -> Iterator[tuple[str, Record]]:
    if isinstance(schema, dict):
        for name, inner in schema.get("properties", {}).items():
            yield f"{path}.{name}", inner
        for name, inner in schema.items():
            yield from keys_of(inner, f"{path}.{name}")


def test_every_key_is_described() -> None:
    keys = dict(keys_of(record_schema()))
    assert len(keys) > 80
    assert [name for name, inner in keys.items()
            if not inner.get("description") and "properties" not in inner] == []  # fmt: skip


def test_the_demonstration_validates(data: Record) -> None:
    assert faults(data) == []


def test_it_holds_what_was_promised(data: Record) -> None:
    for key in ("givens", "choices", "values", "findings", "parts", "cuts", "connections",
                "steps", "checks"):  # fmt: skip
        assert data[key], key


SPOILED: dict[str, Callable[[Record], Any]] = {
    "a key gone": lambda data: data.pop("findings"),
    "a key too many": lambda data: data.update(extra=1),
    "another version": lambda data: data.update(record=VERSION + 1),
    "a text for a number": lambda data: data["values"]["panel.power"].update(si="32 W"),
    "no band": lambda data: data["values"]["panel.power"].pop("low"),
    "an unknown level": lambda data: data["findings"][0].update(level="warning"),
    "a wire of no length": lambda data: data["connections"][0].update(length_m=0),
    "a wire with one end": lambda data: data["connections"][0]["ends"].pop(),
    "a part with no reference": lambda data: data["parts"][0].update(ref=""),
    "a step with no number": lambda data: data["steps"][0].update(number="first"),
    "a check of nothing": lambda data: data["checks"][0].update(holds=""),
    "a date in words": lambda data: data.update(date="in autumn"),
    "a flat piece": lambda data: data["cuts"]["sheets"][0]["sheets"][0]["pieces"][0][
        "size_m"
    ].pop(),
}


@pytest.mark.parametrize("spoil", SPOILED)
def test_a_spoiled_record_does_not(data: Record, spoil: str) -> None:
    spoiled = copy.deepcopy(data)
    SPOILED[spoil](spoiled)
    assert faults(spoiled), spoil


def test_every_value_is_there_once_with_its_band(data: Record, demo_design: Any) -> None:
    assert set(data["givens"]) | set(data["values"]) == set(demo_design.values)
    assert not set(data["givens"]) & set(data["values"])
    for name, value in demo_design.values.items():
        entry = data["givens" if isinstance(value, Given) else "values"][name]
        assert entry["text"] == str(value), name
        assert (entry["low"], entry["high"]) == pytest.approx(band(value), rel=1e-9), name
        assert entry["low"] <= entry["si"] * (1 + 1e-9), name
        assert entry["si"] <= entry["high"] * (1 + 1e-9) + 1e-12, name
        assert entry["source"], f"{name} comes from nowhere"
        if isinstance(value, Result):
            assert entry["law"] == value.law.__name__


def test_names_in_it_lead_somewhere(data: Record) -> None:
    numbers = {**data["givens"], **data["values"]}
    for name, entry in data["values"].items():
        assert set(entry["inputs"].values()) <= set(numbers), name
    for choice in data["choices"]:
        assert {choice["wanted"], choice["margin"]} - {None} <= set(numbers)
    assert all(data["main"][name] == numbers[name] for name in data["main"])
    assert set(data["main"]) == set(MAIN) & set(numbers)
    refs = {thing["ref"] for thing in (*data["parts"], *data["connections"])}
    assert {part["on"] for part in data["parts"]} - {""} <= refs
    for joint in data["joints"]:
        assert {joint["conductor"], joint["terminal"].split(":")[0]} <= refs
    steps = [step["id"] for step in data["steps"]]
    assert len(set(steps)) == len(steps)
    for i, step in enumerate(data["steps"]):
        assert set(step["needs"]) <= set(steps[:i]), step["id"]
    listed = [check for step in data["steps"] for check in step["checks"]]
    assert listed == [check["id"] for check in data["checks"]]
    assert len(set(listed)) == len(listed)


def test_every_conductor_has_two_joints_at_its_ends(data: Record) -> None:
    ends: dict[str, set[str]] = {}
    for joint in data["joints"]:
        ends.setdefault(joint["conductor"], set()).add(joint["terminal"])
    for wire in data["connections"]:
        assert ends[wire["ref"]] == {wire["from"], wire["to"]}, wire["ref"]


def test_the_same_guide_gives_the_same_bytes(demo_guide: Any) -> None:
    text = demo_guide.data["guide.json"].decode()
    assert text.endswith("}\n")
    assert json.dumps(json.loads(text), ensure_ascii=False, indent=1) + "\n" == text
    assert not re.search(r"/(home|tmp|work|root)/|0x[0-9a-f]{6}", text)


def test_record_is_what_wrote_it(demo_guide: Any, data: Record) -> None:
    """The function again, with nothing but a head: the rest comes from the design alone."""
    head = {key: data[key] for key in ("name", "purpose", "spec", "revision", "date",
                                       "fingerprint", "publisher", "stop")}  # fmt: skip
    again = json.loads(
        record(demo_guide.design, head, [], demo_guide.steps, [], demo_guide.walk.solved)
    )
    assert {**again, "findings": data["findings"], "bill": data["bill"]} == data
