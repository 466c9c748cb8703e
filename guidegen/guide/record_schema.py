"""JSON Schema of `guide.json`: what other programs may rely on."""

from __future__ import annotations

from typing import Any

from guidegen.guide.record import VERSION

Schema = dict[str, Any]


def record_schema() -> Schema:
    """The schema of the record, in JSON Schema 2020-12.

    Returns
    -------
    dict
        With a description on every key. Its `$id` and the record's key `record` carry the same
        version; it is raised when a key changes its meaning or goes, not when one is added.
    """
    keys = {**_head(), **_numbers(), **_things(), **_work()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:guidegen:guide-record:{VERSION}",
        "title": "Record of a build guide",
        "description": "Everything that a guide says, for other programs. Numbers are in the SI "
        "unit that stands beside them, or in the one that ends the key's name; texts are as the "
        "guide prints them.",
        **_closed(keys),
        "$defs": {
            "value": _value(),
            "finding": _finding(),
            "check": _check(),
        },
    }


def _closed(keys: dict[str, Schema], optional: tuple[str, ...] = ()) -> Schema:
    """An object with these keys and no others."""
    return {
        "type": "object",
        "properties": keys,
        "required": [key for key in keys if key not in optional],
        "additionalProperties": False,
    }


def _text(description: str, **more: Any) -> Schema:
    return {"type": "string", "description": description, **more}


def _number(description: str, **more: Any) -> Schema:
    return {"type": "number", "description": description, **more}


def _flag(description: str) -> Schema:
    return {"type": "boolean", "description": description}


def _list(description: str, items: Schema) -> Schema:
    return {"type": "array", "description": description, "items": items}


def _map(description: str, values: Schema) -> Schema:
    return {"type": "object", "description": description, "additionalProperties": values}


def _or_null(schema: Schema) -> Schema:
    description = schema.pop("description", "")
    return {"description": description, "anyOf": [schema, {"type": "null"}]}


def _named_values(description: str) -> Schema:
    names = {"pattern": r"^[A-Za-z][\w.]*$"}
    return {**_map(description, {"$ref": "#/$defs/value"}), "propertyNames": names}


def _head() -> dict[str, Schema]:
    return {
        "record": {"const": VERSION, "description": "Version of this form of record."},
        "generator": _text("Program and version that made the guide."),
        "name": _text("Name of the fixture."),
        "purpose": _text("What it is for; empty if the spec does not say."),
        "spec": _text("File name of the spec, without its folder."),
        "revision": _text("Newest revision.", minLength=1),
        "date": _text("Day of the revision, or `undated`.", pattern=r"^(\d{4}-\d\d-\d\d|undated)$"),
        "fingerprint": _text("Hash of spec values, content files and version.",
                             pattern="^[0-9a-f]{10}$"),
        "publisher": _text("Who gives the guide out; empty if the spec does not say."),
        "stop": _flag("Whether a finding forbids building from this guide."),
    }  # fmt: skip


def _numbers() -> dict[str, Schema]:
    choice = _closed({
        "id": _text("Name of what was `auto`."),
        "chosen": _text("What it became."),
        "wanted": _or_null(_text("Name of the value that it was chosen against.")),
        "margin": _or_null(_text("Name of the value that says how much is left.")),
    })  # fmt: skip
    return {
        "main": _named_values("The numbers that a rebuild compares; each stands below as well."),
        "givens": _named_values("Numbers from spec, catalogue, tables and choices, by name."),
        "values": _named_values("Computed numbers by name."),
        "facts": _map("What conditions of content files may ask, by name.",
                      {"type": ["boolean", "number", "string"]}),
        "choices": _list("What the tool chose where the spec says `auto`.", choice),
        "findings": _list("Every limit, kept or not.", {"$ref": "#/$defs/finding"}),
    }  # fmt: skip


def _value() -> Schema:
    keys = {
        "text": _text("As the guide prints it, with its unit."),
        "si": _number("The number."),
        "low": _number("Lower end of its band: worst case over the tolerances of the givens."),
        "high": _number("Upper end of its band."),
        "unit": _text("SI unit of the three numbers; `1` for none."),
        "source": _text("Line of the spec, catalogue entry, or reference of the law."),
        "law": _text("Function that computed it; left out for a given."),
        "inputs": _map("Names of the values that went in, by the law's own names.",
                       {"type": "string"}),
    }  # fmt: skip
    return {**_closed(keys, ("law", "inputs")), "dependentRequired": {"law": ["inputs"]}}


def _finding() -> Schema:
    value = {"$ref": "#/$defs/value"}
    mend = _closed({
        "changes": _map("Texts to write, by their path in the spec.", {"type": "string"}),
        "effect": _or_null({**value, "description": "The found value after the change."}),
    })  # fmt: skip
    return _closed({
        "id": _text("Name of the check."),
        "level": {"enum": ["stop", "advice", "holds"],
                  "description": "`stop`: do not build; `holds`: the limit is kept."},
        "text": _text("The sentence of the guide.", minLength=1),
        "required": _or_null({**value, "description": "The limit."}),
        "found": _or_null({**value, "description": "What it was compared with."}),
        "place": _text("`file:line` of the spec that decides; empty where no line does."),
        "mends": _list("Changes that were tried and help.", mend),
    })  # fmt: skip


def _things() -> dict[str, Schema]:
    part = _closed({
        "ref": _text("Reference designation.", pattern=r"^[A-Z]+\d+$"),
        "role": _text("What it is in the light."),
        "on": _text("Reference of the part that carries it; empty: none."),
        "count": {"type": "integer", "minimum": 1, "description": "Equal pieces a copy."},
        "made": _flag("Whether it is cut here, rather than bought."),
        "material": _text("What it is made of, or the bought part."),
        "key": _text("Key in the catalogue; empty for none."),
        "size_m": _list("Finished size, as far as it applies. [m]", {"type": "number"}),
    })  # fmt: skip
    line = {key: _text(words) for key, words in {
        "name": "What it is.", "refs": "References.", "material": "Material or bought part.",
        "at_least": "What a substitute must reach.", "each": "For one copy.",
        "spare": "Bought over the need.", "total": "For all copies.",
        "steps": "Numbers of the steps that use it.",
    }.items()}  # fmt: skip
    first = {"number": {"type": "integer", "minimum": 1, "description": "Line number."}}
    return {
        "parts": _list("Every part of one copy.", part),
        "bill": _list("Lines of the parts table, as printed.", _closed({**first, **line})),
        "cuts": _closed({"sheets": _list("Sheet plans by material.", _sheets()),
                         "bars": _list("Bar plans by material, tape among them.", _bars())}),
        "connections": _list("Every conductor of one copy.", _connection()),
        "joints": _list("Every end of a conductor or leg.", _closed({
            "ref": _text("Name of the joint."),
            "conductor": _text("Reference of the conductor or part."),
            "terminal": _text("`T1:OUT+`."),
            "kind": {"enum": ["solder", "screw", "plug", "pole", "bolt"],
                     "description": "How it is made."},
        })),
    }  # fmt: skip


def _pair(description: str) -> Schema:
    return {**_list(description, {"type": "number"}), "minItems": 2, "maxItems": 2}


def _plan(key: str, stock: Schema) -> dict[str, Schema]:
    return {
        "material": _text("Key in the catalogue."),
        "proven": _flag("Whether no plan whatever costs less."),
        key: _list("Stock, in the order of cutting.", stock),
    }


def _sheets() -> Schema:
    piece = _closed({
        "name": _text("Reference and number of the piece."),
        "at_m": _pair("Lower left corner on the sheet: x, y. [m]"),
        "size_m": _pair("Width and height. [m]"),
    })  # fmt: skip
    sheet = _closed({"size_m": _pair("Width and height. [m]"),
                     "pieces": _list("What is cut from it.", piece)})  # fmt: skip
    return _closed({**_plan("sheets", sheet), "thickness_m": _number("Thickness. [m]")})


def _bars() -> Schema:
    piece = _closed({"name": _text("Reference and number of the piece."),
                     "length_m": _number("Length. [m]")})  # fmt: skip
    bar = _closed({"length_m": _number("Length. [m]"),
                   "pieces": _list("What is cut from it, from the left.", piece)})  # fmt: skip
    return _closed(_plan("bars", bar))


def _connection() -> Schema:
    return _closed({
        "ref": _text("Reference of the conductor.", pattern=r"^W\d+$"),
        "role": _text("Lead, link, feed, jumper, control lead."),
        "from": _text("Terminal: `T1:OUT+`."),
        "to": _text("Terminal."),
        "polarity": _text("`+`, `-`, a letter for each lead of a control, or empty.",
                          pattern=r"^[+\-a-z]?$"),
        "material": _text("What it is."),
        "area_m2": _number("Conductor area. [m²]", exclusiveMinimum=0),
        "colour": _text("Letters of IEC 60757, or `bare`."),
        "length_m": _number("Length to cut. [m]", exclusiveMinimum=0),
        "ends": {**_list("How each end is prepared.", {"type": "string"}),
                 "minItems": 2, "maxItems": 2},
        "current_a": _number("At the full setting. [A]", minimum=0),
    })  # fmt: skip


def _work() -> dict[str, Schema]:
    name = {"type": "string"}
    step = _closed({
        "id": _text("Name; it outlives a new numbering."),
        "number": _text("Stage and step.", pattern=r"^\d+\.\d+$"),
        "stage": _text("Name of the stage."),
        "goal": _text("The state that it reaches."),
        "who": {"enum": ["B", "C", "L"], "description": "Builder, checker, lead."},
        "hold": _text("Hold point; empty for none.", pattern=r"^(HP\d)?$"),
        "minutes": _number("Work. [min]", minimum=0),
        "waiting_h": _number("Waiting after it. [h]", minimum=0),
        "needs": _list("Names of the steps that come before it.", name),
        "tools": _list("Names of the tools.", name),
        "acts": _list("What it does, as its file says it.", name),
        "checks": _list("Its checks by name.", name),
        "cautions": _list("Its safety messages by name.", name),
    })  # fmt: skip
    return {
        "steps": _list("The work in its order.", step),
        "checks": _list("Every reading of the commissioning record.", {"$ref": "#/$defs/check"}),
    }


def _check() -> Schema:
    name = {"type": "string"}
    return _closed({
        "id": _text("Name of the step and number of the reading in it."),
        "step": _text("Name of the step."),
        "instrument": _text("ohms, volts, mv, amps, lux, celsius, rule, eye, ..."),
        "points": _list("Pairs of terminals, red probe first.",
                        {**_list("", name), "minItems": 2, "maxItems": 2}),
        "parts": _list("What is looked at, where there are no points.", name),
        "holds": _text("What must hold: a word, or the name of a value.", minLength=1),
        "value": _or_null(_text("Name of the value that is expected.")),
        "target": _text("Expected, as printed; empty where an eye judges."),
        "low": _text("Least that passes, as printed; empty for no such limit."),
        "high": _text("Most that passes, as printed."),
        "solved": _list("What the meter shows at each pair of points, by solving the circuit as it"
                        " stands at the step, in V, A or ohm; null: an open circuit. Empty where"
                        " no circuit decides it.",
                        {"anyOf": [{"type": "number"}, {"type": "null"}]}),
    })  # fmt: skip
