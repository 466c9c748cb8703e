"""What was measured on a part: it takes the place of what its label says.

A figure of a part's data sheet is written over the part itself, so that everything that reads the
part reads what was measured, with the line of `measured` as its place. What has to be computed
from readings first (a tape's currents at several voltages, its light) is kept for the design.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field

from guidegen import kinds
from guidegen.errors import accepted_words
from guidegen.measures import PERCENT
from guidegen.spec.keys import Context, Key, date, line, quantity
from guidegen.spec.quantities import Fault, Quantity
from guidegen.spec.section import Section
from guidegen.spec.tree import Items, Map, Reading, Text
from guidegen.units import UnitsError, clip, read, tidy
from guidegen.values import Given

MOST = 40
#: Keys of a supply that stand for its part.
_SOURCES = ("adapter", "battery", "bank", "negotiated", "vehicle")
#: Keys of an item that are no figures of the part.
TAPE = "rows.1.tape"
#: Error of a meter that the spec says nothing of.
METER = "1 % (common practice, from memory)"
_FORMS = {
    "points": "a current at a voltage, such as '402 mA at 10.0 V'",
    "lux": "an illuminance at a distance, such as '330 lx at 1 m'",
}


@dataclass(frozen=True)
class Pair:
    """Two readings that belong together: `402 mA at 10.0 V`, `330 lx at 1 m`."""

    found: Given
    at: Given


_POINT = (Quantity(kinds.MilliAmpere, "0.1 mA", "60 A", "402 mA"),
          Quantity(kinds.Volt, "1 V", "60 V", "10.0 V"))  # fmt: skip
_LUX = (Quantity(kinds.Lux, "0.1 lx", "200000 lx", "330 lx"),
        Quantity(kinds.Metre, "50 mm", "20 m", "1 m"))  # fmt: skip


def _pair(node: Any, name: str, kinds_of: tuple[Quantity, Quantity], form: str) -> Pair:
    """Both halves of `… at …`, each with the place of the whole."""
    halves = tidy(node).split(" at ") if isinstance(node, Text) else []
    if len(halves) != 2:
        shown = clip(node) if isinstance(node, Text) else "this"
        raise Fault(f"{shown} is no pair of readings. Accepted: {form}")
    texts = [Text(half) for half in halves]
    for text in texts:
        text.put(node.place, node.path)
    first, second = (one.given(text, f"{name}_{role}") for one, text, role
                     in zip(kinds_of, texts, ("found", "at"), strict=True))  # fmt: skip
    return Pair(first, second)


def _points() -> Key:
    def convert(node: Any, context: Context) -> tuple[Pair, ...]:
        if not hasattr(node, "place"):
            return ()
        if not isinstance(node, Items) or not 1 <= len(node) <= MOST:
            raise Fault(
                f"this is no list of 1 to {MOST} readings. Accepted: each {_FORMS['points']}"
            )
        found = []
        for number, item in enumerate(node, 1):
            try:
                found.append(_pair(item, f"sample.point_{number}", _POINT, _FORMS["points"]))
            except Fault as fault:
                context.note(item, str(fault))
        return tuple(found)

    schema = {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": MOST}
    return Key(convert, "Current of a piece of the tape at several voltages", ["402 mA at 10.0 V"],
               schema, default="")  # fmt: skip


def _lux() -> Key:
    def convert(node: Any, context: Context) -> Pair | None:
        if not hasattr(node, "place"):
            return None
        return _pair(node, "sample.lux", _LUX, _FORMS["lux"])

    return Key(convert, "Light of the piece in a dark room, square to its middle, at the label's"
               " voltage", "330 lx at 1 m", default="")  # fmt: skip


class Measured(Section):
    """One part, and what was measured on it; figures of its data sheet went to the part itself."""

    of: Annotated[str, line("Path of the part in this spec", TAPE, 80)]
    date: Annotated[datetime.date, date("Day of the measurement")]
    meter: Annotated[
        Given,
        quantity("sample.meter", kinds.FinePercent, ("0.01 %", "20 %", "0.5 %"),
                 "Error of the meter", default=METER),
    ]  # fmt: skip
    length: Annotated[
        Given | None,
        quantity("sample.length", kinds.FineMetre, ("10 mm", "20 m", "1 m"),
                 "Length of the piece of tape, fed at one end", default="none", absent=True),
    ]  # fmt: skip
    points: Annotated[tuple[Pair, ...], _points()]
    lux: Annotated[Pair | None, _lux()]

    @property
    def source(self) -> str:
        """What a figure that comes from here says of itself."""
        return f"measured on {self.date}"

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Readings of a tape need the length of the piece."""
        read = [key for key in ("points", "lux") if key in data]
        if read and "length" not in data:
            context.note(data, f"'length' is missing: of which piece is '{read[0]}'? Accepted: such"
                         " as 'length: 1 m'", at_key=True)  # fmt: skip
        of = data.get("of")
        for key in (*read, *(["length"] if "length" in data else [])):
            if isinstance(of, Text) and tidy(of) != TAPE:
                context.note(data[key], f"'{key}' belongs to a tape. Accepted: 'of: {TAPE}'",
                             at_key=True)  # fmt: skip
        return data


MeasuredItems = Annotated[
    tuple[Measured, ...],
    Field(description="What was measured on parts of this light; it beats their labels",
          examples=[[{"of": TAPE, "date": "2026-02-14", "length": "1 m",
                      "points": ["402 mA at 10.0 V"]}]],
          max_length=MOST, default=()),
]  # fmt: skip

#: What rails and jumpers are made of.
RAILS = ("conductor", "bar", "foil")
#: The ends of an adjustable output, written as the span that they are.
ENDS = ("lowest", "highest")


def apply(data: Map, context: Context) -> Map:
    """Write measured figures over the parts that they were measured on.

    Parameters
    ----------
    data : Map
        The keys of a spec; it stays as it is.

    Returns
    -------
    Map
        The spec with its parts' figures replaced, and in `measured` what is left.
    """
    items = data.get("measured")
    if items is None:
        return data
    if not isinstance(items, Items):
        context.note(items, f"this is no list. Accepted: items such as '- of: {TAPE}'")
        return _copy(data, {key: node for key, node in data.items() if key != "measured"})
    made, own, seen = data, Measured.key_names(), set[tuple[str, str]]()
    left = []
    for item in items:
        if not isinstance(item, Map):
            left.append(item)
            continue
        of = tidy(item["of"]) if isinstance(item.get("of"), Text) else ""
        figures = {key: node for key, node in item.items() if key not in own}
        for key, node in [*item.items()]:
            if key in ("of", "date", "meter"):
                continue
            if (of, key) in seen:
                context.note(node, f"'{key}' of {clip(of)} is measured twice. Accepted: once each",
                             at_key=True)  # fmt: skip
            seen.add((of, key))
        if figures and of:
            made = _over(made, item, of, figures, context)
        left.append(_copy(item, {key: node for key, node in item.items() if key in own}))
    return _copy(made, {**made, "measured": _like(items, Items(left))})


def _over(data: Map, item: Map, of: str, figures: dict[str, Any], context: Context) -> Map:
    """The spec with figures written over one part."""
    slot = _slot(data, of)
    if slot is None:
        words = accepted_words(of[:60], _paths(data))
        context.note(item["of"], f"{clip(of)} is no part of this spec. {words}")
        return data
    owner, key = slot
    node = owner[key]
    if isinstance(node, Text) and tidy(node) in ("auto", "none") and not {*figures} <= {*ENDS}:
        context.note(item["of"], f"{clip(of)} is '{tidy(node)}' in this spec: what was measured is"
                     " one part. Accepted: its key or its figures there")  # fmt: skip
        return data
    day = tidy(item["date"]) if isinstance(item.get("date"), Text) else ""
    new = dict(owner)
    ends = {name: figures.pop(name) for name in ENDS if name in figures}
    if ends:
        _put_ends(new, ends, _error(item), context)
    if figures:
        whole = _copy(node, dict(node) if isinstance(node, Map) else {"like": node})
        for name, value in figures.items():
            whole[name] = _read(value, day, _error(item))
        new[key] = whole
    made: Map = _replaced(data, owner, _copy(owner, new))
    return made


def _put_ends(stage: dict[str, Any], ends: dict[str, Any], error: float, context: Context) -> None:
    """The ends of an output as they were measured."""
    first = next(iter(ends.values()))
    if "output" not in stage or not isinstance(stage["output"], Text):
        context.note(first, "'lowest' and 'highest' are ends of a regulator's output. Accepted:"
                     " 'of: chain.regulator'", at_key=True)  # fmt: skip
        return
    if len(ends) < len(ENDS):
        gone = next(name for name in ENDS if name not in ends)
        context.note(first, f"'{gone}' is missing: an output has two ends. Accepted: both",
                     at_key=True)  # fmt: skip
        return
    if all(isinstance(ends[name], Text) for name in ENDS):
        texts = [tidy(ends[name]) for name in ENDS]
        band = f" ± {100 * error:.4g} %"
        banded = (text if "±" in text else text + band for text in texts)
        span = Text(" to ".join(banded))
        span.put(first.place, first.path, first.key_place)
        stage["output"] = span


def _read(node: Any, day: str, error: float) -> Any:
    """A figure that knows its day and the error of its meter."""
    if not isinstance(node, Text):
        return node
    made = Reading(node)
    made.put(node.place, node.path, node.key_place)
    made.day, made.error = day, error
    return made


def _error(item: Map) -> float:
    """Of the meter; what can't be read is told where the key itself is."""
    text = item.get("meter")
    try:
        return read(text if isinstance(text, Text) else METER, PERCENT).si
    except UnitsError:
        return 0.0


def _slot(data: Map, of: str) -> tuple[Map, str] | None:
    """The map that a part stands in, and its key there."""
    return {path: (owner, key) for path, owner, key in _parts(data)}.get(of)


def _paths(data: Map) -> list[str]:
    return [path for path, _, _ in _parts(data)]


def _parts(data: Map) -> list[tuple[str, Map, str]]:
    """The parts of the circuit that a spec writes: path, the map it stands in, its key there."""
    found = []
    for name in ("rows", "supplies", "chain", "auxiliaries"):
        items = data.get(name)
        for number, item in enumerate(items if isinstance(items, Items) else (), 1):
            if isinstance(item, Map) and item:
                key = "tape" if name == "rows" else next(iter(item))
                key = next((k for k in _SOURCES if k in item), key)
                if key in item:
                    path = f"rows.{number}.tape" if name == "rows" else item.path
                    found.append((path, item, key))
                if name == "supplies":
                    found += [
                        (stage.path, stage, next(iter(stage)))
                        for stage in item.get("chain", ())
                        if isinstance(stage, Map) and stage
                    ]
    wiring = data.get("wiring")
    for name in ("rails", "jumpers"):
        inner = wiring.get(name) if isinstance(wiring, Map) else None
        if isinstance(inner, Map):
            found += [(f"wiring.{name}", inner, key) for key in RAILS if key in inner]
    return found


def _replaced(node: Any, old: Any, new: Any) -> Any:
    """A tree with one of its maps, found by identity, put in another's place."""
    if node is old:
        return new
    if isinstance(node, Map):
        made = {key: _replaced(value, old, new) for key, value in node.items()}
        same = all(made[key] is value for key, value in node.items())
        return node if same else _copy(node, made)
    if isinstance(node, Items):
        listed = [_replaced(value, old, new) for value in node]
        same = all(one is other for one, other in zip(listed, node, strict=True))
        return node if same else _like(node, Items(listed))
    return node


def _copy(node: Any, content: dict[str, Any]) -> Map:
    made: Map = _like(node, Map(content))
    return made


def _like(node: Any, made: Any) -> Any:
    made.__dict__.update(node.__dict__)
    return made
