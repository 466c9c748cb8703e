"""Why a rule does not apply to this fixture, in words."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping

from guidegen.content.when import Condition, Fact, answer, literal, name_of, sign_of
from guidegen.content.words import FactWords, Words
from guidegen.values import Value


def reason(
    asked: Condition, facts: Mapping[str, Fact], values: Mapping[str, Value], words: Words
) -> str:
    """The answers that made a condition false: 'no battery; current in a rail is 2.1 A'.

    Parameters
    ----------
    asked : Condition
        A condition that does not hold.
    facts : mapping of str to fact
        All facts.
    values : mapping of str to Value
        For the text of facts that are values.
    words : Words
        Words for facts.
    """
    texts = [_said(atom, facts, values, words) for atom in _guilty(asked.tree, facts, False)]
    return "; ".join(dict.fromkeys(texts))


def _guilty(node: ast.expr, facts: Mapping[str, Fact], wanted: bool) -> Iterator[ast.expr]:
    """The questions whose answers gave this outcome."""
    if isinstance(node, ast.UnaryOp):
        yield from _guilty(node.operand, facts, not wanted)
    elif isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from _guilty(value, facts, wanted)
    elif answer(node, facts) == wanted:
        yield node


def _said(
    atom: ast.expr, facts: Mapping[str, Fact], values: Mapping[str, Value], words: Words
) -> str:
    if not isinstance(atom, ast.Compare):
        return _yes_no(name_of(atom), bool(facts[name_of(atom)]), words)
    sides = [atom.left, atom.comparators[0]]
    names = [name for side in sides if (name := name_of(side))]
    text = ", ".join(f"{_called(name, words)}: {_shown(name, facts, values)}" for name in names)
    limits = [found for side in sides if (found := literal(side)) is not None]
    if limits and not isinstance(limits[0], str) and names[0] in values:
        sign = words.phrases.get(sign_of(atom), sign_of(atom))
        limit = values[names[0]].kind.text(float(limits[0]))
        text += f" ({words.phrases['applies']} {sign} {limit})"
    return text


def _yes_no(name: str, yes: bool, words: Words) -> str:
    said = words.facts.get(name)
    if isinstance(said, FactWords):
        return said.yes if yes else said.no
    return f"{_called(name, words)}: {words.phrases['yes' if yes else 'no']}"


def _called(name: str, words: Words) -> str:
    said = words.facts.get(name) or words.values.get(name)
    return said if isinstance(said, str) else name.replace(".", " ").replace("_", " ")


def _shown(name: str, facts: Mapping[str, Fact], values: Mapping[str, Value]) -> str:
    if name in values:
        return str(values[name])
    found = facts[name]
    # A count is a whole number that was stored as a float.
    return f"{found:g}" if isinstance(found, float) else str(found)
