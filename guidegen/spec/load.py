"""A spec file becomes a fixture, or all its faults at once."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from guidegen.errors import Place, SpecError, Trouble
from guidegen.folders import OWN_PARTS
from guidegen.spec.electrics import MOST_SUPPLIES
from guidegen.spec.keys import MOST, Context
from guidegen.spec.model import Fixture
from guidegen.spec.parts import Library
from guidegen.spec.reader import parse, read_bytes, read_file
from guidegen.spec.tree import Items, Map, Node


def load_fixture(path: Path) -> Fixture:
    """Read a fixture spec and the own parts file beside it.

    Parameters
    ----------
    path : Path
        The spec file.

    Raises
    ------
    SpecError
        With all faults, each with its place, what is accepted and the nearest match.
    """
    try:
        data = read_bytes(path)
    except SpecError as error:
        raise SpecError(_readable(error.troubles)) from None
    return fixture_of(data, path)


def fixture_of(data: bytes, path: Path) -> Fixture:
    """The fixture of a spec's bytes; `path` says what they are called and where they lie.

    Raises
    ------
    SpecError
        With all faults.
    """
    troubles: list[Trouble] = []
    try:
        tree = parse(data, path.name, troubles)
    except SpecError as error:
        raise SpecError(_readable(error.troubles)) from None
    return fixture_of_tree(tree, data.decode("utf-8-sig"), path, troubles)


def fixture_of_tree(tree: Map, text: str, path: Path, troubles: Sequence[Trouble] = ()) -> Fixture:
    """The fixture of a spec that is a tree already, each node with its place and its path.

    Parameters
    ----------
    tree : Map
        The whole spec.
    text : str
        The same as YAML: what a mend changes.
    path : Path
        What the spec is called, and where it lies.
    troubles : sequence of Trouble
        What was found wrong while it was read.

    Raises
    ------
    SpecError
        With all faults.
    """
    found = list(troubles)
    library = library_of(tree, path, found)
    supplies = tree.get("supplies")
    others = len(supplies[1:MOST_SUPPLIES]) if isinstance(supplies, Items) else 0
    # Validation completes the tree that it is given: each reading has its own.
    fresh = [deepcopy(tree) for _ in range(others)]
    fixture = _validated(tree, Context(library, found))
    if found or fixture is None:
        raise SpecError(_readable(found))
    fixture._path, fixture._tree, fixture._text = path, tree, text
    if fresh:
        fixture._alternatives = _alternatives(fresh, fixture, Context(library, found))
    return fixture


def _alternatives(trees: Sequence[Map], fixture: Fixture, context: Context) -> tuple[Fixture, ...]:
    """The same light with each further supply.

    Raises
    ------
    SpecError
        With the faults of all of them.
    """
    read = [_validated(tree, replace(context, supply=number))
            for number, tree in enumerate(trees, 1)]  # fmt: skip
    if context.troubles:
        raise SpecError(_readable(context.troubles))
    for number, (tree, one) in enumerate(zip(trees, read, strict=True), 1):
        assert one is not None  # nothing fails without a trouble
        # Whoever asks where the supply stands means this one.
        listed, alone = tree["supplies"], Items([tree["supplies"][number]])
        alone.__dict__.update(listed.__dict__)
        tree["supplies"] = alone
        one._path, one._tree, one._text = fixture._path, tree, fixture._text
    return tuple(one for one in read if one is not None)


def library_of(tree: Map, path: Path, troubles: list[Trouble]) -> Library:
    """All parts that a spec can name: the catalogue, then what lies nearer."""
    library = Library(troubles)
    own = path.parent / OWN_PARTS
    if own.is_file() and path.name != OWN_PARTS:
        try:
            library.add(read_file(own, troubles), "own parts file")
        except SpecError as error:
            troubles += error.troubles
    if "parts" in tree:
        library.add(tree["parts"], "spec")
    library.check()
    return library


def _validated(tree: Map, context: Context) -> Fixture | None:
    try:
        return Fixture.model_validate(tree, context=context)
    except ValidationError as error:
        for found in error.errors(include_url=False, include_context=False):
            _note(found, tree, context)
        return None


def _note(found: Any, tree: Map, context: Context) -> None:
    """A pydantic error as a trouble; what is missing was noted where its section was read."""
    node = found["input"] if isinstance(found["input"], Node) else tree
    if found["type"] == "missing" or not hasattr(node, "place"):
        return
    if found["type"] == "spec":
        context.note(node, found["msg"])
    elif found["type"] == "too_long":
        context.note(node, f"too many items. Accepted: at most {found['msg'].split()[5]}")
    else:
        what = (
            "a list" if isinstance(node, Items) else "a map" if isinstance(node, Map) else "a text"
        )
        context.note(node, f"{what} stands here. Accepted: see 'guidegen schema' for this key")


def _readable(troubles: Sequence[Trouble]) -> list[Trouble]:
    """One message a place, since one slip is one message; each ends as a sentence."""
    found: dict[Place, Trouble] = {}
    for trouble in troubles:
        end = "" if trouble.message.endswith((".", "?", ")")) else "."
        found.setdefault(trouble.place, replace(trouble, message=trouble.message + end))
    ordered = sorted(found.values())
    if len(ordered) > MOST:
        message = f"{len(ordered)} faults; the first {MOST} follow."
        return [Trouble(Place(ordered[0].place.file), "", message), *ordered[:MOST]]
    return ordered
