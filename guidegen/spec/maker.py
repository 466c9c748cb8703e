"""One part made from the map of its figures, its faults reported where they stand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

from guidegen.errors import Trouble, accepted_words
from guidegen.kinds import kind_of
from guidegen.measures import PERCENT, measure_of
from guidegen.spec.figures import BETWEEN, Figure, PartKind, Series, Table, Word
from guidegen.spec.part import Part
from guidegen.spec.quantities import Fault, free_text, word
from guidegen.spec.tree import Items, Map, Node, Reading, Text
from guidegen.units import clip, read, tidy
from guidegen.values import Given, lettered

#: Points of a curve that anybody copies from a data sheet.
MOST_POINTS = 100
#: What every part says of itself.
ABOUT = ("label", "typical_of", "source")


class Maker:
    """Makes one part from the map of its figures."""

    def __init__(
        self,
        troubles: list[Trouble],
        node: Map,
        key: str,
        home: str,
        base: Part | None,
        sheet: PartKind,
    ) -> None:
        self.troubles, self.node, self.key, self.home = troubles, node, key, home
        self.base, self.sheet = base, sheet
        self.figures: dict[str, Given] = dict(base.figures) if base else {}
        self.words: dict[str, str] = dict(base.words) if base else {}
        self.series: dict[str, tuple[Given, ...]] = dict(base.series) if base else {}
        self.sizes = base.sizes if base else ()
        self.tables = self._inherited(base)

    def part(self, kind: str) -> Part:
        """The part; of no use if a trouble was added."""
        about = {name: self._about(name) for name in ABOUT}
        for name, value in self.node.items():
            if name not in ("kind", "like", *ABOUT):
                self._entry(name, value)
        self._defaults()
        self._missing()
        return Part(
            self.key, kind, about["label"], about["typical_of"], about["source"], self.home,
            self.figures, self.words, self.series, self.sizes, self.tables,
        )  # fmt: skip

    def _inherited(self, base: Part | None) -> dict[str, tuple[tuple[Given, ...], ...]]:
        """The base's curves, less those whose figure is written anew here."""
        found = dict(base.tables) if base else {}
        anew = {name for name, table in self.sheet.tables.items() if table.replaces in self.node}
        return {name: points for name, points in found.items() if name not in anew}

    def _about(self, name: str) -> str:
        node = self.node.get(name)
        if isinstance(node, Text):
            try:
                return free_text(node, 200, "a line of text")
            except Fault as fault:
                self._fail(node, str(fault))
        elif node is not None:
            self._fail(node, "a list or map stands here. Accepted: a line of text")
        inherited = getattr(self.base, name) if self.base else ""
        return inherited or (self.key if name == "label" else "")

    def _fail(self, node: Node, message: str, at_key: bool = False) -> None:
        self.troubles.append(node.trouble(message, at_key))

    def _entry(self, name: str, node: Any) -> None:
        known = (
            self.sheet.figures.get(name)
            or self.sheet.words.get(name)
            or self.sheet.series.get(name)
            or self.sheet.tables.get(name)
        )
        if known is None:
            # Beyond what anybody reads, looking for near words only takes time.
            few = len(self.troubles) < 200
            words = accepted_words(name[:60], [*self.sheet.keys, "like", *ABOUT]) if few else ""
            path = node.path.rpartition(".")[0]
            message = f"unknown figure {clip(name)} of {self.sheet.noun}. {words}"
            self.troubles.append(Trouble(node.key_place, path, message))
            return
        try:
            self._take(name, node, known)
        except Fault as fault:
            self._fail(node, str(fault))

    def _take(self, name: str, node: Any, known: Figure | Word | Series | Table) -> None:
        if isinstance(known, Table):
            self._take_table(name, node, known)
        elif isinstance(known, Series):
            self._take_series(name, node, known)
        elif not isinstance(node, Text):
            raise Fault("a list or map stands here. Accepted: one text")
        elif isinstance(known, Figure):
            found = known.quantity.given(node, name, self._source(node))
            if isinstance(node, Reading):
                found = _measured(found, node)
            self.figures[name] = self._keep_tolerance(name, found)
        elif known.accepted:
            self.words[name] = word(node, known.accepted, "accepted here")
        else:
            self.words[name] = free_text(node, 120, known.text)

    def _source(self, node: Text) -> str:
        if self.home != "catalogue":
            return f"{node.place.file}:{node.place.line}"
        return f"catalogue {self.key}"

    def _keep_tolerance(self, name: str, found: Given) -> Given:
        """A figure that replaces another keeps its tolerance unless it brings one."""
        source = found.source
        if self.home == "catalogue" and "(" not in source:
            source = f"{source} ({self.node.get('source', 'from memory')})"
        old = self.base.get(name) if self.base else None
        spread = found.spread or (old.spread / old.si * found.si if old and old.si else 0.0)
        return replace(found, source=source, spread=spread)

    def _take_series(self, name: str, node: Any, known: Series) -> None:
        if not isinstance(node, Items) or not node:
            raise Fault(f"this is no list. Accepted: a list such as [{known.quantity.example}]")
        if known.pairs:
            self.sizes = tuple(self._pair(item, known) for item in node)
            return
        self.series[name] = tuple(
            known.quantity.given(item, f"{name}.{number}", self._source(item))
            for number, item in enumerate(_texts(node), 1)
        )

    def _take_table(self, name: str, node: Any, known: Table) -> None:
        if not isinstance(node, Items) or not known.least <= len(node) <= MOST_POINTS:
            raise Fault(f"this is no list of {known.least} to {MOST_POINTS} points. {known.form}")
        points: dict[tuple[float, ...], tuple[Given, ...]] = {}
        for number, item in enumerate(_texts(node), 1):
            try:
                point = self._point(item, name, number, known)
                where = tuple(one.si for one in point[1:])
                if where in points:
                    raise Fault(f"a second point at the same place. {known.form}")
                points[where] = point
            except Fault as fault:
                self._fail(item, str(fault))
        made = tuple(points.values())
        if known.rises:
            order = sorted(made, key=lambda point: point[1].si)
            if any(low[0].si > high[0].si for low, high in pairwise(order)):
                raise Fault(f"the points do not rise together. {known.form}")
        self.tables[name] = made

    def _point(self, node: Text, name: str, number: int, known: Table) -> tuple[Given, ...]:
        """One point: its quantities stand between ` at `, ` to ` and a comma."""
        rest, texts = tidy(node), []
        for mark in BETWEEN[: len(known.columns) - 1]:
            text, between, rest = rest.partition(mark)
            texts.append(text)
            if not between or not rest:
                raise Fault(f"{clip(node)} is no such point. {known.form}")
        source, point = self._source(node), []
        for text, column in zip((*texts, rest), known.columns, strict=True):
            part = Text(text)
            part.put(node.place, node.path)
            point.append(
                known.columns[column].given(part, f"{name}.{lettered(number)}_{column}", source)
            )
        return tuple(point)

    def _pair(self, node: Any, known: Series) -> tuple[Given, Given]:
        accepted = "Accepted: width x length, such as '600 mm x 1200 mm'"
        sides = tidy(node).replace("×", "x").split(" x ") if isinstance(node, Text) else []
        if len(sides) != 2:
            raise Fault(f"this is no size. {accepted}")
        texts = [Text(side) for side in sides]
        for text in texts:
            text.put(node.place, node.path)
        first, second = (known.quantity.given(text, "size", self._source(text)) for text in texts)
        return first, second

    def _defaults(self) -> None:
        for name, figure in self.sheet.figures.items():
            if name in self.figures or not figure.default:
                continue
            kind = kind_of(figure.quantity.annotated)
            if not figure.of:
                found = read(figure.default, measure_of(kind))
            elif figure.of in self.figures:
                share = read(figure.default, PERCENT)
                si = float(f"{self.figures[figure.of].si * share.si:.12g}")
                found = replace(share, si=si)
            else:
                continue
            source = f"default ({found.source})"
            self.figures[name] = Given(name, found.si, kind, source=source, spread=found.spread)
        for name, text in self.sheet.words.items():
            if text.default:
                self.words.setdefault(name, text.default)

    def _missing(self) -> None:
        have = {*self.figures, *self.words, *self.series, *self.tables, *self.node}
        wanted: list[tuple[str, Figure | Word | Series | Table]] = [
            *self.sheet.figures.items(), *self.sheet.words.items(), *self.sheet.series.items(),
            *self.sheet.tables.items(),
        ]  # fmt: skip
        lost = [
            f"'{name}'"
            for name, known in wanted
            if known.needed and name not in have and not getattr(known, "default", "")
        ]
        if self.sizes and "'sizes'" in lost:
            lost.remove("'sizes'")
        if lost:
            verb = "is" if len(lost) == 1 else "are"
            message = f"{', '.join(lost)} {verb} missing for {self.sheet.noun}"
            self._fail(self.node, f"{message}. Accepted: all of them, or 'like' and a part's key")


def _texts(items: Items) -> list[Text]:
    if any(not isinstance(item, Text) for item in items):
        raise Fault("a list or map stands in this list. Accepted: texts")
    return list(items)


def _measured(found: Given, node: Reading) -> Given:
    """A figure that was measured: its day is its source, its meter's error its band."""
    source = found.source if "(" in found.source else f"{found.source} (measured on {node.day})"
    return replace(found, source=source, spread=found.spread or abs(found.si) * node.error)
