"""The JSON Schema of a fixture spec, for editors; made from the same keys that read it."""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from guidegen.spec.data_sheets import part_kinds
from guidegen.spec.figures import Figure, PartKind, Series, Table, Word
from guidegen.spec.keys import PART_MARK
from guidegen.spec.measured import ENDS
from guidegen.spec.model import Fixture

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_ABOUT = {
    "kind": ("Kind of part", "sheet"),
    "like": ("Key of a part whose figures hold where none stands here", "acrylic-opal"),
    "label": ("What it is called", "Acrylic sheet, opal"),
    "typical_of": ("What the figures are typical of", "cast diffusing acrylic"),
    "source": ("Where the figures come from", "data sheet"),
}


def json_schema() -> dict[str, Any]:
    """The schema: every key with a description and an example."""
    made: dict[str, Any] = {"$schema": DIALECT}
    made |= Fixture.model_json_schema(by_alias=True, schema_generator=_Generator)
    made["title"] = "Fixture spec"
    made.setdefault("$defs", {})["part"] = _part()
    _add_figures(made["$defs"]["Measured"]["properties"])
    plain: dict[str, Any] = _plain(made)
    return plain


class _Generator(GenerateJsonSchema):
    """Leaves out the titles that only repeat the keys."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        """No titles of fields."""
        return False


def _plain(node: Any) -> Any:
    """Class names are not for makers: titles of sections go; parts get their reference."""
    if node == PART_MARK:
        return {"$ref": "#/$defs/part"}
    if isinstance(node, dict):
        kept = {k: _plain(v) for k, v in node.items() if not (k == "title" and v in _TITLES)}
        return kept
    return [_plain(item) for item in node] if isinstance(node, list) else node


_TITLES = {
    "Adapter", "Beside", "Board", "Body", "Border", "Colours", "ConnectorStage", "Control", "Cover",
    "CutOffStage", "Enclosure", "Exposure", "Fan", "FeedStage", "FilterSlot", "Finish", "FuseStage",
    "GuideWishes", "Handle", "Head", "Jumpers", "Layer", "LeadStage", "Light", "Limits", "Lining",
    "LitField", "Making", "Measured", "Mount", "OwnHole", "OwnPiece", "PanelKeys", "Pilot",
    "PlacedKeys",
    "PulseControl", "PulseWidthStage", "RailPath", "RailPoint", "Rails", "RegulatorStage",
    "Revision", "Rows", "Sink", "Stock", "Supply", "SwitchStage", "ThermalCutOutStage", "Use",
    "Vents", "Wiring",
}  # fmt: skip


def _add_figures(properties: dict[str, Any]) -> None:
    """What can be measured: the figures of all parts, and the ends of an output."""
    for sheet in part_kinds().values():
        for name, figure in sheet.figures.items():
            properties.setdefault(name, _figure(figure))
    for name in ENDS:
        properties[name] = {
            "type": ["number", "string"],
            "description": f"{name.capitalize()} output of a regulator, as it was measured",
            "examples": ["7.52 V"],
        }


def _part() -> dict[str, Any]:
    """A map of figures; a figure's name means the same in every kind of part."""
    properties: dict[str, Any] = {
        name: {"type": "string", "description": text, "examples": [example]}
        for name, (text, example) in _ABOUT.items()
    }
    properties["kind"]["enum"] = [*part_kinds()]
    for sheet in part_kinds().values():
        for name, entry in _entries(sheet).items():
            known = properties.get(name)
            properties[name] = _joined(known, entry) if known else entry
    return {
        "type": "object",
        "description": "A part's figures, as in its data sheet",
        "additionalProperties": False,
        "properties": properties,
    }


def _joined(known: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """One key that several kinds of parts have: the types and words of all."""
    types = sorted({*_types(known), *_types(entry)})
    made = {**known, "type": types if len(types) > 1 else types[0]}
    if "enum" in known and "enum" in entry:
        made["enum"] = list(dict.fromkeys([*known["enum"], *entry["enum"]]))
    else:
        made.pop("enum", None)
    return made


def _types(entry: dict[str, Any]) -> list[str]:
    found = entry["type"]
    return [found] if isinstance(found, str) else list(found)


def _entries(sheet: PartKind) -> dict[str, dict[str, Any]]:
    figures = {name: _figure(figure) for name, figure in sheet.figures.items()}
    words = {name: _word(word) for name, word in sheet.words.items()}
    series = {name: _series(series) for name, series in sheet.series.items()}
    return figures | words | series | {n: _table(table) for n, table in sheet.tables.items()}


def _figure(figure: Figure) -> dict[str, Any]:
    example = figure.quantity.example
    return {
        "type": ["number", "string"],
        "description": f"{figure.text}; {figure.quantity.measure.forms}",
        "examples": [example],
    }


def _word(word: Word) -> dict[str, Any]:
    # `yes` and `no` are booleans to editors that read YAML 1.1.
    made: dict[str, Any] = {"type": ["boolean", "number", "string"], "description": word.text}
    if word.accepted == ("yes", "no"):
        return made | {"enum": ["yes", "no", True, False], "examples": ["no"]}
    if word.accepted:
        return made | {"enum": [*word.accepted], "examples": [word.accepted[0]]}
    return made | {"examples": ["none"]}


def _table(table: Table) -> dict[str, Any]:
    return {
        "type": "array",
        "items": {"type": "string"},
        "minItems": table.least,
        "description": table.text,
        "examples": [[*table.examples]],
    }


def _series(series: Series) -> dict[str, Any]:
    example = "600 mm x 1200 mm" if series.pairs else series.quantity.example
    return {
        "type": "array",
        "items": {"type": "string"},
        "minItems": 1,
        "description": series.text,
        "examples": [[example]],
    }
