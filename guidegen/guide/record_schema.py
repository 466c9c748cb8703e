"""JSON Schema of `guide.json`: what other programs may rely on."""

from __future__ import annotations

from guidegen.guide.json_schema import (
    Schema,
    closed,
    flag,
    listed,
    mapped,
    number,
    or_null,
    text,
)
from guidegen.guide.record import VERSION


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
        **closed(keys),
        "$defs": {
            "value": _value(),
            "finding": _finding(),
            "check": _check(),
        },
    }


def _named_values(description: str) -> Schema:
    names = {"pattern": r"^[A-Za-z][\w.]*$"}
    return {**mapped(description, {"$ref": "#/$defs/value"}), "propertyNames": names}


def _head() -> dict[str, Schema]:
    return {
        "record": {"const": VERSION, "description": "Version of this form of record."},
        "generator": text("Program and version that made the guide."),
        "name": text("Name of the fixture."),
        "purpose": text("What it is for; empty if the spec does not say."),
        "spec": text("File name of the spec, without its folder."),
        "revision": text("Newest revision.", minLength=1),
        "date": text("Day of the revision, or `undated`.", pattern=r"^(\d{4}-\d\d-\d\d|undated)$"),
        "fingerprint": text("Hash of spec values, content files and version.",
                             pattern="^[0-9a-f]{10}$"),
        "publisher": text("Who gives the guide out; empty if the spec does not say."),
        "stop": flag("Whether a finding forbids building from this guide."),
    }  # fmt: skip


def _numbers() -> dict[str, Schema]:
    choice = closed({
        "id": text("Name of what was `auto`."),
        "chosen": text("What it became."),
        "wanted": or_null(text("Name of the value that it was chosen against.")),
        "margin": or_null(text("Name of the value that says how much is left.")),
    })  # fmt: skip
    return {
        "main": _named_values("The numbers that a rebuild compares; each stands below as well."),
        "givens": _named_values("Numbers from spec, catalogue, tables and choices, by name."),
        "values": _named_values("Computed numbers by name."),
        "facts": mapped("What conditions of content files may ask, by name.",
                      {"type": ["boolean", "number", "string"]}),
        "choices": listed("What the tool chose where the spec says `auto`.", choice),
        "findings": listed("Every limit, kept or not.", {"$ref": "#/$defs/finding"}),
        "other_supplies": listed("Further supplies of the spec, the light as it is built for its"
                                 " first one.", _supply()),
    }  # fmt: skip


def _supply() -> Schema:
    value = {"$ref": "#/$defs/value"}
    values = {name: or_null({**value, "description": words}) for name, words in {
        "lowest": "Lowest voltage of the supply.",
        "highest": "Highest voltage of the supply.",
        "current_at_lowest": "Current from the supply at the full setting and its lowest voltage.",
        "current_at_highest": "The same at its highest voltage.",
        "light_at_lowest": "Share of the full light that is left at its lowest voltage.",
        "margin": "Share of an adapter's power that stays unused; null for a battery.",
        "run_time": "At the full setting; null for an adapter.",
        "usable_light": "Share of the full light at which a supply that stops may be used.",
    }.items()}  # fmt: skip
    return closed({
        "number": {"type": "integer", "minimum": 2, "description": "Of the supply in the spec."},
        "name": text("What the spec calls it, or the label of its part."),
        "level": {"enum": ["stop", "advice", "holds"],
                  "description": "`stop`: the light must not be used with it."},
        "text": text("The sentence of the guide.", minLength=1),
        "battery": flag("Whether it stores energy."),
        **values,
        "usable_output": text("Full setting that allows that light; empty for none."),
        "own_parts": listed("What stays with the supply, from its poles on.", {"type": "string"}),
    })  # fmt: skip


def _value() -> Schema:
    keys = {
        "text": text("As the guide prints it, with its unit."),
        "si": number("The number."),
        "low": number("Lower end of its band: worst case over the tolerances of the givens."),
        "high": number("Upper end of its band."),
        "unit": text("SI unit of the three numbers; `1` for none."),
        "source": text("Line of the spec, catalogue entry, or reference of the law."),
        "law": text("Function that computed it; left out for a given."),
        "inputs": mapped("Names of the values that went in, by the law's own names.",
                       {"type": "string"}),
    }  # fmt: skip
    return {**closed(keys, ("law", "inputs")), "dependentRequired": {"law": ["inputs"]}}


def _finding() -> Schema:
    value = {"$ref": "#/$defs/value"}
    mend = closed({
        "changes": mapped("Texts to write, by their path in the spec.", {"type": "string"}),
        "effect": or_null({**value, "description": "The found value after the change."}),
    })  # fmt: skip
    return closed({
        "id": text("Name of the check."),
        "level": {"enum": ["stop", "advice", "holds"],
                  "description": "`stop`: do not build; `holds`: the limit is kept."},
        "text": text("The sentence of the guide.", minLength=1),
        "required": or_null({**value, "description": "The limit."}),
        "found": or_null({**value, "description": "What it was compared with."}),
        "place": text("`file:line` of the spec that decides; empty where no line does."),
        "mends": listed("Changes that were tried and help.", mend),
    })  # fmt: skip


def _things() -> dict[str, Schema]:
    part = closed({
        "ref": text("Reference designation.", pattern=r"^[A-Z]+\d+$"),
        "role": text("What it is in the light."),
        "on": text("Reference of the part that carries it; empty: none."),
        "count": {"type": "integer", "minimum": 1, "description": "Equal pieces a copy."},
        "made": flag("Whether it is cut here, rather than bought."),
        "material": text("What it is made of, or the bought part."),
        "key": text("Key in the catalogue; empty for none."),
        "size_m": listed("Finished size, as far as it applies. [m]", {"type": "number"}),
    })  # fmt: skip
    line = {key: text(words) for key, words in {
        "name": "What it is.", "refs": "References.", "material": "Material or bought part.",
        "at_least": "What a substitute must reach.", "each": "For one copy.",
        "spare": "Bought over the need.", "total": "For all copies.",
        "steps": "Numbers of the steps that use it.",
    }.items()}  # fmt: skip
    first = {"number": {"type": "integer", "minimum": 1, "description": "Line number."}}
    return {
        "parts": listed("Every part of one copy.", part),
        "bill": listed("Lines of the parts table, as printed.", closed({**first, **line})),
        "cuts": closed({"sheets": listed("Sheet plans by material.", _sheets()),
                         "bars": listed("Bar plans by material, tape among them.", _bars())}),
        "connections": listed("Every conductor of one copy.", _connection()),
        "joints": listed("Every end of a conductor or leg.", closed({
            "ref": text("Name of the joint."),
            "conductor": text("Reference of the conductor or part."),
            "terminal": text("`T1:OUT+`."),
            "kind": {"enum": ["solder", "screw", "plug", "pole", "bolt"],
                     "description": "How it is made."},
        })),
    }  # fmt: skip


def _pair(description: str) -> Schema:
    return {**listed(description, {"type": "number"}), "minItems": 2, "maxItems": 2}


def _plan(key: str, stock: Schema) -> dict[str, Schema]:
    return {
        "material": text("Key in the catalogue."),
        "proven": flag("Whether no plan whatever costs less."),
        key: listed("Stock, in the order of cutting.", stock),
    }


def _sheets() -> Schema:
    piece = closed({
        "name": text("Reference and number of the piece."),
        "at_m": _pair("Lower left corner on the sheet: x, y. [m]"),
        "size_m": _pair("Width and height. [m]"),
    })  # fmt: skip
    sheet = closed({"size_m": _pair("Width and height. [m]"),
                     "pieces": listed("What is cut from it.", piece)})  # fmt: skip
    return closed({**_plan("sheets", sheet), "thickness_m": number("Thickness. [m]")})


def _bars() -> Schema:
    piece = closed({"name": text("Reference and number of the piece."),
                     "length_m": number("Length. [m]")})  # fmt: skip
    bar = closed({"length_m": number("Length. [m]"),
                   "pieces": listed("What is cut from it, from the left.", piece)})  # fmt: skip
    return closed(_plan("bars", bar))


def _connection() -> Schema:
    return closed({
        "ref": text("Reference of the conductor.", pattern=r"^W\d+$"),
        "role": text("Lead, link, feed, jumper, control lead."),
        "from": text("Terminal: `T1:OUT+`."),
        "to": text("Terminal."),
        "polarity": text("`+`, `-`, a letter for each lead of a control, or empty.",
                          pattern=r"^[+\-a-z]?$"),
        "material": text("What it is."),
        "area_m2": number("Conductor area. [m²]", exclusiveMinimum=0),
        "colour": text("Letters of IEC 60757, or `bare`."),
        "length_m": number("Length to cut. [m]", exclusiveMinimum=0),
        "ends": {**listed("How each end is prepared.", {"type": "string"}),
                 "minItems": 2, "maxItems": 2},
        "current_a": number("At the full setting. [A]", minimum=0),
    })  # fmt: skip


def _work() -> dict[str, Schema]:
    name = {"type": "string"}
    step = closed({
        "id": text("Name; it outlives a new numbering."),
        "number": text("Stage and step.", pattern=r"^\d+\.\d+$"),
        "stage": text("Name of the stage."),
        "goal": text("The state that it reaches."),
        "who": {"enum": ["B", "C", "L"], "description": "Builder, checker, lead."},
        "hold": text("Hold point; empty for none.", pattern=r"^(HP\d)?$"),
        "minutes": number("Work. [min]", minimum=0),
        "waiting_h": number("Waiting after it. [h]", minimum=0),
        "needs": listed("Names of the steps that come before it.", name),
        "tools": listed("Names of the tools.", name),
        "acts": listed("What it does, as its file says it.", name),
        "checks": listed("Its checks by name.", name),
        "cautions": listed("Its safety messages by name.", name),
    })  # fmt: skip
    return {
        "steps": listed("The work in its order.", step),
        "checks": listed("Every reading of the commissioning record.", {"$ref": "#/$defs/check"}),
    }


def _check() -> Schema:
    name = {"type": "string"}
    return closed({
        "id": text("Name of the step and number of the reading in it."),
        "step": text("Name of the step."),
        "instrument": text("ohms, volts, mv, amps, lux, celsius, rule, eye, ..."),
        "points": listed("Pairs of terminals, red probe first.",
                        {**listed("", name), "minItems": 2, "maxItems": 2}),
        "parts": listed("What is looked at, where there are no points.", name),
        "holds": text("What must hold: a word, or the name of a value.", minLength=1),
        "value": or_null(text("Name of the value that is expected.")),
        "target": text("Expected, as printed; empty where an eye judges."),
        "low": text("Least that passes, as printed; empty for no such limit."),
        "high": text("Most that passes, as printed."),
        "solved": listed("What the meter shows at each pair of points, by solving the circuit as it"
                        " stands at the step, in V, A or ohm; null: an open circuit. Empty where"
                        " no circuit decides it.",
                        {"anyOf": [{"type": "number"}, {"type": "null"}]}),
    })  # fmt: skip
