"""Sections: maps of the spec whose keys pydantic reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    model_validator,
)
from pydantic_core import CoreSchema, core_schema

from guidegen import units
from guidegen.errors import Trouble, accepted_words, nearest
from guidegen.spec.keys import LATER, REQUIRED, Context, Key, custom
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.tree import Items, Map, Node, Text
from guidegen.values import Given


class Section(BaseModel):
    """A map of the spec; keys that are not its own are reported with their place."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    later: ClassVar[frozenset[str]] = frozenset()
    """Keys that the format has a place for, and this version does not."""

    @model_validator(mode="before")
    @classmethod
    def own_keys(cls, data: Any, info: ValidationInfo) -> Any:
        """Keep the keys that are known, and report the others and what is missing."""
        if not isinstance(data, Map):
            if isinstance(data, Node):
                raise custom(cls.not_a_map(data))
            return data
        context: Context = info.context  # type: ignore[assignment]
        known = cls.key_names()
        kept = Map((key, value) for key, value in data.items() if key in known)
        kept.__dict__.update(data.__dict__)
        for key, value in data.items():
            if key not in known:
                home = data.path or ""
                message = "unknown key" if context.full else cls.unknown(key)
                context.troubles.append(Trouble(value.key_place, home, message))
        for key, required in known.items():
            if required and key not in data and hasattr(data, "place"):
                context.note(data, f"'{key}' is missing. {cls.wanted(key)}", at_key=True)
        return cls.checked(kept, context)

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Report what does not fit together; the map with what is filled in."""
        return data

    @classmethod
    def key_names(cls) -> dict[str, bool]:
        """The keys, and whether they must be there."""
        return {
            info.alias or name: not any(
                isinstance(mark, Key) and mark.default != REQUIRED for mark in info.metadata
            ) and info.is_required()
            for name, info in cls.model_fields.items()
        }  # fmt: skip

    @classmethod
    def unknown(cls, key: str) -> str:
        """The message for a key that is not its own."""
        if key in cls.later:
            return f"'{key}' {LATER}. Accepted: {', '.join(cls.key_names())}"
        if units.MAINS.search(key):
            return f"'{key[:40]}' is refused: {units.REFUSED}"
        if key[:1].isdigit():
            return (
                f"{units.clip(key)} is no key: a comma ends the value before it, so write a point"
            )
        later = nearest(key[:60], cls.later)
        own = accepted_words(key[:60], list(cls.key_names()))
        if later and "Did you mean" not in own:
            own += f" ('{later}' {LATER})"
        return f"unknown key {units.clip(key)}. {own}"

    @classmethod
    def wanted(cls, key: str) -> str:
        """What a missing key accepts."""
        for name, info in cls.model_fields.items():
            if (info.alias or name) != key:
                continue
            for mark in info.metadata:
                if isinstance(mark, Key):
                    return f"Accepted: such as '{key}: {mark.example}'"
                if isinstance(mark, OnlyOne):
                    return f"Accepted: {mark.accepted}"
            if info.examples:
                first, text = next(iter(info.examples[0].items()))
                return f"Accepted: its keys, such as '{first}: {text}'"
        return "Accepted: its keys, one below the other"

    @classmethod
    def not_a_map(cls, node: Node) -> str:
        """The message for a text or list where the section's keys belong."""
        what = "a list stands" if isinstance(node, Items) else "a text stands"
        if isinstance(node, Text) and not node.strip():
            what = "nothing stands"
        return f"{what} here. Accepted: {', '.join(cls.key_names())}"


def renamed(section: Section, prefix: str) -> dict[str, Any]:
    """The values of a section under another prefix, where several sections are of one kind."""

    def named(value: Given) -> Given:
        return replace(value, name=f"{prefix}.{value.name.rpartition('.')[2]}")

    changed: dict[str, Any] = {}
    for name in type(section).model_fields:
        value = getattr(section, name)
        if isinstance(value, Part):
            changed[name] = value.named(prefix)
        elif isinstance(value, Given):
            changed[name] = named(value)
        elif isinstance(value, Auto):
            changed[name] = Auto(*(named(end) if end else None for end in (value.low, value.high)))
    return changed


class Numbered(Section):
    """An item of a list whose values are named by its number."""

    @model_validator(mode="wrap")
    @classmethod
    def numbered(cls, data: Any, handler: ValidatorFunctionWrapHandler) -> Self:
        """Name the values by the item's number."""
        made: Self = handler(data)
        prefix = data.prefix if isinstance(data, Map) else ""
        return made.model_copy(update=renamed(made, prefix)) if prefix else made


@dataclass(frozen=True)
class OrNone:
    """`none` in place of a section's keys."""

    text: str

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        """None, or the section."""

        def run(node: Any, inner: Any) -> Any:
            if node is None or (isinstance(node, Text) and units.tidy(node) == "none"):
                return None
            return inner(node)

        return core_schema.no_info_wrap_validator_function(run, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: Any) -> dict[str, Any]:
        """The section or the word."""
        return {
            "anyOf": [handler(core["schema"]), {"const": "none"}],
            "description": self.text,
            "examples": ["none"],
        }


@dataclass(frozen=True)
class OnlyOne:
    """A list of which one item is read; the item itself is the value."""

    text: str
    what: str
    example: Mapping[str, str]
    most: int = 1
    """More items are alternatives, each read for itself."""

    @property
    def accepted(self) -> str:
        """What a message says."""
        return f"a list, its first line '- {next(iter(self.example))}: …'"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        """The only item of the list."""

        def first(node: Any, info: ValidationInfo) -> Any:
            accepted = self.accepted
            if not isinstance(node, Items):
                raise custom(f"this is no list. Accepted: {accepted}")
            if not node:
                raise custom(f"the list is empty. Accepted: {accepted}")
            context: Context = info.context  # type: ignore[assignment]
            for number, more in enumerate(node[1:], 2):
                keys = more if isinstance(more, Map) else ()
                mains = [key for key in keys if units.MAINS.search(key)]
                problem = f"a second {self.what} {LATER}. Accepted: one"
                if self.most > 1:
                    problem = f"too many items. Accepted: at most {self.most}"
                if mains:
                    problem = f"'{mains[0][:40]}' is refused: {units.REFUSED}"
                if mains or number > self.most:
                    context.note(more, problem)
            return node[context.supply if self.most > 1 else 0]

        return core_schema.with_info_before_validator_function(first, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: Any) -> dict[str, Any]:
        """A list of one, or of alternatives."""
        return {
            "type": "array",
            "items": handler(core["schema"]),
            "minItems": 1,
            "maxItems": self.most,
            "description": self.text,
            "examples": [[dict(self.example)]],
        }
