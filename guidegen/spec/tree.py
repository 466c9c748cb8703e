"""Texts, maps and lists of a YAML file that know where they stand."""

from __future__ import annotations

import re
from typing import Any

from guidegen.errors import Place, Trouble
from guidegen.units import clip

#: Lists whose items are called by what they are: `chain.fuse`, not `chain.3`.
BY_KIND = frozenset({"chain", "supplies"})


class Node:
    """Where a text, map or list stands, and what it is called."""

    place: Place
    """Of the value."""
    key_place: Place
    """Of its key; the value's own place in a list."""
    path: str
    """`chain.lead.size`."""
    prefix = ""
    """Of the names of its values, where it is not that of its kind: `lead_2`."""

    def put(self, place: Place, path: str, key_place: Place | None = None) -> None:
        """Say where it stands."""
        self.place, self.path, self.key_place = place, path, key_place or place

    def trouble(self, message: str, at_key: bool = False) -> Trouble:
        """A fault of this node, at its value or at its key."""
        return Trouble(self.key_place if at_key else self.place, self.path, message)


class Text(Node, str):
    """A scalar as it was written."""


class Reading(Text):
    """A scalar that was measured."""

    day: str
    error: float
    """Of the meter, as a share of the reading."""


class Map(Node, dict[str, Any]):
    """A map; keys keep the order of the file."""


class Items(Node, list[Any]):
    """A list."""


def name_paths(node: Text | Map | Items, path: str) -> None:
    """Give every node its path: items by name, by kind if that is unique, else by number."""
    node.path = path
    if not hasattr(node, "key_place"):
        node.key_place = node.place
    if isinstance(node, Map):
        for key, value in node.items():
            name = clip(key).strip("'")
            name_paths(value, f"{path}.{name}" if path else name)
    elif isinstance(node, Items):
        kinds = [_kind(item) for item in node]
        for number, (item, kind) in enumerate(zip(node, kinds, strict=True), 1):
            by_kind = path.rpartition(".")[2] in BY_KIND and kind and kinds.count(kind) == 1
            name_paths(item, f"{path}.{_name(item) or (kind if by_kind else number)}")
            if by_kind and not _name(item):
                item[kind].path = item.path  # `chain.fuse`, not `chain.fuse.fuse`


def _kind(item: object) -> str:
    return next(iter(item), "") if isinstance(item, Map) else ""


def _name(item: object) -> str:
    name = item.get("name") if isinstance(item, Map) else None
    return str(name) if isinstance(name, Text) and re.fullmatch(r"[\w -]{1,40}", name) else ""
