"""The main numbers of a guide, and how they moved since the guide before."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from guidegen.content.files import search_path
from guidegen.content.words import load_words


def main_numbers(record: bytes) -> dict[str, str]:
    """The main numbers of a guide's record, as texts; none if it has no such part.

    Examples
    --------
    >>> main_numbers(b'{"main": {"fuse.rating": {"text": "5 A"}}}')
    {'fuse.rating': '5 A'}
    """
    try:
        main = json.loads(record)["main"]
        return {name: _text(value) for name, value in main.items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}  # the record of another version: nothing to compare


def _text(value: Any) -> str:
    return str(value["text"] if isinstance(value, dict) else value)


def moved(before: Mapping[str, str], after: Mapping[str, str]) -> list[str]:
    """A line for each number that changed, came or went.

    Examples
    --------
    >>> moved({"fuse.rating": "5 A"}, {"fuse.rating": "7.5 A"})
    ['rating of the fuse: 5 A → 7.5 A']
    """
    names = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    if not names:
        return []
    words = load_words(search_path())
    return [
        f"{words.value(name)}: {before.get(name, 'none')} → {after.get(name, 'none')}"
        for name in names
    ]
