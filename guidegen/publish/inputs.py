"""The files that a guide follows from: whether they changed, and a hash of them all.

It imports nothing that takes time: a guide that is up to date must be found so at once.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from threading import Event, Thread

from guidegen.folders import OWN_PARTS, PACKAGE, folder
from guidegen.publish.swap import LITTER, MARK, inside, mark_of

LARGEST = 1_000_000  # bytes; no spec, part or template is near it
DEPTH = 3  # templates/steps/NAME.md, and one to spare
POLL = 0.1  # s between two looks at the files
State = frozenset[tuple[str, int, int, int]]


def state(spec: Path) -> State:
    """Path, time, size and number of each file that may change the guide of a spec."""
    found: set[tuple[str, int, int, int]] = set()
    for path in (spec, spec.with_name(OWN_PARTS)):
        _note(path, found)
    for home in (spec.parent / "templates", folder("templates")):
        _look(home, DEPTH, found)
    return frozenset(found)


def _note(path: Path | os.DirEntry[str], found: set[tuple[str, int, int, int]]) -> None:
    try:
        seen = os.stat(path)
    except OSError:  # not there, or not to be read: that is a state as well
        return
    found.add((os.fspath(path), seen.st_mtime_ns, seen.st_size, seen.st_ino))


def _look(home: Path | str, depth: int, found: set[tuple[str, int, int, int]]) -> None:
    try:
        entries = list(os.scandir(home))
    except OSError:
        return
    for entry in entries:
        if not entry.is_dir():
            _note(entry, found)
        elif depth > 1:  # a link that leads back to its own folder must end somewhere
            _look(entry.path, depth - 1, found)


class Watch(Thread):
    """Looks at the files of a spec again and again, and tells when they changed.

    Parameters
    ----------
    spec : Path
        The spec.
    """

    def __init__(self, spec: Path) -> None:
        super().__init__(name="guidegen-watch", daemon=True)
        self.spec, self.seen, self.over = spec, state(spec), Event()
        self.tell: Callable[[], None] = lambda: None

    def run(self) -> None:
        """Look until `over` is set."""
        while not self.over.wait(POLL):
            now = state(self.spec)
            if now != self.seen:
                self.seen = now
                self.tell()


def made_from(spec: Path, options: Mapping[str, bool]) -> str:
    """A hash of all that decides the bytes of a guide.

    Parameters
    ----------
    spec : Path
        The spec.
    options : mapping of str to bool
        What the guide was asked to be.

    Returns
    -------
    str
        Hexadecimal; empty where a link, a missing or an enormous file leaves it open.
    """
    found = hashlib.sha256(repr((spec.name, sorted(options.items()), sys.version)).encode())
    try:
        for path in _own_files(spec):
            found.update(_entry(path, spec.parent))
        for home in _homes():
            for name in inside(home):
                if "__pycache__" not in name:
                    found.update(_entry(home / name, home.parent))
    except (OSError, ValueError):
        return ""
    found.update("\n".join(_installed()).encode())
    return found.hexdigest()


def _own_files(spec: Path) -> Iterator[Path]:
    yield _plain(spec)
    parts = spec.with_name(OWN_PARTS)
    if parts.exists():
        yield _plain(parts)
    home = spec.parent / "templates"
    if home.is_symlink():
        raise ValueError(home)
    for name in inside(home):
        if (home / name).is_symlink():  # what lies behind it can't all be hashed
            raise ValueError(name)
        yield _plain(home / name)


def _plain(path: Path) -> Path:
    """The path, if it is a file that reading comes to an end of."""
    seen = path.stat()
    if not stat.S_ISREG(seen.st_mode) or seen.st_size > LARGEST:
        raise ValueError(path)
    return path


def _homes() -> list[Path]:
    """The package, and the folders that stand beside it in a checkout."""
    beside = [folder(name) for name in ("templates", "site")]
    return [PACKAGE, *(home for home in beside if not home.is_relative_to(PACKAGE))]


def _entry(path: Path, home: Path) -> bytes:
    content = path.read_bytes()
    # The length too: no content may pass for the end of one file and the start of the next.
    return f"{path.relative_to(home).as_posix()}\0{len(content)}\0".encode() + content


def _installed() -> list[str]:
    """Names and versions of what is installed: other programs draw and set the guide."""
    found: set[str] = set()
    for home in sys.path:
        if os.path.isdir(home):
            found.update(n for n in os.listdir(home) if n.endswith((".dist-info", ".egg-info")))
    return sorted(found)


def up_to_date(out: Path, key: str) -> list[str] | None:
    """Whether a folder holds, byte for byte, the guide that would be made now.

    Parameters
    ----------
    out : Path
        The guide's folder.
    key : str
        What `made_from` says now.

    Returns
    -------
    list of str or None
        What was said when the guide was made; None if it must be made again.
    """
    mark = mark_of(out)
    if not key or not mark or mark.get("made_from") != key:
        return None
    there = {name for name in inside(out) if Path(name).name not in LITTER} - {MARK}
    hashes = mark.get("files", {})
    if there != set(hashes):
        return None
    for name, digest in hashes.items():
        path = out / name
        if path.is_symlink() or not path.is_file():
            return None
        if hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            return None
    return [str(line) for line in mark.get("said", [])]
