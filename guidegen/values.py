"""Values as remembered calls.

`work("row.drop", tape_drop_one_end, feed_current=current, ...)` calls a pure function of floats
and keeps the function, its inputs and the number. Everything else is derived from that: the
formula that the reader sees is the function's own `return` expression, unit and rounding come
from its annotations, the source from its docstring, the tolerance band from calling the same
functions again with the givens moved.
"""

from __future__ import annotations

import ast
import inspect
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from textwrap import dedent
from typing import Any
from weakref import WeakKeyDictionary

from guidegen.errors import Place
from guidegen.kinds import LOWERED, NBSP, Kind, Law, kind_of, kinds


@dataclass(frozen=True, eq=False)
class Value:
    """A number with its name and kind; compared by identity."""

    name: str
    """`row.current`: anchor on the workings page and key in the record."""
    si: float
    kind: Kind

    def __str__(self) -> str:
        return self.kind.text(self.si)

    @property
    def anchor(self) -> str:
        """The anchor of this value on the workings page."""
        return self.name.replace(".", "-").replace("_", "-")


@dataclass(frozen=True, eq=False)
class Given(Value):
    """A value that was not computed here: from the spec, the catalogue, a table or a choice."""

    source: str = ""
    """`specs/x.yaml:12`, `catalogue tape-12v-10w-cri95 (label)`, `chosen`, `from memory`."""
    spread: float = 0.0
    """Half of its tolerance band, in SI."""
    place: Place | None = None
    """The line that a builder may change."""
    written: str = ""
    """The text as it stands in the file."""
    ends: tuple[float, float] | None = None
    """Its band in SI where that does not lie evenly about it: a solver's."""

    @property
    def band(self) -> tuple[float, float]:
        """What it may be, in SI."""
        return self.ends or (self.si - self.spread, self.si + self.spread)

    @property
    def from_memory(self) -> bool:
        """Whether the value rests on no published source that was checked."""
        return "from memory" in self.source


@dataclass(frozen=True, eq=False)
class Result(Value):
    """A computed value that remembers the call it came from."""

    law: Law
    inputs: Mapping[str, Any]
    """Values, and what the law takes whole."""


def given(name: str, kind: Any, si: float, source: str, spread: float = 0.0) -> Given:
    """A given from an annotated kind such as `Volt`."""
    return Given(name, float(si), kind_of(kind), source=source, spread=spread)


def lettered(number: int) -> str:
    """Letters for a number from 1 on, since a name with a digit would read as one: a, b, z, aa."""
    place, last = divmod(number - 1, 26)
    return (lettered(place) if place else "") + chr(ord("a") + last)


def renamed(value: Given, name: str) -> Given:
    """The same given under another name: a bar's thickness is the rim's thickness."""
    return replace(value, name=name)


def work(name: str, law: Law, **inputs: Any) -> Result:
    """Call a calculation with plain floats and remember the call.

    Raises
    ------
    TypeError
        If an input is neither a Value nor something the law takes whole.
    """
    number = law(**{k: v.si if isinstance(v, Value) else v for k, v in inputs.items()})
    return Result(name, float(number), kinds(law)["return"], law, inputs)


def redo(value: Any, moved: Mapping[Value, float], seen: dict[Value, float]) -> Any:
    """The number with some givens moved: every pure function called again, once."""
    if not isinstance(value, Value):
        return value
    if value not in seen and isinstance(value, Result) and value not in moved:
        seen[value] = value.law(**{k: redo(v, moved, seen) for k, v in value.inputs.items()})
    return seen.setdefault(value, moved.get(value, value.si))


def givens(value: Value) -> list[Given]:
    """All givens a value rests on, each once, in the order they are met."""
    found: dict[Value, None] = {}

    def visit(item: Any) -> None:
        if not isinstance(item, Value) or item in found:
            return
        found[item] = None
        if isinstance(item, Result):
            for part in item.inputs.values():
                visit(part)

    visit(value)
    return [item for item in found if isinstance(item, Given)]


# Weak: a process that serves a guide for days must not keep the values of old designs.
_BANDS: WeakKeyDictionary[Value, tuple[float, float]] = WeakKeyDictionary()


def band(value: Value) -> tuple[float, float]:
    """Worst case over the spreads of all givens, in SI.

    Exact where the value only rises or only falls with each given. A given that enters twice
    counts once.
    """
    if value not in _BANDS:
        low: dict[Value, float] = {}
        high: dict[Value, float] = {}
        for item in givens(value):
            if item.band != (item.si, item.si):
                moved = {redo(value, {item: end}, {}): end for end in item.band}
                low[item], high[item] = moved[min(moved)], moved[max(moved)]
        # The middle counts as well: a distance is least where nothing is moved.
        ends = [value.si, redo(value, low, {}), redo(value, high, {})] if low else [value.si]
        _BANDS[value] = (min(ends), max(ends))
    return _BANDS[value]


@dataclass(frozen=True)
class Shown:
    """A value with its band as one text each: what a check prints."""

    target: str
    low: str
    high: str


def shown_band(value: Value, extra: float = 0.0) -> Shown:
    """Value and limits with equal decimals; the limits of an expected reading round outward.

    Parameters
    ----------
    value : Value
        The expected reading.
    extra : float
        The meter's own error, in SI, added on both sides.
    """
    low, high = band(value)
    kind = value.kind.sized(value.si)
    step = kind.step_at(value.si)
    return Shown(
        kind.text(value.si, step=step),
        kind.text(low - extra, toward="down", step=step),
        kind.text(high + extra, toward="up", step=step),
    )


# --- the formula for the reader ---------------------------------------------------------------


class NoFormula(TypeError):
    """The law is a search, a look-up or a solver: it has a text in `templates/workings/`."""


@cache
def formula(law: Law) -> ast.expr:
    """The function's own return expression; only guards may stand before it.

    Raises
    ------
    NoFormula
        If the function is more than guards and one return.
    """
    tree = ast.parse(dedent(inspect.getsource(inspect.unwrap(law)))).body[0]
    assert isinstance(tree, ast.FunctionDef)
    body = tree.body[1:] if ast.get_docstring(tree) else tree.body
    *guards, last = body
    if not (isinstance(last, ast.Return) and last.value) or {type(g) for g in guards} - {ast.If}:
        raise NoFormula(f"{law.__name__} is no formula: describe it in templates/workings/")
    return last.value


def is_formula(law: Law) -> bool:
    """Whether the law is one return expression."""
    try:
        formula(law)
    except NoFormula:
        return False
    return True


_PRECEDENCE = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}
_SIGNS = {ast.Add: " + ", ast.Sub: " − ", ast.Mult: " · ", ast.Div: " / "}
_FUNCTIONS = {"sqrt": "√", "min": "min", "max": "max", "exp": "exp", "log": "ln", "cos": "cos",
              "abs": "abs", "sin": "sin", "tan": "tan", "atan": "atan", "hypot": "hypot",
              "ceil": "round up", "floor": "round down", "radians": "rad",
              "pi": "π"}  # fmt: skip


def as_html(node: ast.expr, names: Mapping[str, str], outer: int = 0, right: bool = False) -> str:
    """An expression as one line of HTML, in the engineer's own order."""
    if isinstance(node, ast.BinOp):
        mine = _PRECEDENCE[type(node.op)]
        if isinstance(node.op, ast.Pow):
            base = as_html(node.left, names, 5)
            # A number with its unit: what is squared is both.
            base = f"({base})" if NBSP in base and not base.startswith("(") else base
            text = f"{base}<sup>{as_html(node.right, names)}</sup>"
        else:
            text = (
                as_html(node.left, names, mine)
                + _SIGNS[type(node.op)]
                + as_html(node.right, names, mine, right=True)
            )
        tight = mine < outer or (right and mine == outer)
        return f"({text})" if tight else text
    if isinstance(node, ast.UnaryOp):
        text = "−" + as_html(node.operand, names, 3)
        return f"({text})" if outer >= 2 else text
    if isinstance(node, ast.Call):
        called = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        inside = "; ".join(as_html(argument, names) for argument in node.args)
        return f"{_FUNCTIONS.get(called, called)}({inside})"
    if isinstance(node, ast.Attribute):
        return _FUNCTIONS.get(node.attr, node.attr)
    if isinstance(node, ast.Name):
        return names.get(node.id, _FUNCTIONS.get(node.id, node.id))
    if isinstance(node, ast.Constant):
        return str(node.value)
    raise NoFormula(f"{ast.unparse(node)} can't be written as a formula")


def printed_inputs(value: Result) -> dict[str, str]:
    """The inputs as text in SI, with as many digits as the printed sum needs to come out."""
    values = {name: item for name, item in value.inputs.items() if isinstance(item, Value)}
    printed: dict[str, str] = {}
    for finer in range(14):
        printed = {name: item.kind.si_text(item.si, finer) for name, item in values.items()}
        numbers = {name: read_back(printed[name]) for name in values}
        if value.kind.text(value.law(**{**value.inputs, **numbers})) == value.kind.text(value.si):
            break
    return printed


_NUMBER = re.compile(r"([−-]?)([\d\u202f]+(?:[.,]\d+)?)(?:·10([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?")


def read_back(text: str) -> float:
    """The number that a text of the workings page stands for, in SI.

    Examples
    --------
    >>> read_back("7.5·10⁻⁷ m²")
    7.5e-07
    """
    found = _NUMBER.match(text)
    if not found:
        raise ValueError(f"{text!r} holds no number")
    sign, digits, power = found.groups()
    plain = digits.replace("\u202f", "").replace(",", ".")
    number = float(f"{plain}e{(power or '0').translate(LOWERED)}")
    return -number if sign else number


def substituted(value: Result) -> str:
    """The sum with its numbers put in, as HTML."""
    wrapped = {
        name: f"({text})" if text.startswith("−") else text
        for name, text in printed_inputs(value).items()
    }
    return as_html(formula(value.law), wrapped)


def written(law: Law, symbols: Mapping[str, str]) -> str:
    """The formula in symbols, as HTML."""
    return as_html(formula(law), symbols)


def references(law: Law) -> str:
    """The References section of the law's docstring as one line; empty if there is none."""
    doc = inspect.getdoc(law) or ""
    found = re.search(r"References\n-+\n(.*?)(?:\n\n[A-Z][a-z]+\n-+\n|\Z)", doc, re.S)
    if not found:
        return ""
    lines = re.sub(r"^\.\. \[\d+\]\s*", "", found[1].strip(), flags=re.M)
    return " ".join(lines.split())


def summary(law: Law) -> str:
    """First line of the law's docstring, without the full stop."""
    return (inspect.getdoc(law) or law.__name__).splitlines()[0].rstrip(".")


# --- many values ------------------------------------------------------------------------------


@dataclass
class Ledger:
    """The values of a design by name; a name is given once."""

    values: dict[str, Value] = field(default_factory=dict)

    def add(self, value: Value) -> None:
        """Enter a value.

        Raises
        ------
        ValueError
            If the name is taken by another value.
        """
        if self.values.setdefault(value.name, value) is not value:
            raise ValueError(f"two values are called {value.name}")

    def extend(self, values: Iterable[Value]) -> list[Value]:
        """Enter values, and the results that they rest on; returns those that are new."""
        return [item for value in values for item in self._entered(value)]

    def _entered(self, value: Value) -> Iterator[Value]:
        # What was entered before brought its own inputs then.
        if self.values.get(value.name) is value:
            return
        if isinstance(value, Result):
            for item in value.inputs.values():
                if isinstance(item, Value):
                    yield from self._entered(item)
        self.add(value)
        yield value


def finite(value: Value) -> bool:
    """Whether a value and its band are numbers that can be shown."""
    return all(math.isfinite(number) for number in (value.si, *band(value)))
