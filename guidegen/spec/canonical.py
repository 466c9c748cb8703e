"""What a fixture says, without how it was written: the ground of a guide's fingerprint."""

from __future__ import annotations

import datetime
from functools import singledispatch
from typing import Any

from pydantic import BaseModel

from guidegen.spec.extras import Position
from guidegen.spec.measured import Pair
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.quantities import Auto
from guidegen.spec.use import Faces
from guidegen.values import Given

#: Relative to a float's 16 digits: 1 ft and 304.8 mm must not differ.
DIGITS = 10


def canonical(fixture: Fixture) -> dict[str, Any]:
    """Plain data with the values of a fixture; fit for `json.dumps(..., sort_keys=True)`.

    Comments, the order of keys, the spelling of units, and defaults that are written out do not
    count; a source in brackets does, because the guide prints it.
    """
    plain: dict[str, Any] = _plain(fixture)
    if fixture.alternatives:
        plain["alternatives"] = [
            {"supply": _plain(one.supply), "chain": _plain(one.chain)}
            for one in fixture.alternatives
        ]
    return plain


@singledispatch
def _plain(item: Any) -> Any:
    return item


@_plain.register
def _value(item: Given) -> Any:
    return _given(item)


@_plain.register
def _auto(item: Auto) -> Any:
    return {"auto": [_plain(item.low), _plain(item.high)]}


@_plain.register
def _faces(item: Faces) -> Any:
    return _given(item.tilt)


@_plain.register
def _position(item: Position) -> Any:
    return [item.base, item.sign, _plain(item.distance)]


@_plain.register
def _pair(item: Pair) -> Any:
    return [_plain(item.found), _plain(item.at)]


@_plain.register
def _date(item: datetime.date) -> Any:
    return item.isoformat()


# singledispatch takes no type arguments.
@_plain.register
def _list(item: tuple) -> Any:  # type: ignore[type-arg]
    return [_plain(entry) for entry in item]


@_plain.register
def _section(item: BaseModel) -> Any:
    fields = {name: _plain(getattr(item, name)) for name in type(item).model_fields}
    kind = getattr(item, "kind", "")
    return {**fields, "kind": kind} if kind else fields


def _given(value: Given) -> list[Any]:
    return [_number(value.si), _number(value.spread), value.kind.si, _note(value)]


def _number(number: float) -> float:
    return float(f"{number:.{DIGITS}g}") + 0.0


def _note(value: Given) -> str:
    """The words in brackets; a line number is no part of what is said."""
    _, bracket, note = value.source.partition(" (")
    if value.source.startswith(("default", "project default")):
        return ""
    return note.removesuffix(")") if bracket else ""


@_plain.register
def _part(part: Part) -> dict[str, Any]:
    return {
        "key": part.key,
        "kind": part.kind,
        "label": part.label,
        "typical_of": part.typical_of,
        "source": part.source,
        "words": dict(part.words),
        "figures": {name: _given(figure) for name, figure in part.figures.items()},
        "series": {name: [_given(v) for v in values] for name, values in part.series.items()},
        "sizes": [[_given(side) for side in size] for size in part.sizes],
        "tables": {name: [[_given(one) for one in point] for point in points]
                   for name, points in part.tables.items()},
    }  # fmt: skip
