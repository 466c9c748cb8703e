"""The JSON Schema that editors use says what the reader does."""

import copy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from guidegen.errors import Place, Trouble
from guidegen.spec import Fixture, starter
from guidegen.spec.data_sheets import part_kinds
from guidegen.spec.keys import Context, Key
from guidegen.spec.maker import Maker
from guidegen.spec.model import Fixture as Model
from guidegen.spec.parts import Library
from guidegen.spec.schema import json_schema
from guidegen.spec.section import Section
from guidegen.spec.tree import Items, Map, Text

Read = Callable[[str | bytes], Fixture]


class Editor(yaml.SafeLoader):
    """YAML 1.2 as editors read it: a date is text."""


Editor.yaml_implicit_resolvers = {
    sign: [(tag, pattern) for tag, pattern in pairs if not tag.endswith("timestamp")]
    for sign, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def as_editor(text: str) -> Any:
    return yaml.load(text, Editor)


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return json_schema()


def valid(schema: dict[str, Any], data: Any, part: dict[str, Any] | None = None) -> list[str]:
    whole = {**(part or schema), "$defs": schema["$defs"]}
    return [error.message for error in jsonschema.Draft202012Validator(whole).iter_errors(data)]


def test_it_is_a_schema(schema: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator.check_schema(schema)


def test_demo_starter_and_short_spec_validate(
    schema: dict[str, Any], demo: str, short: str
) -> None:
    for text in (demo, short, starter("Shelf light")):
        assert valid(schema, as_editor(text)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("count: 12", "cuont: 12"),
        ("count: 12", "count: twelve"),
        ("fed_from: opposite ends", "fed_from: centre"),
        ("region: europe", "region: uk"),
        ("  - tape: tape-12v-10w-cri95", "  - fuse: auto"),
        ("like: acrylic-opal, transmittance", "like: acrylic-opal, transmitance"),
        ("copies: 8", "copies: []"),
    ],
)
def test_slips_are_marked(schema: dict[str, Any], demo: str, old: str, new: str) -> None:
    assert old in demo
    assert valid(schema, as_editor(demo.replace(old, new))) != []


def keys(schema: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for name, section in {"": schema, **schema["$defs"]}.items():
        for key, entry in section.get("properties", {}).items():
            yield f"{name}.{key}", entry


def test_every_key_has_description_and_valid_examples(schema: dict[str, Any]) -> None:
    found = dict(keys(schema))
    assert len(found) > 150
    for name, entry in found.items():
        assert entry.get("description"), name
        assert entry.get("examples"), name
        for example in entry["examples"]:
            assert valid(schema, example, entry) == [], (name, example)


def node(data: Any) -> Any:
    """Plain data as it would come from a file."""
    made: Any
    if isinstance(data, dict):
        made = Map({key: node(value) for key, value in data.items()})
    elif isinstance(data, list):
        made = Items(node(item) for item in data)
    else:
        made = Text(str(data))
    made.put(PLACE, "example")
    return made


PLACE = Place("example.yaml", 1, 1)


def sections(start: type[Section]) -> Iterator[type[Section]]:
    for child in start.__subclasses__():
        yield child
        yield from sections(child)


def test_the_reader_takes_every_example() -> None:
    count = 0
    for section in {*sections(Section)}:
        for name, info in section.model_fields.items():
            for mark in info.metadata:
                if isinstance(mark, Key) and name != "parts":
                    troubles: list[Trouble] = []
                    mark.convert(node(mark.example), Context(Library(troubles), troubles))
                    assert troubles == [], (section, name)
                    count += 1
    assert count > 70


def test_examples_of_part_figures_are_read(schema: dict[str, Any]) -> None:
    count = 0
    for kind in part_kinds().values():
        for figure in (*kind.figures.values(), *kind.series.values()):
            figure.quantity.given(node(figure.quantity.example), "x")
            count += 1
        for table in kind.tables.values():
            maker = Maker([], Map(), "x", "spec", None, kind)
            for example in table.examples:
                assert len(maker._point(node(example), "x", 1, table)) == len(table.columns)
            count += 1
    assert count > 80


def test_keys_of_the_schema_are_those_of_the_model(schema: dict[str, Any]) -> None:
    assert set(schema["properties"]) == set(Model.key_names())
    assert set(schema["required"]) == {"fixture", "rows", "supplies", "body"}


def test_no_class_name_reaches_a_maker(schema: dict[str, Any]) -> None:
    titles = {section.__name__ for section in sections(Section)} - {"Fixture"}
    for section in schema["$defs"].values():
        assert section.get("title") not in titles


def test_same_bytes_twice(schema: dict[str, Any]) -> None:
    assert json_schema() == copy.deepcopy(schema)


def test_starter_points_to_the_schema() -> None:
    assert "$schema=fixture-spec.schema.json" in starter("x").splitlines()[0]
    assert not Path("fixture-spec.schema.json").exists()
