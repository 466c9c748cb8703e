"""JSON Schema of what `guidegen try --json` prints: what other programs may rely on."""

from __future__ import annotations

from guidegen.design.compare import LEVELS
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
from guidegen.guide.trial import VERSION

_VALUE: Schema = {"$ref": "#/$defs/value"}
_FINDING: Schema = {"$ref": "#/$defs/finding"}


def trial_schema() -> Schema:
    """The schema of a trial, in JSON Schema 2020-12.

    Returns
    -------
    dict
        With a description on every key. Its `$id` and the key `trial` carry the same version; it
        is raised when a key changes its meaning or goes, not when one is added.
    """
    keys = {
        "trial": {"const": VERSION, "description": "Version of this form."},
        "spec": text("File name of the spec, without its folder."),
        "title": text("Name of the fixture."),
        "before": {"description": "The spec as it is.", **_before()},
        "columns": listed("What each set of changes would do, in the order typed.", _column()),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:guidegen:trial:{VERSION}",
        "title": "A spec with other parts tried",
        "description": "Two checks side by side for each set of changes. Nothing of it is written"
        " anywhere.",
        **closed(keys),
        "$defs": {"value": _value(), "finding": _finding(), "moved": _moved(), "number": _number()},
    }


def _level(description: str) -> Schema:
    return {"enum": [*LEVELS], "description": description}


def _before() -> Schema:
    return closed({
        "verdict": _level("The worst level of all findings."),
        "findings": {"type": "integer", "minimum": 0, "description": "How many there are."},
        "numbers": mapped("The main numbers by name, as in the record's `main`.", _VALUE),
    })  # fmt: skip


def _column() -> Schema:
    change = closed({
        "argument": {"type": "integer", "minimum": 1,
                     "description": "Number of the argument; faults name it."},
        "key": text("Key of the spec, as typed.", minLength=1),
        "value": text("What would stand there, as typed."),
        "before": text("What the spec says there; `(left out)` where it says nothing."),
        "chosen": or_null(text("What `auto` chose there.")),
        "same": flag("Whether the spec says that already."),
    })  # fmt: skip
    usable = closed({
        "light": {"description": "Share of the full light, rounded down.", **_VALUE},
        "key": text("Key of the lower full setting."),
        "value": text("What to write there."),
        "limits": listed("What stops one step of 0.1 V higher.", _FINDING),
        "advice": listed("What stops at full, and is an advice there.", _FINDING),
        "left": listed("What stops at every setting.", _FINDING),
    })  # fmt: skip
    instead = closed({
        "key": text("Key of the change whose value does not fit."),
        "value": text("The nearest that fits: a part's key, or a standard size."),
        "label": text("Label of the part; empty for a size."),
        "as_is": flag("Whether the spec has it already."),
        "mended": listed("What stopped: with the value typed, and with this one.", _ref("moved")),
        "numbers": listed("Main numbers that are then not as in the spec.", _ref("number")),
    })  # fmt: skip
    choice = closed(
        {
            "name": text("Name of what was `auto`."),
            "label": text("The same in words."),
            "before": or_null(text("What it chose; null where it had nothing to choose.")),
            "after": or_null(text("What it chooses with the changes.")),
        }
    )
    stays = closed({
        "verdict": flag("Whether the verdict is as before."),
        "findings": {"type": "integer", "minimum": 0, "description": "Findings as before."},
        "numbers": {"type": "integer", "minimum": 0, "description": "Main numbers as before."},
    })  # fmt: skip
    return closed({
        "changes": listed("What was tried together.", change),
        "gone": listed("Keys that went along with what was replaced.", text("A key.")),
        "verdict": _level("The worst level of all findings with the changes."),
        "complete": flag("Whether everything could be computed; a stop can end it."),
        "usable": or_null({"description": "The highest full setting without the stops that the"
                           " full light causes; null where nothing new stops, or none helps.",
                           **usable}),
        "pulses": flag("Whether no lower light helps because pulses dim it."),
        "instead": listed("What fits in the place of what does not.", instead),
        "unfit": listed("Parts and sizes for which nothing near fits alone.", text("A key.")),
        "findings": listed("Every finding that is not as before, the worst first.", _ref("moved")),
        "numbers": listed("Every main number that is not as before.", _ref("number")),
        "choices": listed("What `auto` chooses otherwise.", choice),
        "stays": {"description": "How much is as before.", **stays},
    })  # fmt: skip


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _value() -> Schema:
    return closed({
        "name": text("Its name in the record."),
        "text": text("As a guide prints it.", minLength=1),
        "si": number("In SI."),
        "unit": text("The SI unit; `1` where it has none."),
    })  # fmt: skip


def _finding() -> Schema:
    mend = closed({
        "text": text("Changes and effect in words."),
        "changes": mapped("Key of the spec to what to write there.", text("A text.")),
        "effect": or_null({"description": "What the found value becomes.", **_VALUE}),
        "light": or_null({"description": "Share of the full light that is left.", **_VALUE}),
    })  # fmt: skip
    return closed({
        "id": text("Names the sentence.", minLength=1),
        "level": _level("How bad it is."),
        "title": text("What it is about."),
        "text": text("The sentence.", minLength=1),
        "required": or_null({"description": "The limit.", **_VALUE}),
        "found": or_null({"description": "What stands against it.", **_VALUE}),
        "place": or_null(text("Line of the spec, or argument and column, that decides.")),
        "mends": listed("Changes that help, tried on the whole design.", mend),
    })  # fmt: skip


def _moved() -> Schema:
    return closed({
        "id": text("Of the finding."),
        "title": text("What it is about."),
        "before": or_null({"description": "Null where it is new.", **_FINDING}),
        "after": or_null({"description": "Null where it is gone.", **_FINDING}),
    })  # fmt: skip


def _number() -> Schema:
    return closed({
        "name": text("Its name in the record."),
        "label": text("The same in words."),
        "before": or_null({"description": "Null where there was none.", **_VALUE}),
        "after": or_null({"description": "Null where there is none.", **_VALUE}),
    })  # fmt: skip
