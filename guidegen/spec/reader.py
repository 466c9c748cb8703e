"""A file that a person wrote, as a tree of texts, maps and lists with their places."""

from __future__ import annotations

from pathlib import Path

from guidegen.errors import Place, SpecError, Trouble, nearest
from guidegen.spec.builder import UNPRINTABLE, Builder
from guidegen.spec.tree import Items, Map

LARGEST = 1_000_000


def read_file(path: Path, troubles: list[Trouble]) -> Map:
    """Read a file that a person wrote.

    Parameters
    ----------
    path : Path
        A YAML file of at most 1 MB.
    troubles : list of Trouble
        Takes what is refused but does not keep the rest from being read.

    Raises
    ------
    SpecError
        If the rest can't be read.
    """
    return parse(read_bytes(path), path.name, troubles)


def read_bytes(path: Path) -> bytes:
    """The bytes of an ordinary file that is not too large.

    Raises
    ------
    SpecError
        If there is none, or it can't be read.
    """
    name = path.name or str(path)
    try:
        if path.is_dir():
            raise _fault(name, "this is a folder. Accepted: a YAML file")
        if not path.exists():
            raise _fault(name, "there is no such file." + _near(path))
        if not path.is_file():
            raise _fault(name, "this is no ordinary file. Accepted: a YAML file")
        if path.stat().st_size > LARGEST:
            raise _fault(name, "larger than 1 MB. Accepted: a fixture spec of a few kilobytes")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not accepted"
        raise _fault(name, f"can't be read: {reason[:1].lower()}{reason[1:]}") from error


def _fault(file: str, message: str) -> SpecError:
    return SpecError([Trouble(Place(file), "", message)])


def _near(path: Path) -> str:
    try:
        found = nearest(path.name, sorted(p.name for p in path.parent.glob("*.y*ml")))
    except OSError:
        return ""
    return f" Did you mean '{found}'?" if found else ""


def parse(data: bytes, file: str, troubles: list[Trouble]) -> Map:
    """The tree of a file's bytes; doubled keys, tags, aliases and merges go to `troubles`.

    Raises
    ------
    SpecError
        If it is no YAML map.
    """
    if len(data) > LARGEST:
        raise _fault(file, "larger than 1 MB. Accepted: a fixture spec of a few kilobytes")
    builder = Builder(file)
    tree = builder.build(_decoded(data, file))
    if builder.broken:
        raise SpecError(builder.troubles)
    troubles += builder.troubles
    if not isinstance(tree, Map):
        what = "a list" if isinstance(tree, Items) else "a text"
        begin = "Accepted: sections such as 'fixture:', 'light:', 'rows:', one below the other"
        if tree is None:
            what = "nothing"
        place = tree.place if tree is not None else Place(file, 1, 1)
        raise SpecError([Trouble(place, "", f"{what} stands here. {begin}")])
    return tree


def _decoded(data: bytes, file: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _fault(file, "saved as UTF-16. Accepted: UTF-8")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8-sig", "replace")
        place = Place(file, before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1)
        message = (
            f"byte 0x{data[error.start]:02x} is not UTF-8. Accepted: a text file saved as UTF-8"
        )
        raise SpecError([Trouble(place, "", message)]) from error
    if found := UNPRINTABLE.search(text):
        before = text[: found.start()]
        place = Place(file, before.count("\n") + 1, len(before.rpartition("\n")[2]) + 1)
        message = f"control character 0x{ord(found[0]):02x}. Accepted: a text file saved as UTF-8"
        raise SpecError([Trouble(place, "", message)])
    return text
