"""What a data sheet says: figures, words and the sizes in which a part is sold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from guidegen.spec.quantities import Quantity


@dataclass(frozen=True)
class Figure:
    """One figure of a data sheet."""

    quantity: Quantity
    text: str
    """What it is, for the schema."""
    needed: bool = True
    default: str = ""
    """Written as in a spec, with its source in brackets; or an amount of another figure."""
    of: str = ""
    """The figure that a percentage default is taken from."""


@dataclass(frozen=True)
class Word:
    """One fact of a data sheet in words."""

    accepted: tuple[str, ...]
    """Empty: free text."""
    text: str
    needed: bool = True
    default: str = ""


@dataclass(frozen=True)
class Series:
    """A list of sizes or values in which a part is sold."""

    quantity: Quantity
    text: str
    pairs: bool = False
    """`600 mm x 1200 mm`."""
    needed: bool = True


#: Between the quantities of a point, in order.
BETWEEN = (" at ", " to ", ", ")


@dataclass(frozen=True)
class Table:
    """A curve of a data sheet as points: `94 % at 19 V to 12 V, 50 %`."""

    columns: Mapping[str, Quantity]
    """What was found, then what it is given against, in the order in which it is written."""
    text: str
    examples: tuple[str, ...]
    needed: bool = False
    least: int = 1
    """How many points it has at least."""
    rises: bool = False
    """Whether what was found never falls as that against which it is given rises."""
    replaces: str = ""
    """The figure whose middle it takes the place of; one that is written anew ends the table."""

    @property
    def form(self) -> str:
        """How a point is written, for messages."""
        return f"Accepted: points such as '{self.examples[0]}'"


@dataclass(frozen=True)
class PartKind:
    """What a data sheet of this kind of part says."""

    noun: str
    figures: Mapping[str, Figure] = field(default_factory=dict)
    words: Mapping[str, Word] = field(default_factory=dict)
    series: Mapping[str, Series] = field(default_factory=dict)
    tables: Mapping[str, Table] = field(default_factory=dict)

    @property
    def keys(self) -> tuple[str, ...]:
        """All keys of its own."""
        return (*self.figures, *self.words, *self.series, *self.tables)


def figure(annotated: Any, limits: tuple[str, str, str], text: str, **more: Any) -> Figure:
    """A figure from its kind, its lowest, highest and an example."""
    return Figure(Quantity(annotated, *limits), text, **more)
