"""Quantities as a spec writes them: within limits, with `auto`, bounds and spans.

Every fault is a `Fault` whose text says what is wrong, what is accepted and the nearest match.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from guidegen import units
from guidegen.errors import GuidegenError, accepted_words
from guidegen.kinds import kind_of
from guidegen.measures import Measure, measure_of
from guidegen.spec.repairs import guess
from guidegen.spec.tree import Text
from guidegen.values import Given

T = TypeVar("T")


class Fault(GuidegenError):
    """What is wrong with one value of a spec; its place is that of the node."""


@dataclass(frozen=True)
class Auto:
    """The design chooses, perhaps within bounds."""

    low: Given | None = None
    high: Given | None = None


def within(asked: Given | Auto | None, number: float) -> float:
    """A computed number kept inside the bounds that the spec gave with `auto`."""
    if isinstance(asked, Auto):
        if asked.low is not None:
            number = max(number, asked.low.si)
        if asked.high is not None:
            number = min(number, asked.high.si)
    return number


def given_or_within(asked: Given | Auto | None, number: float) -> float:
    """What the spec gives, in SI; else the computed number within its bounds."""
    return asked.si if isinstance(asked, Given) else within(asked, number)


#: A choice without bounds: a part, a word.
AUTO = Auto()
_BOUNDED = re.compile(r"(?:auto )?at (least|most) (.+)", re.S)


@dataclass(frozen=True)
class Quantity:
    """What one key accepts: a kind of quantity and its sane limits."""

    annotated: Any
    """A kind of `guidegen.kinds`."""
    low: str
    high: str
    example: str
    choice: bool = False
    """Whether `auto` is accepted."""
    absent: bool = False
    """Whether `none` is accepted."""
    wording: str = ""
    """Said where the text is another quantity: `a conductor's size is an area`."""

    @cached_property
    def measure(self) -> Measure:
        """How it is written."""
        return measure_of(kind_of(self.annotated))

    @cached_property
    def ends(self) -> tuple[float, float]:
        """The limits, in SI."""
        return units.read(self.low, self.measure).si, units.read(self.high, self.measure).si

    @property
    def others(self) -> str:
        """The words that are accepted beside a quantity."""
        return (", or auto" if self.choice else "") + (", or none" if self.absent else "")

    def given(self, node: Text, name: str, source: str = "") -> Given:
        """The quantity of a node.

        Raises
        ------
        Fault
            If it can't be read or lies outside the limits.
        """
        return self._given(node, self._try(node, self._read), name, source)

    def chosen(self, node: Text, name: str) -> Given | Auto | None:
        """The quantity, `auto` with its bounds, or None for `none`, as far as they are accepted.

        Raises
        ------
        Fault
            If it is anything else.
        """
        text = units.tidy(node)
        if text == "none" and self.absent:
            return None
        if self.choice and (text == "auto" or text.startswith(("auto ", "at least ", "at most "))):
            return self._bounds(node, text, name)
        return self.given(node, name)

    def _bounds(self, node: Text, text: str, name: str) -> Auto:
        if text == "auto":
            return AUTO

        def parse(words: str) -> tuple[units.Reading | None, units.Reading | None]:
            if bound := _BOUNDED.fullmatch(words):
                end = self._read(bound[2])
                return (end, None) if bound[1] == "least" else (None, end)
            return self._read_span(words.removeprefix("auto "))

        low, high = self._try(Text(text), parse)
        return Auto(
            self._given(node, low, f"{name}_low", "") if low else None,
            self._given(node, high, f"{name}_high", "") if high else None,
        )

    def bound(self, node: Text, name: str) -> Given:
        """`at least 80 %`, or the quantity alone.

        Raises
        ------
        Fault
            If it is anything else.
        """
        return self._given(
            node, self._try(node, lambda text: self._read(_after("at least ", text))), name, ""
        )

    def span(self, node: Text, low: str, high: str) -> tuple[Given, Given]:
        """Both ends; the same object twice where one quantity stands for both.

        Raises
        ------
        Fault
            If an end can't be read or lies outside the limits.
        """
        first, second = self._try(node, self._read_span)
        start = self._given(node, first, low, "")
        return start, (start if second is first else self._given(node, second, high, ""))

    def _read(self, text: str) -> units.Reading:
        found = units.read(text, self.measure)
        self._within(text, found)
        return found

    def _read_span(self, text: str) -> tuple[units.Reading, units.Reading]:
        found = units.read_span(text, self.measure)
        for end in found:
            self._within(text, end)
        return found

    def _within(self, text: str, found: units.Reading) -> None:
        low, high = self.ends
        if self.measure.si == "V" and high <= units.HIGHEST_VOLTAGE:
            units.refuse_mains(text, found.si)
        if not low <= found.si <= high:
            raise units.UnitsError(f"{units.clip(text)} is out of range")

    def _try(self, node: str, parse: Callable[[str], T]) -> T:
        try:
            if self.measure.si == "V":
                units.refuse_mains(node)
            return parse(str(node))
        except units.UnitsError as error:
            raise Fault(self._message(str(node), error, parse)) from error

    def _message(self, text: str, error: units.UnitsError, parse: Callable[[str], Any]) -> str:
        if error.final:
            return error.problem
        problem = error.problem
        if self.wording and problem.endswith(f", not {self.measure.noun}"):
            problem = problem.removesuffix(f", not {self.measure.noun}") + f", and {self.wording}"
        forms = f"{self.measure.forms}{self.others}, such as '{self.example}'"
        if problem.endswith("out of range"):
            forms = f"{self.low} to {self.high}{self.others}"
        repaired = guess(text, self.measure, parse)
        return f"{problem}. Accepted: {forms}." + (
            f" Did you mean '{repaired}'?" if repaired else ""
        )

    def _given(self, node: Text, found: units.Reading, name: str, source: str) -> Given:
        place = getattr(node, "place", None)
        origin = source or (f"{place.file}:{place.line}" if place else "default")
        return Given(
            name,
            found.si,
            kind_of(self.annotated),
            source=f"{origin} ({found.source})" if found.source else origin,
            spread=found.spread,
            place=place,
            written=units.tidy(node),
        )


def _after(prefix: str, text: str) -> str:
    return units.tidy(text).removeprefix(prefix)


def word(node: Text, accepted: tuple[str, ...], noun: str) -> str:
    """One of the accepted words.

    Raises
    ------
    Fault
        If it is another.
    """
    text = units.tidy(node)
    if text in accepted:
        return text
    problem = f"{units.clip(node)} is not {noun}" if text else "nothing stands here"
    raise Fault(f"{problem}. {accepted_words(text[:60], accepted)}")


def free_text(node: Text, longest: int, noun: str) -> str:
    """A line of free text.

    Raises
    ------
    Fault
        If it is empty or too long.
    """
    text = units.tidy(node)
    if not text:
        raise Fault(f"nothing stands here. Accepted: {noun}")
    if len(text) > longest:
        raise Fault(f"{units.clip(node)} is too long. Accepted: at most {longest} characters")
    return text
