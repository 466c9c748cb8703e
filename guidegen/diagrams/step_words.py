"""What the pictures of steps say in words: what is new, and where probes are held."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from guidegen.design.model import Conductor, Model
from guidegen.diagrams.source import called, minus, ranges

EACH = 6
"""More new things of one kind than this share one label."""


@dataclass(frozen=True)
class Probed:
    """Where a step holds the meter's probes for one reading."""

    number: int
    """Of the reading in its step, from 1."""
    red: str
    black: str
    """Terminal keys."""
    socket: str = ""
    """The meter's socket for the red lead, where it is not the usual one: `10 A`."""

    @property
    def letter(self) -> str:
        """`a` for the first reading of a step: numbers stand before its sentences."""
        return chr(ord("a") + self.number - 1)

    def said(self, red: str, black: str) -> str:
        """The places of both probes in words, given what each place is called."""
        socket = f" Red lead in the {self.socket} socket, black in COM." if self.socket else ""
        return f"{self.letter}: red on {red}, black on {black}.{socket}"


def marks(probes: Iterable[Probed]) -> dict[str, list[str]]:
    """What is held on each terminal, by its key: `a red`, `b black`."""
    found: dict[str, list[str]] = {}
    for one in probes:
        for key, colour in ((one.red, "red"), (one.black, "black")):
            found.setdefault(key, []).append(f"{one.letter} {colour}")
    return found


def part_lines(
    model: Model, new: Collection[str], where: Mapping[str, str] = MappingProxyType({})
) -> list[str]:
    """New parts, those of a kind and place together; the place of those that are not drawn."""
    kinds: dict[tuple[str, int, str], list[str]] = {}
    for part in model.parts:
        if part.ref in new:
            place = f", {where[part.ref]}" if part.ref in where else ""
            kinds.setdefault((called(part), part.count, place), []).append(part.ref)
    return [
        f"{ranges(refs)}: {words}{f' ({count * len(refs)} ×)' if count > 1 else ''}{place}"
        for (words, count, place), refs in kinds.items()
    ]


def wire_lines(
    model: Model, new: Collection[str], where: Mapping[str, str] = MappingProxyType({})
) -> list[str]:
    """A few conductors with their ends; many of a kind together."""
    kinds: dict[str, list[Conductor]] = {}
    for wire in model.conductors:
        if wire.ref in new:
            kinds.setdefault(wire.role.replace("_", " "), []).append(wire)
    lines = []
    for words, wires in kinds.items():
        if len(wires) > EACH:
            lines.append(f"{ranges(wire.ref for wire in wires)}: {words}")
        else:
            lines += [
                f"{w.ref} {words}: {minus(w.start)} to {minus(w.end)}"
                + (f", {where[w.ref]}" if w.ref in where else "")
                for w in wires
            ]
    return lines
