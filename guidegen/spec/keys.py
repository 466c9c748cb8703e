"""How pydantic reads one key of a spec, and what the JSON Schema says of it.

A key is declared once: `Annotated[Given | Auto, quantity("row.count", ...)]`. Its converter gets
the node with its place, so that every value knows the line a builder may change.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from guidegen import units
from guidegen.errors import Trouble, accepted_words
from guidegen.spec.data_sheets import part_kinds
from guidegen.spec.part import Part
from guidegen.spec.parts import Library
from guidegen.spec.quantities import AUTO, Auto, Fault, Quantity, free_text, word
from guidegen.spec.tree import Items, Node, Text
from guidegen.values import Given

REQUIRED = "!"
#: A file with more faults than this is no spec with slips.
MOST = 200
LATER = "is not in this version"


@dataclass
class Context:
    """What converters need beside the value."""

    library: Library
    troubles: list[Trouble]
    supply: int = 0
    """Which of the supplies is read, from 0."""

    @property
    def full(self) -> bool:
        """Whether more faults are known than anybody reads: looking for near words may end."""
        return len(self.troubles) > MOST

    def note(self, node: Node, message: str, at_key: bool = False) -> None:
        """Report a fault and let the rest be read."""
        self.troubles.append(node.trouble(message, at_key))


def custom(message: str) -> PydanticCustomError:
    """The error that carries a whole message; pydantic puts no words before it."""
    return PydanticCustomError("spec", "{message}", {"message": message})


@dataclass(frozen=True)
class Key:
    """One key whose value is converted from its node."""

    convert: Callable[[Any, Context], Any]
    text: str
    """What it means, for the schema."""
    example: Any
    schema: Mapping[str, Any] = field(default_factory=lambda: {"type": "string"})
    default: str = REQUIRED
    """As it would be written."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        """Convert, and say what is wrong in one custom error."""

        def run(node: Any, info: ValidationInfo) -> Any:
            try:
                return self.convert(node, info.context)  # type: ignore[arg-type]
            except Fault as fault:
                raise custom(str(fault)) from None

        plain = core_schema.with_info_plain_validator_function(run)
        if self.default == REQUIRED:
            return plain
        default = Text(self.default)
        return core_schema.with_default_schema(plain, default=default, validate_default=True)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: Any) -> dict[str, Any]:
        """Type, description and an example."""
        made = {**self.schema, "description": self.text, "examples": [self.example]}
        if self.default not in (REQUIRED, ""):
            made["default"] = self.default
        return made


def _one_text(node: Any, accepted: str) -> Text:
    if isinstance(node, Text):
        return node
    what = "a list" if isinstance(node, Items) else "a map"
    raise Fault(f"{what} stands here. Accepted: {accepted}")


_QUANTITY = {"type": "string", "pattern": r"^\s*(auto|none|at least|at most|[+-]?\d).*$"}
_NUMBER = {"type": ["string", "number"], "pattern": _QUANTITY["pattern"]}


def quantity(  # noqa: PLR0913 - one call a key reads better than nesting
    name: str,
    annotated: Any,
    limits: tuple[str, str, str],
    text: str,
    *,
    default: str = REQUIRED,
    choice: bool = False,
    absent: bool = False,
    bound: bool = False,
    wording: str = "",
) -> Key:
    """A key that holds a quantity.

    Parameters
    ----------
    name : str
        Name of the value, `row.count`.
    annotated : kind of guidegen.kinds
        Kind of the value.
    limits : tuple of str
        Lowest, highest, example.
    text : str
        What it means.
    default : str
        As it would be written; left out: the key is required.
    choice, absent, bound : bool
        Whether `auto`, `none`, `at least` are accepted.
    wording : str
        What a conductor's size is, where a length was written.
    """
    reads = Quantity(annotated, *limits, choice=choice, absent=absent, wording=wording)

    def convert(node: Any, context: Context) -> Given | Auto | None:
        text = _one_text(node, f"{reads.measure.forms}{reads.others}")
        source = "" if hasattr(text, "place") else "default"
        if bound and text != "none":
            return reads.bound(text, name)
        return reads.chosen(text, name) if choice or absent else reads.given(text, name, source)

    whole = reads.measure.units.keys() == {""}
    return Key(convert, text, limits[2], _NUMBER if whole else _QUANTITY, default)


def span(
    low: str,
    high: str,
    annotated: Any,
    limits: tuple[str, str, str],
    text: str,
    default: str = REQUIRED,
) -> Key:
    """A key that holds a span of two quantities, named `low` and `high`, or one for both."""
    reads = Quantity(annotated, *limits[:2], limits[2].partition(" to ")[0])

    def convert(node: Any, context: Context) -> tuple[Given, Given]:
        return reads.span(_one_text(node, f"a span such as '{limits[2]}'"), low, high)

    return Key(convert, text, limits[2], _QUANTITY, default)


def words(text: str, accepted: tuple[str, ...], default: str = REQUIRED) -> Key:
    """A key that holds one of some words."""
    noun = "accepted here"
    return Key(
        lambda node, _: word(_one_text(node, ", ".join(accepted)), accepted, noun),
        text,
        next(word for word in accepted if word != default) if len(accepted) > 1 else accepted[0],
        {"enum": [*accepted]},
        default,
    )


def some_words(text: str, accepted: tuple[str, str], default: str, refused: str) -> Key:
    """A key that holds a list of words.

    Parameters
    ----------
    text : str
        What it means.
    accepted : tuple of str
        Both words.
    default : str
        The word that an empty key stands for.
    refused : str
        Said of another word, after its name: `takes no lining`.
    """
    one, other = accepted
    forms = f"[{one}], [{other}] or [{one}, {other}]"

    def convert(node: Any, context: Context) -> tuple[str, ...]:
        if not hasattr(node, "place"):
            return (default,)
        if not isinstance(node, Items) or not node:
            raise Fault(f"this is no list. Accepted: {forms}")
        found = []
        for item in node:
            text = units.tidy(item) if isinstance(item, Text) else ""
            if text in accepted:
                found.append(text)
            elif not context.full:
                context.note(item, f"{units.clip(text)} {refused}. "
                             + accepted_words(text[:60], accepted))  # fmt: skip
        return tuple(dict.fromkeys(found)) or (default,)

    schema = {"type": "array", "items": {"enum": [*accepted]}}
    return Key(convert, text, [default], schema, default=default)


def line(text: str, example: str, longest: int = 120, default: str = REQUIRED) -> Key:
    """A key that holds a line of free text."""

    def convert(node: Any, context: Context) -> str:
        if default == "" and not hasattr(node, "place"):
            return ""
        return free_text(_one_text(node, "a line of text"), longest, "a line of text")

    return Key(convert, text, example, {"type": ["string", "number"]}, default)


def date(text: str) -> Key:
    """A key that holds a day."""

    def convert(node: Any, context: Context) -> datetime.date:
        written = units.tidy(node) if isinstance(node, Text) else "this"
        try:
            if re.fullmatch(r"\d{4}-\d\d-\d\d", written, re.A):
                return datetime.date.fromisoformat(written)
        except ValueError:
            pass  # a 31 February gets the same message
        accepted = "Accepted: year-month-day, such as 2026-03-02"
        raise Fault(f"'{written[:40]}' is no date. {accepted}")

    return Key(convert, text, "2026-03-02")


#: Stands for the definition of a part; pydantic follows every reference, and knows none to it.
PART_MARK = {"$comment": "a part's figures"}
_PART = {"anyOf": [{"type": "string"}, PART_MARK]}


def part_key(
    prefix: str,
    kinds: tuple[str, ...],
    text: str,
    example: str,
    *,
    default: str = REQUIRED,
    choice: bool = False,
) -> Key:
    """A key that holds a part: its key, or a map of figures; perhaps `auto`."""

    def convert(node: Any, context: Context) -> Part | Auto | None:
        if default == "" and not hasattr(node, "place"):
            return None
        if isinstance(node, Text) and units.tidy(node) == "auto":
            if choice:
                return AUTO
            noun = part_kinds()[kinds[0]].noun
            raise Fault(f"'auto' can't choose {noun}. Accepted: a part's key such as '{example}'")
        return context.library.part(node, kinds, prefix)

    return Key(convert, text, example, _PART, default)
