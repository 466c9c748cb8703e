"""Loading content files: headers checked, all faults of all files at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from guidegen.content.files import ContentError, Raw, SearchPath, read
from guidegen.content.headers import (
    WORD_KEYS,
    CautionHeader,
    FaultHeader,
    FindingHeader,
    PageHeader,
    StepHeader,
)
from guidegen.errors import Place, Trouble, accepted_words

Header = TypeVar("Header", StepHeader, CautionHeader, FaultHeader, FindingHeader, PageHeader)


@dataclass(frozen=True)
class Content(Generic[Header]):
    """A content file whose header holds; words may come from the maker's own file."""

    id: str
    name: str
    header: Header
    raw: Raw
    """The file that decides."""
    words: Raw
    """The file that words it: the maker's own, or the same."""

    def worded(self, *where: str | int) -> Raw:
        """The file that the words under a key come from, for places in messages."""
        return self.words if where and where[0] in self.words.header else self.raw


def load_all(search: SearchPath, sort: str, schema: type[Header]) -> list[Content[Header]]:
    """Every content file of a sort (`steps`, `cautions`, `faults`, `findings`), by name.

    Raises
    ------
    ContentError
        All faults of all files.
    """
    loaded: list[Content[Header]] = []
    troubles: list[Trouble] = []
    for name in search.names(sort):
        try:
            loaded.append(load(search, name, schema))
        except ContentError as error:
            troubles += error.troubles
    if troubles:
        raise ContentError(troubles)
    return loaded


def load(search: SearchPath, name: str, schema: type[Header]) -> Content[Header]:
    """One content file: what decides from the package, words from an own file of that name.

    Raises
    ------
    ContentError
        All faults of the file.
    """
    base, wording = search.base(name), search.words(name)
    if base is None or wording is None:
        raise ContentError([Trouble(_missing(name), "", "there is no such file")])
    raw = read(search, name, base)
    words = raw if wording == base else read(search, name, wording)
    merged = dict(raw.header)
    if words is not raw:
        _only_words(words, WORD_KEYS[schema])
        merged |= words.header
    return Content(raw.id, name, validated(schema, merged, raw), raw, words)


def _missing(name: str) -> Place:
    """The place of a file that is not there."""
    return Place(f"templates/{name}")


def _only_words(own: Raw, accepted: Sequence[str]) -> None:
    troubles = [
        Trouble(
            own.place(key),
            key,
            "decides, and only guidegen's own file may. " + accepted_words(key, accepted),
        )
        for key in own.header
        if key not in accepted
    ]
    if troubles:
        raise ContentError(troubles)


Model = TypeVar("Model", bound=BaseModel)


def validated(schema: type[Model], data: dict[str, Any], raw: Raw) -> Model:
    """The data as a frozen model.

    Raises
    ------
    ContentError
        All faults, each with its line.
    """
    try:
        return schema.model_validate(data)
    except ValidationError as error:
        details = error.errors(include_url=False)
        raise ContentError(_troubles(details, schema, raw)) from None


def _troubles(details: Iterable[ErrorDetails], schema: type[BaseModel], raw: Raw) -> list[Trouble]:
    found: dict[tuple[Any, str], Trouble] = {}
    for detail in details:
        where = tuple(part for part in detail["loc"] if _is_key(part, detail["loc"], raw))
        text = _message(detail, schema)
        path = ".".join(str(part) for part in where)
        found.setdefault((where, text), Trouble(raw.place(*where), path, text))
    return list(found.values())


def _is_key(part: str | int, loc: tuple[str | int, ...], raw: Raw) -> bool:
    """Not one of the names that pydantic puts in for the members of a union."""
    at = loc.index(part)
    known = any(part in where for where in raw.places)
    return known or at == len(loc) - 1


def _message(detail: ErrorDetails, schema: type[BaseModel]) -> str:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "content":
        return str(context["message"])
    if kind == "extra_forbidden":
        key = str(detail["loc"][-1])
        return f"unknown key '{key}'. " + accepted_words(key, _keys(schema, detail["loc"]))
    if kind == "missing":
        return "this key is missing"
    if kind == "literal_error":
        words = [
            word.strip(" '") for word in str(context["expected"]).replace(" or ", ",").split(",")
        ]
        return f"found '{detail['input']}'. " + accepted_words(str(detail["input"]), words)
    if kind == "string_pattern_mismatch":
        return f"found '{detail['input']}', which does not match {context['pattern']}"
    plain = {"string_type": "text", "int_type": "a whole number", "float_type": "a number",
             "tuple_type": "a list", "dict_type": "'key: value' lines",
             "model_type": "'key: value' lines",
             "too_short": "a list that is not empty"}  # fmt: skip
    return f"found {detail['input']!r}, must be {plain.get(kind, detail['msg'])}"


def _keys(schema: type[BaseModel], loc: tuple[str | int, ...]) -> list[str]:
    """The keys that are accepted where an unknown one was found."""
    for part in loc[:-1]:
        if isinstance(part, int) or part not in schema.model_fields:
            continue
        inner = _model_in(schema.model_fields[str(part)].annotation)
        schema = inner or schema
    return [item.alias or name for name, item in schema.model_fields.items()]


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _model_in(part))), None)
