"""A spec with changes that were typed as `KEY=VALUE`, nothing written anywhere.

A fault of such a change stands at the number of its argument and the column in it, and all the
rest keeps the place that it has in the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from guidegen.errors import GuidegenError, Place, SpecError, Trouble, nearest
from guidegen.spec.builder import UNPRINTABLE, Builder
from guidegen.spec.changes import dumped, item, put
from guidegen.spec.electrics import STORES, SUPPLIES
from guidegen.spec.load import fixture_of_tree, library_of
from guidegen.spec.model import Fixture
from guidegen.spec.reader import parse
from guidegen.spec.section import OnlyOne, Section
from guidegen.spec.stages import RANK, Stage
from guidegen.spec.tree import BY_KIND, Items, Map, Node, Text, name_paths
from guidegen.units import clip, tidy

#: What stands for the file in the place of a fault.
ARGUMENT = "argument"
#: Short for the part of the only supply.
SUPPLY = "supply"
LONGEST_KEY, LONGEST_VALUE = 200, 1000
MOST_COLUMNS, MOST_CHANGES = 12, 60
LEFT_OUT = "(left out)"
_EXAMPLE = "'chain.lead.size=1.5 mm²'"
_NUMBER = re.compile(r"[0-9]{1,4}")


@dataclass(frozen=True)
class Change:
    """One `KEY=VALUE`."""

    key: str
    """`chain.lead.size`, as typed."""
    value: str
    number: int
    """Of the argument, from 1."""
    node: Any
    """The value as a text, map or list with its place."""

    def place(self, column: int = 1) -> Place:
        """A column of the argument."""
        return Place(ARGUMENT, self.number, column)

    def fault(self, message: str, column: int = 1) -> SpecError:
        """The error of one fault of this change."""
        return SpecError([Trouble(self.place(column), self.key, message)])


def read_columns(columns: Sequence[Sequence[str]]) -> list[list[Change]]:
    """All changes of a command, those of each column together, numbered through.

    Raises
    ------
    SpecError
        With all faults; also where there are no changes, or too many.
    """
    found: list[list[Change]] = []
    faults: list[Trouble] = []
    number = 1
    for texts in columns:
        found.append([])
        if not texts:
            accepted = f"Accepted: at least one KEY=VALUE, such as {_EXAMPLE}."
            faults.append(Trouble(Place(ARGUMENT, number, 1), "", f"no change here. {accepted}"))
        for text in texts:
            try:
                found[-1].append(read_change(text, number))
            except SpecError as error:
                faults += error.troubles
            number += 1
    if len(columns) > MOST_COLUMNS or number > MOST_CHANGES + 1:
        accepted = f"at most {MOST_COLUMNS} columns, and {MOST_CHANGES} changes in all"
        faults = [Trouble(Place(ARGUMENT), "", f"too many. Accepted: {accepted}.")]
    if faults:
        raise SpecError(faults)
    return found


def read_change(text: str, number: int) -> Change:
    """One argument as a change.

    Parameters
    ----------
    text : str
        `chain.lead.size=14 AWG`.
    number : int
        Of the argument, from 1.

    Raises
    ------
    SpecError
        If it is no `KEY=VALUE`, or its value is no YAML.
    """
    key, equals, value = text.partition("=")
    change = Change(tidy(key[: LONGEST_KEY + 1]), value, number, None)
    if not equals:
        raise replace(change, key="").fault(
            f"{clip(text)} is no change. Accepted: KEY=VALUE, such as {_EXAMPLE}."
        )
    if UNPRINTABLE.search(text) or not text.isprintable():
        raise replace(change, key="").fault(
            f"{clip(text)} holds a line break or a control character. Accepted: one line of text."
        )
    if len(key) > LONGEST_KEY or any(not step for step in change.key.split(".")):
        raise replace(change, key="").fault(
            f"{clip(key)} is no key. Accepted: a key of the spec, its steps with points between"
            f" them, such as {_EXAMPLE}."
        )
    first = len(key) + 2
    if len(value) > LONGEST_VALUE:
        raise change.fault(f"longer than {LONGEST_VALUE} characters. Accepted: a value", first)
    return replace(change, node=_value(change, first))


def _value(change: Change, first: int) -> Any:
    builder = Builder(ARGUMENT)
    node = builder.build(change.value)
    if builder.troubles:
        raise SpecError(
            Trouble(change.place(first + max(0, one.place.column - 1)), change.key,
                    one.message + "." * (not one.message.endswith((".", "?"))))
            for one in builder.troubles
        )  # fmt: skip
    if node is None or node == "":
        raise change.fault(
            f"nothing stands after '='. Accepted: a value; '{LEFT_OUT}' takes the key away.", first
        )
    for inner in _nodes(node):
        inner.place = change.place(first + inner.place.column - 1)
        if hasattr(inner, "key_place"):
            inner.key_place = change.place(first + inner.key_place.column - 1)
    return node


def _nodes(node: Any) -> Iterator[Any]:
    yield node
    inside = node.values() if isinstance(node, Map) else node if isinstance(node, Items) else ()
    for inner in inside:
        yield from _nodes(inner)


def overridden(fixture: Fixture, changes: Sequence[Change]) -> Fixture:
    """The fixture as if these changes stood in its file.

    Parameters
    ----------
    fixture : Fixture
        What its file says; it stays as it is.
    changes : sequence of Change
        Keys as the spec's own messages write them; `supply` takes an adapter, a battery or a
        bank by its key.

    Raises
    ------
    SpecError
        With all faults; those of a change at `argument:NUMBER:COLUMN`.
    """
    tree = _tree(fixture)
    known = [key for key, _ in known_keys(fixture)]
    faults: list[Trouble] = []
    seen: dict[str, int] = {}
    for change in changes:
        try:
            _apply(tree, change, fixture, known, seen)
        except SpecError as error:
            faults += error.troubles
    if faults:
        raise SpecError(faults)
    name_paths(tree, "")
    try:
        return fixture_of_tree(tree, dumped(_plain(tree)), fixture.path)
    except SpecError as error:
        raise SpecError(_hinted(one, changes, known) for one in error.troubles) from None


def _tree(fixture: Fixture) -> Map:
    # Read again: validation completes the tree that it is given.
    return parse(fixture.text.encode(), fixture.path.name, [])


def _apply(
    tree: Map, change: Change, fixture: Fixture, known: Sequence[str], seen: dict[str, int]
) -> None:
    path, node = change.key, change.node
    if path == SUPPLY:
        path, node = "supplies.1", _supply(tree, change, fixture)
    first = seen.setdefault(path, change.number)
    if first != change.number:
        raise change.fault(f"changed twice. Accepted: once; the first is argument {first}.")
    _refuse_astray(tree, path, change, known)
    try:
        put(tree, path, node)
    except GuidegenError as error:
        raise change.fault(f"{error}. {_accepted(change.key, known)}") from None
    columns, column = {}, 1
    for step in change.key.split("."):
        columns[step.removeprefix("+")] = last = column
        column += len(step) + 1
    node.key_place = change.place(last)
    _give_places(tree, change, columns)


def _supply(tree: Map, change: Change, fixture: Fixture) -> Map:
    """The only supply with another part; what stays with a battery stays with the next one."""
    name = tidy(change.node) if isinstance(change.node, Text) else ""
    library = library_of(tree, fixture.path, [])
    part = library.find(name) if name not in ("", "auto") else None
    kind = fixture.supply.kind if name == "auto" else part.kind if part else ""
    if kind not in SUPPLIES:
        own = f"{clip(name)} is no supply" if name else "a list or map stands here"
        keys = [one.key for kind in SUPPLIES for one in library.of_kind(kind)]
        guess = nearest(name[:60], keys)
        hint = f" Did you mean '{guess}'?" if guess else ""
        raise change.fault(
            f"{own}. Accepted: the key of an adapter, a battery or a bank, such as"
            f" 'adapter-19v-65w', or auto.{hint}", change.node.place.column)  # fmt: skip
    old = tree["supplies"][0]
    # A chain stays with what stores energy, a profile with what is negotiated.
    drops = {"chain": kind not in STORES, "profile": kind != "negotiated"}
    kept = {key: value for key, value in old.items()
            if key not in SUPPLIES and not drops.get(key, False)}  # fmt: skip
    made = Map({kind: change.node, **kept})
    made.put(change.node.place, "", change.place())
    change.node.key_place = change.place()
    return made


def _refuse_astray(tree: Map, path: str, change: Change, known: Sequence[str]) -> None:
    """Refuse a step that no item of a list answers to."""
    node: Any = tree
    column, before = 1, ""
    for step in path.split("."):
        if isinstance(node, Items):
            inside, node = node, _one_of(node, step, before)
            if node is None and not (before == "chain" and step.removeprefix("+") in RANK):
                raise change.fault(_no_item(step, inside, before, change, known), column)
        elif step.startswith("+"):
            raise change.fault(
                f"{clip(step)} adds nothing here: only a chain takes one more stage. "
                f"{_accepted(change.key, known)}", column)  # fmt: skip
        else:
            node = node.get(step) if isinstance(node, Map) else None
        column, before = column + len(step) + 1, step


def _one_of(items: Items, step: str, name: str) -> Any:
    """The item that a step means, as `name_paths` calls it; elsewhere a key would be ambiguous."""
    if step.isdigit():
        number = int(step) if _NUMBER.fullmatch(step) else 0
        return items[number - 1] if 1 <= number <= len(items) else None
    found = item(items, step)
    by_name = isinstance(found, Map) and step not in found
    return found if by_name or name in BY_KIND else None


def _no_item(step: str, inside: Items, name: str, change: Change, known: Sequence[str]) -> str:
    hint = nearest_key(change.key, known)
    guess = f" Did you mean '{hint}'?" if hint else ""
    numbers = [str(number) for number in range(1, len(inside) + 1)]
    accepted = ", ".join([*RANK] if name == "chain" else numbers)
    whole = "the whole list at once"
    return f"there is no item {clip(step)} in this list. Accepted: {accepted or whole}.{guess}"


def _accepted(key: str, known: Sequence[str]) -> str:
    hint = nearest_key(key, known)
    guess = f" Did you mean '{hint}'?" if hint else ""
    return f"Accepted: a key of this spec, such as {_EXAMPLE}.{guess}"


def nearest_key(key: str, known: Sequence[str]) -> str:
    """The key of a spec that was probably meant, or an empty text.

    Examples
    --------
    >>> nearest_key("wiring.lead.size", ["wiring.rails.size", "chain.lead.size"])
    'chain.lead.size'
    """
    # What is meant is said by the end; where it stands is what people do not remember.
    end = "." + ".".join(key.split(".")[-2:])
    same = [one for one in known if ("." + one).endswith(end)]
    return nearest(key, same) or next(iter(same), "") or nearest(key[:80], known)


def _give_places(node: Any, change: Change, columns: dict[str, int]) -> None:
    """A place for what was put in on the way to the value."""
    entries = list(node.items() if isinstance(node, Map) else enumerate(node))
    for key, inner in entries:
        if not isinstance(inner, Node):
            inner = _as_node(inner)
            inner.place = change.place(change.node.place.column)
            node[key] = inner
        if not hasattr(inner, "key_place"):
            inner.key_place = change.place(columns.get(str(key), 1))
        if isinstance(inner, Map | Items):
            _give_places(inner, change, columns)


def _as_node(plain: Any) -> Any:
    made = Map if isinstance(plain, dict) else Items if isinstance(plain, list) else Text
    return made(plain)


def _plain(node: Any) -> Any:
    if isinstance(node, Map):
        return {str(key): _plain(value) for key, value in node.items()}
    return [_plain(value) for value in node] if isinstance(node, Items) else str(node)


def _hinted(trouble: Trouble, changes: Sequence[Change], known: Sequence[str]) -> Trouble:
    """A fault of a key that was typed: the nearest is a whole key, not its last step alone."""
    change = next((one for one in changes if trouble.place.file == ARGUMENT
                   and one.number == trouble.place.line), None)  # fmt: skip
    at_key = change is not None and trouble.place.column <= len(change.key)
    if change is None or not at_key or not trouble.message.startswith("unknown key"):
        return trouble
    hint = nearest_key(change.key, known)
    words = trouble.message.partition(" Did you mean")[0]
    return replace(trouble, message=f"{words} Did you mean '{hint}'?" if hint else words)


def known_keys(section: Section, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every key that the sections of a spec take, as messages write it, and what it stands for.

    Keys that are left out are among them; an item with a name goes by number and by name.
    """
    for field, info in type(section).model_fields.items():
        value = getattr(section, field)
        key = f"{path}{info.alias or field}"
        if isinstance(section, Stage) and field == "part":
            yield section.path, value
        elif any(isinstance(mark, OnlyOne) for mark in info.metadata):
            yield from _items_of(key, (value,))
        elif isinstance(value, tuple):
            yield key, value
            yield from _items_of(key, value)
        else:
            yield key, value
            if isinstance(value, Section):
                yield from known_keys(value, f"{key}.")
    if not path and isinstance(section, Fixture):
        yield SUPPLY, section.supply.part


def _items_of(key: str, items: Sequence[Any]) -> Iterator[tuple[str, Any]]:
    for number, one in enumerate(items, 1):
        if isinstance(one, Stage):
            yield from known_keys(one, f"{one.path}.")
        elif isinstance(one, Section):
            name = getattr(one, "name", "")
            for called in (str(number), *([name] if isinstance(name, str) and name else [])):
                yield f"{key}.{called}", one
                yield from known_keys(one, f"{key}.{called}.")


def written(fixture: Fixture, key: str) -> str:
    """What the file of a fixture says at a key, in one line; `(left out)` where it says nothing."""
    node: Any = _tree(fixture)
    steps = ["supplies", "1"] if key == SUPPLY else key.split(".")
    if steps[-1].startswith("+"):
        return LEFT_OUT
    for number, step in enumerate(steps):
        if isinstance(node, Items):
            found = item(node, step)
            last = number == len(steps) - 1
            # `chain.fuse` is the part of the stage, `chain.3` the whole stage.
            node = found.get(step, found) if last and isinstance(found, Map) else found
        else:
            node = node.get(step) if isinstance(node, Map) else None
    if key == SUPPLY and isinstance(node, Map):
        node = next((node[kind] for kind in SUPPLIES if kind in node), None)
    return LEFT_OUT if node is None else _flow(node)


def _flow(node: Any) -> str:
    if isinstance(node, Map):
        return "{" + ", ".join(f"{key}: {_flow(value)}" for key, value in node.items()) + "}"
    return f"[{', '.join(map(_flow, node))}]" if isinstance(node, Items) else tidy(str(node))
