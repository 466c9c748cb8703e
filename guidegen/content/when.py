"""The condition language of content headers: names of facts, `and or not`, comparisons.

Read over Python's `ast` with a white list; names and types are checked before a condition is
asked, because a misspelt fact that merely counts as "no" would lose a caution without a word.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise, product

from guidegen.content.files import fault
from guidegen.errors import Place, nearest

#: A fact of the design: yes or no, a number in SI, or a word.
Fact = bool | int | float | str

_SIGNS: dict[type[ast.cmpop], str] = {
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
}
_ACCEPTED = "names of facts, and, or, not, ==, !=, <, <=, >, >=, numbers and 'words'"
# More cases than this and the proof treats each comparison as free.
_MOST_CASES = 50_000
_NOWHERE = Place("condition")


@dataclass(frozen=True)
class Condition:
    """A condition as it stands in a header; an empty text holds always.

    Raises
    ------
    ContentError
        If the text holds anything but the accepted forms.

    Examples
    --------
    >>> Condition("bare and rails.current > 3").holds({"bare": True, "rails.current": 4.2})
    True
    """

    text: str
    place: Place = _NOWHERE
    tree: ast.expr = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        try:
            tree = ast.parse(self.text.strip() or "True", mode="eval").body
        except (SyntaxError, ValueError, RecursionError, MemoryError):
            raise fault(self.place, f"'{self.text}' can't be read. Accepted: {_ACCEPTED}") from None
        if self.text.strip():
            self._listed(tree)
        object.__setattr__(self, "tree", tree)

    @property
    def always(self) -> bool:
        """Whether nothing is asked."""
        return not self.text.strip()

    @property
    def atoms(self) -> tuple[str, ...]:
        """The single questions in it, each once, as text."""
        return tuple(dict.fromkeys(ast.unparse(node) for node in self.atom_nodes()))

    @property
    def names(self) -> tuple[str, ...]:
        """The facts it asks, each once."""
        found = (name for atom in self.atom_nodes() for name in _names(atom))
        return tuple(dict.fromkeys(found))

    def atom_nodes(self) -> Iterator[ast.expr]:
        """The comparisons and bare names, as they stand."""
        return iter(()) if self.always else _atoms(self.tree)

    def troubles(self, facts: Mapping[str, Fact]) -> list[str]:
        """What is wrong with it, given the facts that are known: misspelt names, unlike types."""
        found = [_unknown(name, facts) for name in self.names if name not in facts]
        if found:
            return found
        return [text for atom in self.atom_nodes() if (text := _type_trouble(atom, facts))]

    def check(self, facts: Mapping[str, Fact]) -> None:
        """Make sure that it can be asked.

        Raises
        ------
        ContentError
            If it asks a fact that is not known, or compares unlike things.
        """
        found = self.troubles(facts)
        if found:
            raise fault(self.place, " ".join(found))

    def holds(self, facts: Mapping[str, Fact]) -> bool:
        """Whether it is true for these facts.

        Raises
        ------
        ContentError
            If it asks a fact that is not known, or compares unlike things.
        """
        self.check(facts)
        return self.always or _truth(self.tree, facts)

    def _listed(self, node: ast.expr) -> None:
        if isinstance(node, ast.BoolOp):
            for value in node.values:
                self._listed(value)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            self._listed(node.operand)
        elif isinstance(node, ast.Compare):
            self._comparison(node)
        elif not name_of(node):
            raise self._refused(node)

    def _comparison(self, node: ast.Compare) -> None:
        if len(node.ops) != 1:
            raise fault(self.place, f"'{self.text}': two things at a time can be compared")
        if type(node.ops[0]) not in _SIGNS:
            raise self._refused(node)
        for side in (node.left, node.comparators[0]):
            if not name_of(side) and literal(side) is None:
                raise self._refused(side)
        if not name_of(node.left) and not name_of(node.comparators[0]):
            raise fault(self.place, f"'{ast.unparse(node)}' asks no fact")

    def _refused(self, node: ast.expr) -> Exception:
        return fault(self.place, f"'{ast.unparse(node)}' is not accepted in a condition. "
                     f"Accepted: {_ACCEPTED}")  # fmt: skip


def can_be(condition: Condition) -> set[bool]:
    """The outcomes that a condition can have, over all facts: a sound one has both.

    Facts are varied, not questions: `supply == 'a' and supply == 'b'` can't be true. Numbers
    are tried at, between and beyond the literals they are compared with.

    Examples
    --------
    >>> can_be(Condition("fan or not fan"))
    {True}
    """
    if condition.always:
        return {True}
    choices = _choices(condition)
    cases = 1
    for options in choices.values():
        cases *= len(options)
    if cases > _MOST_CASES:
        raise fault(condition.place, f"asks too much at once: {len(choices)} facts")
    return {
        _truth(condition.tree, dict(zip(choices, values, strict=True)))
        for values in product(*choices.values())
    }


def decides(condition: Condition, atom: str, facts: Mapping[str, Fact]) -> bool:
    """Whether the outcome would change if this one question had the other answer."""
    plain = _truth(condition.tree, facts)
    return plain != _truth(condition.tree, facts, flipped=atom)


def _atoms(node: ast.expr) -> Iterator[ast.expr]:
    if isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from _atoms(value)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield from _atoms(node.operand)
    else:
        yield node


def name_of(node: ast.expr) -> str:
    """The dotted name that a node is, or an empty text."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        before = name_of(node.value)
        return f"{before}.{node.attr}" if before else ""
    return ""


def _names(atom: ast.expr) -> Iterator[str]:
    sides = [atom.left, *atom.comparators] if isinstance(atom, ast.Compare) else [atom]
    yield from (name for side in sides if (name := name_of(side)))


def literal(node: ast.expr) -> Fact | None:
    """The number or word that a node is, or None."""
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        inner = literal(node.operand)
        return -inner if isinstance(inner, int | float) else None
    # bool counts as a number in Python; a yes-or-no fact stands alone here.
    if isinstance(node, ast.Constant) and type(node.value) in (int, float, str):
        return node.value  # type: ignore[return-value]
    return None


def _side(node: ast.expr, facts: Mapping[str, Fact]) -> Fact:
    name = name_of(node)
    found = facts[name] if name else literal(node)
    assert found is not None
    return found


def _truth(node: ast.expr, facts: Mapping[str, Fact], flipped: str = "") -> bool:
    if isinstance(node, ast.BoolOp):
        answers = (_truth(value, facts, flipped) for value in node.values)
        return all(answers) if isinstance(node.op, ast.And) else any(answers)
    if isinstance(node, ast.UnaryOp):
        return not _truth(node.operand, facts, flipped)
    return answer(node, facts) != (ast.unparse(node) == flipped)


def sign_of(atom: ast.Compare) -> str:
    """The sign of a comparison."""
    return _SIGNS[type(atom.ops[0])]


def answer(atom: ast.expr, facts: Mapping[str, Fact]) -> bool:
    """The answer to one question."""
    if not isinstance(atom, ast.Compare):
        return bool(facts[name_of(atom)])
    left, right = _side(atom.left, facts), _side(atom.comparators[0], facts)
    sign = _SIGNS[type(atom.ops[0])]
    if sign in ("==", "!="):
        return (left == right) == (sign == "==")
    assert not isinstance(left, str)
    assert not isinstance(right, str)
    return {"<": left < right, "<=": left <= right, ">": left > right, ">=": left >= right}[sign]


def _unknown(name: str, facts: Mapping[str, Fact]) -> str:
    guess = nearest(name, facts)
    return f"no fact is called '{name}'." + (f" Did you mean '{guess}'?" if guess else "")


def _sort(value: Fact) -> str:
    if isinstance(value, bool):
        return "yes or no"
    return "a word" if isinstance(value, str) else "a number"


def _type_trouble(atom: ast.expr, facts: Mapping[str, Fact]) -> str:
    text = ast.unparse(atom)
    if not isinstance(atom, ast.Compare):
        sort = _sort(facts[name_of(atom)])
        return "" if sort == "yes or no" else f"'{text}' is {sort}: compare it with something."
    left, right = (_sort(_side(node, facts)) for node in (atom.left, atom.comparators[0]))
    if "yes or no" in (left, right):
        return f"'{text}': a fact that is yes or no stands alone."
    if left != right:
        return f"'{text}' compares {left} with {right}."
    if left == "a word" and type(atom.ops[0]) not in (ast.Eq, ast.NotEq):
        return f"'{text}': words can only be equal or not."
    return ""


def _choices(condition: Condition) -> dict[str, list[Fact]]:
    """Facts to try for each name: enough for every comparison to come out both ways."""
    numbers: set[float] = set()
    texts: dict[str, set[str]] = {}
    sorts: dict[str, str] = {}
    for atom in condition.atom_nodes():
        literals = [
            found
            for side in ([atom.left, *atom.comparators] if isinstance(atom, ast.Compare) else [])
            if (found := literal(side)) is not None
        ]
        for name in _names(atom):
            if not isinstance(atom, ast.Compare):
                sorts[name] = "yes or no"
            elif literals and isinstance(literals[0], str):
                sorts[name] = "a word"
                texts.setdefault(name, set()).update(str(item) for item in literals)
            else:
                sorts.setdefault(name, "a number")
                numbers.update(float(item) for item in literals)
    return {name: _options(sort, numbers, texts.get(name, set())) for name, sort in sorts.items()}


def _options(sort: str, numbers: set[float], texts: set[str]) -> list[Fact]:
    if sort == "yes or no":
        return [False, True]
    if sort == "a word":
        return ["", *sorted(texts)]
    marks = sorted(numbers) or [0.0]
    between = [(low + high) / 2 for low, high in pairwise(marks)]
    return [*sorted([*marks, *between]), marks[0] - 1, marks[-1] + 1]
