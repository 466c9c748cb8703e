"""A finished guide put in the place of the old one, whole or not at all."""

from __future__ import annotations

import ctypes
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from typing import Any

from guidegen.publish.protocol import PublishError
from guidegen.units import clip

try:
    import fcntl
except ImportError:  # Windows has none: there two builds of one guide at once are not guarded
    fcntl = None  # type: ignore[assignment]  # every use asks first

MARK = ".guidegen.json"
HALF = MARK + ".half"
FORMAT = 1
# What desktops leave in folders that somebody has looked at.
LITTER = {".DS_Store", "Thumbs.db", "desktop.ini", ".directory"}


def inside(folder: Path) -> Iterator[str]:
    """Names of all files in the folder and below, `/` between folders, in order.

    A symbolic link counts as a file, wherever it leads: nothing is followed.
    """
    for home, folders, names in os.walk(folder):
        linked = [name for name in folders if (Path(home) / name).is_symlink()]
        for name in sorted([*names, *linked]):
            yield (Path(home) / name).relative_to(folder).as_posix()


def mark_of(folder: Path) -> dict[str, Any] | None:
    """What guidegen wrote into a folder that it made, or None for any other folder."""
    path = folder / MARK
    if folder.is_symlink() or path.is_symlink() or not path.is_file():
        return None
    try:
        mark = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    made = isinstance(mark, dict) and mark.get("made_by") == "guidegen"
    return mark if made and isinstance(mark.get("files", {}), dict) else None


def _write_mark(folder: Path, notes: Mapping[str, Any]) -> None:
    mark = {"made_by": "guidegen", "format": FORMAT, **notes}
    text = json.dumps(mark, indent=1, ensure_ascii=False) + "\n"
    # Renamed into place: a kill must not leave half a mark, for that is nobody's folder.
    (folder / HALF).write_text(text, encoding="utf-8")
    (folder / HALF).replace(folder / MARK)


def seal(folder: Path, notes: Mapping[str, Any]) -> None:
    """Write the list of all files with their hashes: the sign that the folder is whole."""
    hashes = {
        name: hashlib.sha256((folder / name).read_bytes()).hexdigest()
        for name in sorted(inside(folder))
        if name != MARK
    }
    _write_mark(folder, {**notes, "files": hashes})


@contextmanager
def _told(out: Path) -> Iterator[None]:
    """Troubles of the file system as errors of ours."""
    try:
        yield
    except OSError as error:
        raise PublishError(f"{error.filename or out}: {error.strerror or error}") from error
    except (ValueError, RuntimeError) as error:  # a sign that no name may hold; links in a ring
        raise PublishError(f"{clip(str(out))} can't be the folder of a guide: {error}") from error


def refuse_early(out: Path) -> None:
    """What `replaced` would refuse, as far as it shows before there is a guide: nothing is made.

    Raises
    ------
    PublishError
        If the place is not ours to write to.
    """
    with _told(out):
        out = out.parent.resolve() / out.name
        if out.parent.exists() and not out.parent.is_dir():
            raise PublishError(f"{out.parent}: is a file; name a folder for the guides")
        refuse_foreign(out)


def refuse_foreign(out: Path) -> None:
    """Leave alone whatever guidegen did not make.

    Raises
    ------
    PublishError
        If the place is taken by a link, a file, a folder of somebody else, or a guide into
        which somebody has put files of their own.

    """
    if out.is_symlink():
        raise PublishError(f"{out}: is a link; a guide is written to real folders only")
    if not out.exists():
        return
    if not out.is_dir():
        raise PublishError(f"{out}: is a file; name a folder for the guide")
    mark = mark_of(out)
    if mark is None:
        if any(out.iterdir()):
            raise PublishError(
                f"{out}: was not made by guidegen and is not empty; it is left as it is. "
                "Name another folder, or move it away"
            )
        return
    known = {*mark.get("files", {}), MARK}
    # What another program makes there, and itself empties each time.
    emptied = f"{mark.get('emptied') or MARK}/"
    strange = [
        n
        for n in inside(out)
        if n not in known and Path(n).name not in LITTER and not n.startswith(emptied)
    ]
    if strange:
        raise PublishError(
            f"{out}: holds what guidegen did not make ({', '.join(strange[:3])}"
            f"{' …' if len(strange) > 3 else ''}); move it away first, or it would be lost"
        )


@contextmanager
def _held(folder: Path, wait: bool) -> Iterator[bool]:
    """A lock on the folder itself; the system lets go of it when a process is killed."""
    if fcntl is None:
        yield True
        return
    handle = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        except BlockingIOError:
            yield False
        else:
            yield True
    finally:
        os.close(handle)


def _remove(folder: Path) -> None:
    # The mark last: what a kill leaves of the folder must still be known as ours.
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != MARK:
            path.unlink()
    (folder / MARK).unlink(missing_ok=True)
    folder.rmdir()


def _aside(out: Path, role: str) -> Iterator[Path]:
    return (out.parent / f".{out.name}.guidegen-{role}-{number}" for number in count(1))


def _leftovers(out: Path) -> list[Path]:
    start = f".{out.name}.guidegen-"
    return [
        path
        for path in sorted(out.parent.iterdir())
        if path.name.startswith(start)
        and path.name[len(start) :].rpartition("-")[0] in ("new", "old")
        and not path.is_symlink()
        and path.is_dir()
        and (mark_of(path) is not None or {one.name for one in path.iterdir()} <= {HALF})
    ]


def _recover(out: Path) -> None:
    """Put right what a killed build left: call with the parent held."""
    for path in _leftovers(out):
        with _held(path, wait=False) as ours:
            if not ours:  # another build is filling it
                continue
            whole = (mark_of(path) or {}).get("files")
            if whole and not out.exists() and "-old-" in path.name:
                path.rename(out)
            else:
                _remove(path)


def _exchange(first: Path, second: Path) -> bool:
    """Let two folders change places in one act of the system; False if it can't."""
    ends = os.fsencode(first), os.fsencode(second)
    try:
        system = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":  # RENAME_SWAP = 2; from memory, not tried
            return bool(system.renamex_np(*ends, 2) == 0)
        # RENAME_EXCHANGE = 2 and AT_FDCWD = -100, linux/fs.h and linux/fcntl.h
        return bool(system.renameat2(-100, ends[0], -100, ends[1], 2) == 0)
    except (AttributeError, OSError, TypeError):
        return False


def _put(new: Path, out: Path) -> None:
    if not out.exists():
        new.rename(out)
        return
    if _exchange(new, out):
        with suppress(OSError):  # the guide is in place; the next build clears this away
            _remove(new)
        return
    old = next(path for path in _aside(out, "old") if not path.exists())
    out.rename(old)  # killed here, the next build finds the old guide and puts it back
    try:
        new.rename(out)
    except OSError:
        old.rename(out)
        raise
    with suppress(OSError):  # as above
        _remove(old)


def _staging(out: Path) -> Path:
    for path in _aside(out, "new"):
        with suppress(FileExistsError):
            path.mkdir()
            return path
    raise AssertionError("numbers never end")


@contextmanager
def replaced(out: Path, notes: Mapping[str, Any]) -> Iterator[Path]:
    """An empty folder to fill; it takes the place of `out` when the block ends well.

    Parameters
    ----------
    out : Path
        Where the guide goes. Its parent folders are made if they are missing.
    notes : mapping of str to any
        What the folder's mark shall say besides: JSON values.

    Yields
    ------
    Path
        The folder to fill, beside `out`.

    Raises
    ------
    PublishError
        If the place is not ours to write to. What stood there stands as it was.

    """
    with _told(out):
        out = out.parent.resolve() / out.name
        out.parent.mkdir(parents=True, exist_ok=True)
        with _held(out.parent, wait=True):
            _recover(out)
            refuse_foreign(out)
            new = _staging(out)
            _write_mark(new, {})
            lock = _held(new, wait=True)
            lock.__enter__()
    try:
        yield new
        seal(new, notes)
        with _held(out.parent, wait=True):
            refuse_foreign(out)
            _put(new, out)
    except BaseException as error:
        # Only now: once in place, the name may be another build's already.
        if (new / MARK).is_file():
            with suppress(OSError):
                _remove(new)
        if isinstance(error, OSError):
            raise PublishError(f"{error.filename or out}: {error.strerror or error}") from error
        raise
    finally:
        lock.__exit__(None, None, None)
