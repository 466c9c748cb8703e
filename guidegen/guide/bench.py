"""What writing any content file for one fixture needs: model, values, facts, words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from markupsafe import Markup

from guidegen.content.files import ContentError
from guidegen.content.headers import CautionHeader, FaultHeader, StepHeader
from guidegen.content.load import Content
from guidegen.content.render import Renderer
from guidegen.content.when import Condition, Fact
from guidegen.errors import Trouble
from guidegen.guide.selectors import Chooser
from guidegen.guide.speech import Speech
from guidegen.values import Value

T = TypeVar("T")
R = TypeVar("R")
Header = TypeVar("Header", StepHeader, CautionHeader, FaultHeader)


@dataclass(frozen=True)
class Bench:
    """One fixture, and how content is written for it."""

    chooser: Chooser
    values: Mapping[str, Value]
    facts: Mapping[str, Fact]
    renderer: Renderer
    numbers: Mapping[str, str]
    """Step numbers by id."""

    def speech(self) -> Speech:
        """Helpers with an empty memory."""
        return Speech(self.chooser, self.values, self.facts, self.numbers)

    def say(self, file: Content[Any], text: str, *where: str | int) -> Markup:
        """Render a sentence of a header.

        Raises
        ------
        ContentError
            With the line of the file.
        """
        place = file.worded(*where).place(*where)
        return self.renderer.text(text, place, self.speech().context())


def all_facts(facts: Mapping[str, Fact], values: Mapping[str, Value]) -> dict[str, Fact]:
    """Facts of the design, and its values as numbers in SI, by name."""
    return {**{name: value.si for name, value in values.items()}, **facts}


def each(items: Sequence[T], make: Callable[[T], R]) -> list[R]:
    """Make something of every item.

    Raises
    ------
    ContentError
        The faults of all items together.
    """
    troubles: list[Trouble] = []
    found: list[R] = []
    for item in items:
        try:
            found.append(make(item))
        except ContentError as error:
            troubles += error.troubles
    if troubles:
        raise ContentError(troubles)
    return found


def condition(file: Content[Header]) -> Condition:
    """The `when` of a content file."""
    return Condition(file.header.when, file.raw.place("when"))


def choose(files: Sequence[Content[Header]], facts: Mapping[str, Fact]) -> list[Content[Header]]:
    """The files whose `when` holds; every condition is checked, even where it isn't needed.

    Raises
    ------
    ContentError
        If any condition asks what no design knows.
    """
    holds = each(files, lambda file: condition(file).holds(facts))
    return [file for file, yes in zip(files, holds, strict=True) if yes]
