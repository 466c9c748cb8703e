"""Selectors as content files write them: `role[+|-][.terminal][?]`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from guidegen.content.files import fault
from guidegen.errors import Place

_FORM = re.compile(
    r"(?P<role>[a-z][a-z0-9_]*)(?P<polarity>[+−-])?(?:\.(?P<terminal>[A-Za-z0-9_+−-]+))?(?P<maybe>\?)?"
)
#: Terminal words that the model doesn't spell: see `Chooser.terminals`.
ENDS = ("fed", "far", "tap", "in", "out", "live", "start", "end")
#: Things that are set but lie within another part: the word, and the role that carries it.
WITHIN = {"trimmer": "regulator", "limit": "regulator"}


@dataclass(frozen=True)
class Selector:
    """A selector as written."""

    text: str
    role: str
    polarity: str = ""
    terminal: str = ""
    maybe: bool = False
    place: Place | None = None


def ascii_sign(text: str) -> str:
    """A name with the typographer's minus as the keyboard's: both are written, one is meant."""
    return text.replace("−", "-")


def selector(text: str, place: Place) -> Selector:
    """Read one selector.

    Raises
    ------
    ContentError
        If it has another form.
    """
    found = _FORM.fullmatch(text.strip())
    if not found:
        raise fault(place, f"'{text}' is no selector. Accepted: role[+|-][.terminal][?]")
    sign = ascii_sign(found["polarity"] or "")
    terminal = ascii_sign(found["terminal"] or "")
    return Selector(text.strip(), found["role"], sign, terminal, bool(found["maybe"]), place)


def pair(text: str, place: Place) -> tuple[Selector, Selector]:
    """Read `A to B`.

    Raises
    ------
    ContentError
        If it has another form.
    """
    sides = re.split(r"\s+to\s+", text.strip())
    if len(sides) != 2:
        raise fault(place, f"'{text}' must name two points: A to B")
    return selector(sides[0], place), selector(sides[1], place)
