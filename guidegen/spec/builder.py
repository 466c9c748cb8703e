"""The tree of a YAML text, built from the parser's events.

Every scalar stays text until the reader of its key converts it (YAML alone would read `12:30` as
750 and `no` as false), and no alias is ever followed, so no alias bomb can go off.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml

from guidegen.errors import Place, Trouble
from guidegen.spec.tree import Items, Map, Text, name_paths
from guidegen.units import clip

MOST_ENTRIES = 20_000
DEEPEST = 40
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # pure Python where libyaml is missing
# What YAML may hold at all; a tab is judged by the parser. The last is no character, but
# the mark at the head of a file that has none to mark.
UNPRINTABLE = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
# They would show a text, and all that follows it, in another order than it is in.
_TURNS = re.compile("[\u202a-\u202e\u2066-\u2069]")
_HINTS = (
    (
        "mapping values are not allowed",
        "a colon and a space inside a text (quote it), or a line that is indented too far",
    ),
    ("did not find expected key", "the indentation does not fit the lines above"),
    ("expected <block end>", "the indentation does not fit the lines above"),
    ("could not find expected ':'", "a colon and a space are missing after the key"),
    (
        "cannot start any token",
        "a tab, @, ` or % where a word begins: indent with spaces, quote the text",
    ),
    ("quoted scalar", "a quote is opened and not closed"),
    ("did not find expected ',' or", "a bracket or brace is opened and not closed"),
    ("expected ',' or", "a bracket or brace is opened and not closed"),
)


class Builder:
    """Builds the tree from events, and collects what is refused."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.troubles: list[Trouble] = []
        self.broken = False
        """Whether the tree is of no use."""
        self.tree: Text | Map | Items | None = None
        self.open: list[Map | Items] = []
        self.keys: list[tuple[str, Place] | None] = []
        """For each open map: the key that waits for its value."""
        self.firsts: dict[tuple[int, str], int] = {}
        self.documents = 0

    def build(self, text: str) -> Text | Map | Items | None:
        """The root of the first document."""
        try:
            for count, event in enumerate(self._events(text)):
                if count > MOST_ENTRIES:
                    self._break(event, "more than 20,000 entries: no spec is that long")
                elif len(self.open) > DEEPEST:
                    self._break(event, f"nested deeper than {DEEPEST} levels")
                else:
                    self._take(event)
                if self.broken:
                    break
        except yaml.YAMLError as error:
            self._not_yaml(error)
        if self.tree is not None and not self.broken:
            name_paths(self.tree, "")
        return self.tree

    def _events(self, text: str) -> Iterator[Any]:
        yield from yaml.parse(text, Loader=LOADER)

    def _not_yaml(self, error: yaml.YAMLError) -> None:
        mark = getattr(error, "problem_mark", None)
        place = Place(self.file, mark.line + 1, mark.column + 1) if mark else Place(self.file)
        problem = f"{getattr(error, 'context', '') or ''} {getattr(error, 'problem', '') or ''}"
        hint = next((text for sign, text in _HINTS if sign in problem), problem.strip())
        self.broken = True
        self.troubles.append(Trouble(place, "", f"this can't be read as YAML: {hint}"))

    def _refuse(self, event: Any, message: str) -> None:
        self.troubles.append(Trouble(self._place(event), "", message))

    def _break(self, event: Any, message: str) -> None:
        self.broken = True
        self._refuse(event, message)

    def _place(self, event: Any) -> Place:
        return Place(self.file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _take(self, event: Any) -> None:
        """Put one event into the tree."""
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._break(event, "a second document begins here. Accepted: one fixture a file")
        elif isinstance(event, yaml.AliasEvent):
            self._refuse(
                event, f"alias {clip(f'*{event.anchor}')} is refused: name a part under 'parts'"
            )
            self._add(_text("", self._place(event)))
        elif isinstance(event, yaml.NodeEvent):
            self._node(event)
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            ended = self.open.pop()
            if isinstance(ended, Map):
                self.keys.pop()

    def _node(self, event: Any) -> None:
        place = self._place(event)
        if event.anchor:
            self._refuse(
                event, f"anchor {clip(f'&{event.anchor}')} is refused: name a part under 'parts'"
            )
        if event.tag not in (None, "!"):
            self._refuse(event, f"tag {clip(event.tag)} is refused: a value is plain text")
        if isinstance(event, yaml.ScalarEvent):
            self._judge(event)
            self._add(_text(event.value, place))
            return
        opened: Map | Items = Map() if isinstance(event, yaml.MappingStartEvent) else Items()
        opened.place = place
        if self.open and isinstance(self.open[-1], Map) and self.keys[-1] is None:
            self._break(event, "a list or map can't be a key. Accepted: a word and a colon")
            return
        self._add(opened)
        self.open.append(opened)
        if isinstance(opened, Map):
            self.keys.append(None)

    def _judge(self, event: Any) -> None:
        # A quoted text may spell by an escape what no file may hold as it is.
        if found := UNPRINTABLE.search(event.value):
            self._refuse(event, f"control character 0x{ord(found[0]):02x}. Accepted: plain text")
        elif _TURNS.search(event.value):
            self._refuse(
                event,
                f"{clip(event.value)} holds an invisible sign that turns the writing direction. "
                "Accepted: text without it",
            )

    def _add(self, node: Text | Map | Items) -> None:
        if not self.open:
            self.tree = node
            return
        home = self.open[-1]
        if isinstance(home, Items):
            node.key_place = node.place
            home.append(node)
        elif self.keys[-1] is None:
            self.keys[-1] = (str(node) if isinstance(node, Text) else "", node.place)
        else:
            key, place = self.keys[-1]
            self.keys[-1] = None
            node.key_place = place
            self._enter(home, key, node)

    def _enter(self, home: Map, key: str, node: Text | Map | Items) -> None:
        first = self.firsts.setdefault((id(home), key), node.key_place.line)
        if key == "<<":
            message = "merge '<<' is refused: name a part under 'parts' and use 'like'"
            self.troubles.append(Trouble(node.key_place, "", message))
        elif key in home:
            message = f"{clip(key)} appears twice; first in line {first}"
            self.troubles.append(Trouble(node.key_place, "", message))
        else:
            home[key] = node


def _text(value: str, place: Place) -> Text:
    text = Text(value)
    text.place = place
    return text
