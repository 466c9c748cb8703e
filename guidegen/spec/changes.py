"""A spec with some of its lines changed: for mends, variations and comparisons."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml

from guidegen.errors import GuidegenError
from guidegen.spec.load import fixture_of
from guidegen.spec.model import Fixture
from guidegen.spec.stages import RANK

# In C where libyaml is there: each mend that is tried reads and writes a whole spec.
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
DUMPER: Any = getattr(yaml, "CDumper", yaml.Dumper)


def changed(fixture: Fixture, changes: Mapping[str, str]) -> Fixture:
    """Another fixture, as if these texts stood in the spec.

    Parameters
    ----------
    fixture : Fixture
        What is changed; it may itself be changed already. Its file stays as it is.
    changes : mapping of str to str
        Path to text: `{"rows.1.count": "11", "chain.lead.size": "1.5 mm²"}`. Items of a list go
        by number from 1, by their kind or by their name; `chain.+fuse` adds an item; the text may
        be YAML.

    Raises
    ------
    SpecError
        If the changed spec is not accepted.
    GuidegenError
        If a path leads nowhere.
    """
    return fixture_of(changed_text(fixture.text, changes).encode(), fixture.path)


def changed_text(text: str, changes: Mapping[str, str]) -> str:
    """The text of a spec with changes; comments are lost."""
    # Every scalar stays the text that it is: `no` is no false, and 12:30 no number.
    tree = yaml.load(text, Loader=LOADER)
    for path, value in changes.items():
        put(tree, path, yaml.load(value, Loader=LOADER))
    return dumped(tree)


def dumped(tree: Any) -> str:
    """A plain tree of a spec as YAML."""
    text: str = yaml.dump(tree, Dumper=DUMPER, allow_unicode=True, sort_keys=False)
    return text


def put(tree: Any, path: str, value: Any) -> None:
    """Write a value into the tree of a spec, which is changed.

    Parameters
    ----------
    tree : dict
        The spec, as maps, lists and texts.
    path : str
        Where to, as in `changed`.
    value : str, dict or list
        What stands there from now on.

    Raises
    ------
    GuidegenError
        If the path leads nowhere.
    """
    *way, last = path.split(".")
    node = tree
    for step, after in zip(way, [*way, last][1:], strict=True):
        node = _step(node, step, after)
    if not isinstance(node, dict | list):
        raise GuidegenError(f"'{last}' can't be changed: the spec has a plain text above it")
    if last.startswith("+"):
        _add(node, last[1:], value)
    elif value == "(left out)" and isinstance(node, dict):
        node.pop(last, None)
    elif value == "(left out)" and isinstance(node, list) and last.isdigit():
        item(node, last)  # refuses a number that no item has
        del node[int(last) - 1]
    elif isinstance(node, list):
        _put_item(node, last, value)
    else:
        node[last] = value


def _step(node: Any, step: str, after: str) -> Any:
    if isinstance(node, list):
        found = item(node, step)
        if found is None:
            found = {step: "auto"}
            # A stage that was left out is put in front of those that come after it.
            node.insert(_rank(node, step), found)
        return found
    if not isinstance(node, dict):
        raise GuidegenError(f"'{step}' can't be changed: the spec has a plain text above it")
    if step not in node or not isinstance(node[step], dict | list):
        node[step] = [] if after.startswith("+") or step == "chain" else _grown(node.get(step))
    return node[step]


def _grown(text: Any) -> dict[str, Any]:
    """A part written as a key becomes a map, so that figures can stand in it."""
    return {"like": text} if isinstance(text, str) else {}


def item(node: list[Any], step: str) -> Any:
    """The item of a list with this number, of this kind or of this name; None if there is none."""
    if step.isdigit():
        if not 1 <= int(step) <= len(node):
            raise GuidegenError(f"there is no item {step} in this list")
        return node[int(step) - 1]
    maps = [one for one in node if isinstance(one, dict)]
    named = (one for one in maps if step not in one and one.get("name") == step)
    return next((one for one in maps if step in one), None) or next(named, None)


def _rank(node: list[Any], kind: str) -> int:
    ranks = [RANK.index(k) for one in node for k in one if k in RANK]
    return sum(rank < RANK.index(kind) for rank in ranks) if kind in RANK else len(node)


def _add(node: Any, kind: str, value: Any) -> None:
    """One more item: a stage where the current passes it, in place of one written as `none`."""
    found = item(node, kind)
    if found is not None and found[kind] == "none":
        found[kind] = value
    else:
        node.insert(_rank(node, kind), {kind: value})


def _put_item(node: list[Any], last: str, value: Any) -> None:
    found = item(node, last)
    if last.isdigit():
        node[int(last) - 1] = value
    elif found is None:
        node.insert(_rank(node, last), {last: value})
    else:
        found[last] = value
