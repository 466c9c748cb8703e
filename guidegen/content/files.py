"""Where content files lie, and how their YAML is read: as text with a place for every key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from guidegen.errors import Place, SpecError, Trouble
from guidegen.folders import folder

#: Bytes of the largest own template.
LARGEST = 1_000_000
#: A key path inside a header, `("does", 0, "joins")`.
Where = tuple[str | int, ...]

_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_FENCE = re.compile(r"---[ \t]*")
# PyYAML takes the `?` of `[fan-wired?]` for a command; this stands for it while it reads.
_QUESTION = "\ue000"
# The reader in C is ten times as fast; where libyaml is missing, the other one reads all.
_FAST: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class ContentError(SpecError):
    """All faults of content files, in the order of their places."""


def fault(place: Place, message: str, path: str = "") -> ContentError:
    """An error of one fault."""
    return ContentError([Trouble(place, path, message)])


@dataclass(frozen=True)
class SearchPath:
    """The maker's own `templates/` beside the spec, if there is one, then the package's."""

    package: Path
    own: Path | None = None

    def label(self, file: Path) -> str:
        """How messages call a file: never by a path of this machine."""
        if self.own is not None and file.is_relative_to(self.own):
            return "own templates/" + file.relative_to(self.own).as_posix()
        return "templates/" + file.relative_to(self.package).as_posix()

    def base(self, name: str) -> Path | None:
        """The file that decides: the package's, or an own one that has no namesake there."""
        return _first([self.package, *self._own()], name)

    def words(self, name: str) -> Path | None:
        """The file that words it: an own one before the package's, unless it is a plain copy."""
        own, base = _first(self._own(), name), self.package / name
        # Beside a spec in a checkout of this project lie the package's own templates.
        if own and not (base.is_file() and base.read_bytes() == own.read_bytes()):
            return own
        return _first([self.package], name)

    def names(self, sort: str) -> list[str]:
        """Names such as `steps/rows-joined.md` of every content file of a sort."""
        found = {
            f"{sort}/{file.name}"
            for root in (self.package, *self._own())
            for file in (root / sort).glob("*.md")
        }
        return sorted(found)

    def _own(self) -> list[Path]:
        return [self.own] if self.own is not None else []


def search_path(beside: Path | None = None) -> SearchPath:
    """The search path of a spec; without one, the package's templates alone.

    Parameters
    ----------
    beside : Path or None
        The folder that the spec lies in.
    """
    own = beside / "templates" if beside is not None else None
    package = folder("templates")
    if own is None or not own.is_dir() or own.resolve() == package.resolve():
        return SearchPath(package)
    return SearchPath(package, own)


def _first(roots: list[Path], name: str) -> Path | None:
    # A name with a root of its own would be joined to none of ours.
    if Path(name).is_absolute():
        return None
    return next((root / name for root in roots if (root / name).is_file()), None)


def read_text(search: SearchPath, file: Path) -> str:
    """The text of a file.

    Raises
    ------
    ContentError
        If it can't be read, or is not UTF-8.
    """
    if search.own is not None and file.is_relative_to(search.own):
        _refuse_strange(search, search.own, file)
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise fault(Place(search.label(file)), f"is not UTF-8 text (byte {error.start})") from None
    except OSError as error:
        raise fault(Place(search.label(file)), f"can't be read: {error.strerror}") from None


def _refuse_strange(search: SearchPath, own: Path, file: Path) -> None:
    place = Place(search.label(file))
    try:
        # Templates come with a spec from anybody: a link in them must not print other files.
        if not file.resolve().is_relative_to(own.resolve()):
            raise fault(place, "is a link that leads out of the own templates; it is not read")
        if file.stat().st_size > LARGEST:
            raise fault(place, "larger than 1 MB. Accepted: a text of a few kilobytes")
    except (OSError, RuntimeError) as error:
        raise fault(place, f"can't be read: {getattr(error, 'strerror', error)}") from None


@dataclass(frozen=True)
class Raw:
    """A content file before its header is checked."""

    name: str
    """`steps/rows-joined.md`."""
    file: str
    """As messages call it."""
    header: dict[str, Any]
    places: dict[Where, Place] = field(repr=False)
    body: str = field(repr=False)
    body_line: int = 1
    """The line of the file that the body begins in."""

    @property
    def id(self) -> str:
        """`rows-joined`."""
        return Path(self.name).stem

    def place(self, *where: str | int) -> Place:
        """The place of a key, or of the nearest one around it."""
        while where and where not in self.places:
            where = where[:-1]
        return self.places.get(where, Place(self.file, 1, 1))


def read(search: SearchPath, name: str, file: Path) -> Raw:
    """Split a content file into header and body, with the place of every key.

    Raises
    ------
    ContentError
        If the header has no end, is no mapping, or holds a key twice.
    """
    return _split(name, search.label(file), read_text(search, file))


@lru_cache(maxsize=1024)  # every build of a server, and every guide of a test, reads all of them
def _split(name: str, label: str, text: str) -> Raw:
    lines = text.splitlines()
    if not lines or not _FENCE.fullmatch(lines[0]):
        return Raw(name, label, {}, {}, "\n".join(lines), 1)
    end = next((i for i, line in enumerate(lines[1:], 1) if _FENCE.fullmatch(line)), 0)
    if not end:
        raise fault(Place(label, 1, 1), "the header that begins here has no closing '---' line")
    header, places = mapping("\n".join(lines[1:end]), label, 1)
    return Raw(name, label, header, places, "\n".join(lines[end + 1 :]), end + 2)


def mapping(text: str, label: str, above: int = 0) -> tuple[dict[str, Any], dict[Where, Place]]:
    """YAML text as a mapping, and the place of each key.

    Parameters
    ----------
    text : str
        YAML.
    label : str
        The file as messages call it.
    above : int
        Lines of the file before the text.

    Raises
    ------
    ContentError
        For bad YAML, aliases, and keys that appear twice.
    """
    text = text.replace("?", _QUESTION)
    try:
        node = _node(text, label, above)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise fault(_at(label, mark, above), f"is not YAML: {_asked(str(error.problem))}") from None
    except yaml.YAMLError as error:
        raise fault(Place(label, 1 + above, 1), f"is not YAML: {error}") from None
    except RecursionError:
        raise fault(Place(label, 1 + above, 1), "is nested too deeply for a header") from None
    reader = _Reader(label, above)
    if node is None:
        return {}, {}
    if not isinstance(node, yaml.MappingNode):
        raise fault(_at(label, node.start_mark, above), "must be 'key: value' lines")
    found = reader.value(node, ())
    if reader.troubles:
        raise ContentError(reader.troubles)
    return found, reader.places


def _node(text: str, label: str, above: int) -> yaml.Node | None:
    """The tree of a YAML text; what is wrong with it is told in the slow reader's words."""
    try:
        return _composed(text, label, above, _FAST)
    except yaml.YAMLError:
        return _composed(text, label, above, yaml.SafeLoader)


def _composed(text: str, label: str, above: int, loader: Any) -> yaml.Node | None:
    # An alias can make a small file unfold without end, and no content file needs one.
    for event in yaml.parse(text, Loader=loader) if "*" in text else ():
        if isinstance(event, yaml.AliasEvent):
            raise fault(_at(label, event.start_mark, above), "aliases ('*name') are not read")
    return yaml.compose(text, Loader=loader)


def _at(label: str, mark: Any, above: int) -> Place:
    return Place(label, mark.line + 1 + above, mark.column + 1) if mark else Place(label)


class _Reader:
    def __init__(self, label: str, above: int) -> None:
        self.label, self.above = label, above
        self.places: dict[Where, Place] = {}
        self.troubles: list[Trouble] = []

    def value(self, node: yaml.Node, where: Where) -> Any:
        self.places.setdefault(where, _at(self.label, node.start_mark, self.above))
        if isinstance(node, yaml.MappingNode):
            return dict(self._pairs(node, where))
        if isinstance(node, yaml.SequenceNode):
            return [self.value(item, (*where, i)) for i, item in enumerate(node.value)]
        assert isinstance(node, yaml.ScalarNode)
        if node.style in ("|", ">"):
            # The text begins one line below the sign that opens it.
            place = self.places[where]
            self.places[where] = Place(place.file, place.line + 1, 1)
        text = _asked(node.value)
        return text if node.style else _plain(text)

    def _pairs(self, node: yaml.MappingNode, where: Where) -> Iterator[tuple[str, Any]]:
        seen: set[str] = set()
        for key_node, value_node in node.value:
            key = _asked(str(key_node.value))
            place = _at(self.label, key_node.start_mark, self.above)
            if key in seen:
                self.troubles.append(Trouble(place, "", f"'{key}' appears twice"))
            seen.add(key)
            if getattr(value_node, "style", "") not in ("|", ">"):
                self.places[(*where, key)] = place
            yield key, self.value(value_node, (*where, key))


def _asked(text: str) -> str:
    return text.replace(_QUESTION, "?")


def _plain(text: str) -> Any:
    """A scalar without quotes: YAML's own reader would take `on`, `off`, `no` as yes or no."""
    if text in ("true", "false"):
        return text == "true"
    if text in ("", "null", "~"):
        return None
    if _NUMBER.fullmatch(text):
        return float(text) if "." in text else int(text)
    return text
