"""A part with its figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from guidegen.values import Given


@dataclass(frozen=True)
class Part:
    """A part with its figures, each a `Given`."""

    key: str
    """Key in the catalogue; of a map of figures: the key after `like`, or its path."""
    kind: str
    label: str
    typical_of: str
    source: str
    home: str
    """`catalogue`, `own parts file`, or `spec`: the nearest wins."""
    figures: Mapping[str, Given] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    series: Mapping[str, tuple[Given, ...]] = field(default_factory=dict)
    """`thicknesses`, `lengths`, `tracks`, `areas` in which it is sold."""
    sizes: tuple[tuple[Given, Given], ...] = ()
    """Width and length of the sheets in which it is sold."""
    tables: Mapping[str, tuple[tuple[Given, ...], ...]] = field(default_factory=dict)
    """Curves of its data sheet as points: what was found, then what it is given against."""
    replaces: bool = False
    """Whether it stands in the way of a catalogue part of the same key."""

    def __getitem__(self, name: str) -> Given:
        return self.figures[name]

    def get(self, name: str) -> Given | None:
        """The figure, or None where the data sheet has none."""
        return self.figures.get(name)

    def named(self, prefix: str) -> Part:
        """The same part with figures named for its place in the fixture: `lead_2.current`."""
        figures = {
            name: replace(figure, name=f"{prefix}.{name}") for name, figure in self.figures.items()
        }
        series = {
            name: tuple(replace(value, name=f"{prefix}.{value.name}") for value in values)
            for name, values in self.series.items()
        }
        tables = {
            name: tuple(
                tuple(replace(value, name=f"{prefix}.{value.name}") for value in point)
                for point in points
            )
            for name, points in self.tables.items()
        }
        return replace(self, figures=figures, series=series, tables=tables)

    def points(self, name: str) -> tuple[tuple[float, ...], ...]:
        """A curve of the data sheet in SI, as a law takes it whole; empty: it has none."""
        return tuple(tuple(one.si for one in row) for row in self.tables.get(name, ()))

    @property
    def thicknesses(self) -> tuple[Given, ...]:
        """Thicknesses of a sheet."""
        return self.series.get("thicknesses", ())

    @property
    def lengths(self) -> tuple[Given, ...]:
        """Lengths of a bar."""
        return self.series.get("lengths", ())

    @property
    def tracks(self) -> tuple[Given, ...]:
        """Tracks of a potentiometer."""
        return self.series.get("tracks", ())
