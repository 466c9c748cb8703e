"""Parts: the catalogue, the own parts file, `parts` of the spec and maps of figures in place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from guidegen.errors import SpecError, Trouble, accepted_words, nearest
from guidegen.spec.data_sheets import part_kinds
from guidegen.spec.maker import Maker
from guidegen.spec.part import Part
from guidegen.spec.quantities import Fault
from guidegen.spec.reader import read_file
from guidegen.spec.tree import Map, Node, Text
from guidegen.units import MAINS, REFUSED, clip, tidy

CATALOGUE = Path(__file__).parent.parent / "catalogue"
MOST_PARTS = 500


@dataclass(frozen=True)
class _Entry:
    node: Map
    home: str


class Library:
    """All parts a spec can name, the nearest first, and the faults found in them."""

    def __init__(self, troubles: list[Trouble] | None = None) -> None:
        self.troubles: list[Trouble] = [] if troubles is None else troubles
        self._entries = {
            key: [_Entry(node, "catalogue")] for key, node in _catalogue_nodes().items()
        }
        self._made: dict[tuple[str, int], Part | None] = {}
        self._making: set[tuple[str, int]] = set()

    def add(self, node: object, home: str) -> None:
        """Put the parts of a map before those of the same key, before any is asked for."""
        if not isinstance(node, Map):
            if isinstance(node, Node):
                self._trouble(node, "this is no map of parts. Accepted: a key and its figures")
            return
        for number, (key, entry) in enumerate(node.items(), 1):
            if number > MOST_PARTS:
                self._trouble(entry, f"too many parts. Accepted: at most {MOST_PARTS}", at_key=True)
                return
            if isinstance(entry, Map):
                self._entries.setdefault(key, []).insert(0, _Entry(entry, home))
            else:
                self._trouble(entry, "this is no part. Accepted: kind, like, figures")

    def check(self) -> None:
        """Make all own parts, used or not: a fault in one is said at once."""
        for key, entries in self._entries.items():
            if entries[0].home != "catalogue":
                self.find(key)

    def find(self, key: str, farther: int = 0) -> Part | None:
        """The part of this key, or the one that it stands in the way of.

        Returns
        -------
        Part or None
            None if there is none, or it is faulty, which is reported once.
        """
        entries = self._entries.get(key, [])
        this = (key, farther)
        if this not in self._made and this not in self._making:
            self._making.add(this)
            made = self._make(entries[farther], key, farther) if farther < len(entries) else None
            if made and made.home != "catalogue":
                made = replace(made, replaces=key in _catalogue_nodes())
            self._made[this] = made
            self._making.discard(this)
        return self._made.get(this)

    def of_kind(self, kind: str) -> list[Part]:
        """All parts of a kind, in order of key."""
        keys = sorted(key for key in self._entries if self._kind(key) == kind)
        return [part for key in keys if (part := self.find(key))]

    def part(self, node: object, kinds: tuple[str, ...], prefix: str) -> Part | None:
        """The part that a value of the spec stands for: a key, or a map of figures.

        Returns
        -------
        Part or None
            None if its own entry is faulty: that was reported where it stands.

        Raises
        ------
        Fault
            If there is no such part, or it is of another kind.
        """
        noun = part_kinds()[kinds[0]].noun
        if isinstance(node, Map):
            key = str(node.get("like", node.path))
            made = self._make(_Entry(node, "spec"), key, -1, kinds[0])
        elif isinstance(node, Text):
            made = self._by_key(tidy(node), kinds, noun)
        else:
            raise Fault(f"a list stands here. Accepted: {noun}'s key, or its figures")
        if made and made.kind not in kinds:
            raise Fault(f"{clip(made.key)} is {part_kinds()[made.kind].noun}, not {noun}")
        return made.named(prefix) if made else None

    def _by_key(self, key: str, kinds: tuple[str, ...], noun: str) -> Part | None:
        if key in self._entries:
            return self.find(key)
        if MAINS.search(key):
            raise Fault(f"{clip(key)} is refused: {REFUSED}")
        what = noun.partition(" ")[2]
        problem = f"no {what} {clip(key)} in catalogue, own parts file or 'parts'"
        problem = problem if key else "nothing stands here"
        keys = [name for name in self._entries if self._kind(name) in kinds]
        hint = nearest(key[:60], keys)
        guess = f" Did you mean '{hint}'?" if hint else ""
        raise Fault(f"{problem}. Accepted: a part's key such as '{min(keys)}', its figures.{guess}")

    def _kind(self, key: str) -> str:
        """The kind that an entry says it is, its figures unread."""
        farther = 0
        for _ in range(20):
            entries = self._entries.get(key, [])
            if farther >= len(entries):
                break
            node = entries[farther].node
            if "kind" in node:
                return str(node["kind"])
            like = str(node.get("like", ""))
            farther, key = (farther + 1 if like == key else 0), like
        return ""

    def _trouble(self, node: Node, message: str, at_key: bool = False) -> None:
        self.troubles.append(node.trouble(message, at_key))

    def _make(self, entry: _Entry, key: str, farther: int, kind: str = "") -> Part | None:
        """A part from its entry; its faults go to `troubles`."""
        before, node = len(self.troubles), entry.node
        base = self._base(node, key, farther) if "like" in node else None
        if "like" in node and base is None:
            return None
        kind = base.kind if base else self._own_kind(node, kind)
        if not kind:
            return None
        made = Maker(self.troubles, node, key, entry.home, base, part_kinds()[kind]).part(kind)
        return made if len(self.troubles) == before else None

    def _base(self, node: Map, key: str, farther: int) -> Part | None:
        """The part after `like`; after its own key, the one that this entry stands before."""
        like = node["like"]
        if not isinstance(like, Text) or like not in self._entries:
            hint = nearest(str(like)[:60], self._entries)
            guess = f" Did you mean '{hint}'?" if hint else ""
            self._trouble(like, f"no part {clip(str(like))}. Accepted: a part's key.{guess}")
            return None
        level = farther + 1 if like == key else 0
        if (like, level) in self._making or level >= len(self._entries[like]):
            self._trouble(like, "'like' leads back to this part. Accepted: the key of another")
            return None
        return self.find(like, level)

    def _own_kind(self, node: Map, kind: str) -> str:
        found = node.get("kind")
        if found is None:
            if not kind:
                self._trouble(node, "'kind' is missing. " + accepted_words("", [*part_kinds()]))
            return kind
        if found not in part_kinds():
            words = accepted_words(str(found)[:60], [*part_kinds()])
            self._trouble(found, f"{clip(str(found))} is no kind of part. {words}")
            return ""
        return str(found)


@cache
def _catalogue_nodes() -> Mapping[str, Map]:
    """The raw entries of the catalogue; figures are read when a part is asked for."""
    nodes: dict[str, Map] = {}
    troubles: list[Trouble] = []
    for path in sorted(CATALOGUE.glob("*.yaml")):
        for key, node in read_file(path, troubles).items():
            if key in nodes:
                troubles.append(Trouble(node.key_place, key, "stands in two catalogue files"))
            nodes[key] = node
    if troubles:
        raise SpecError(troubles)
    return nodes


@cache
def _catalogue() -> Library:
    return Library()


def catalogue(kind: str) -> list[Part]:
    """All catalogue parts of a kind, in order of key: what `auto` chooses from.

    Raises
    ------
    KeyError
        If there is no such kind of part.
    SpecError
        If an entry of the catalogue is faulty.
    """
    if kind not in part_kinds():
        raise KeyError(kind)
    library = _catalogue()
    parts = library.of_kind(kind)
    if library.troubles:
        raise SpecError(library.troubles)
    return parts


def catalogue_part(key: str) -> Part:
    """One catalogue part.

    Raises
    ------
    KeyError
        If there is none of this key.
    """
    part = _catalogue().find(key)
    if part is None:
        raise KeyError(key)
    return part
