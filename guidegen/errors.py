"""What every room raises when something is wrong: the place, the fault, what is accepted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, order=True)
class Place:
    """Where in a file something stands; line and column count from 1."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class GuidegenError(Exception):
    """The base of every error that a builder may see; its text needs no traceback."""


class RangeError(GuidegenError, ValueError):
    """A calculation was asked for a value outside the range that its source covers."""

    def __init__(self, name: str, value: float, accepted: str) -> None:
        super().__init__(f"{name} = {value:.6g} is outside {accepted}")


@dataclass(frozen=True, order=True)
class Trouble:
    """One fault in a file that a person wrote."""

    place: Place
    path: str
    message: str

    def __str__(self) -> str:
        middle = f"{self.path}: " if self.path else ""
        return f"{self.place}: {middle}{self.message}"


class SpecError(GuidegenError):
    """All faults of a file that a person wrote, in the order of their places."""

    def __init__(self, troubles: Iterable[Trouble]) -> None:
        self.troubles = tuple(sorted(troubles))
        super().__init__("\n".join(str(trouble) for trouble in self.troubles))


def nearest(word: str, accepted: Iterable[str]) -> str:
    """The accepted word that looks most like this one, or an empty text.

    Examples
    --------
    >>> nearest("lenght", ["length", "pitch"])
    'length'
    """
    choices = list(accepted)
    folded = {choice.casefold(): choice for choice in choices}
    found = get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else ""


def accepted_words(word: str, accepted: Sequence[str]) -> str:
    """The end of a message: what is accepted, and the nearest match if there is one.

    Examples
    --------
    >>> accepted_words("lenght", ["pitch", "length"])
    "Accepted: pitch, length. Did you mean 'length'?"
    """
    guess = nearest(word, accepted)
    hint = f" Did you mean '{guess}'?" if guess else ""
    return f"Accepted: {', '.join(accepted)}.{hint}"
