"""Rails that bend: where on the board and where along the rail, as text."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.model import Model, Part
from guidegen.kinds import Degree, FineMetre, Metre, kind_of


@dataclass(frozen=True)
class Bend:
    """One bend."""

    number: int
    far: str
    """Along the rail, from its first end."""
    across: str
    up: str
    turn: str
    way: str


@dataclass(frozen=True)
class Bent:
    """One rail with its bends; its ends as places on the board, from its lower left corner."""

    ref: str
    across: str
    up: str
    last_across: str
    last_up: str
    length: str
    bends: tuple[Bend, ...]


def bent_rails(model: Model, words: Words) -> tuple[Bent, ...]:
    """Every rail that bends; of several panels those of the first, as the others are alike."""
    panel = model.panels[0]
    return tuple(_bent(rail, panel, words) for rail in panel.by_role("rail") if rail.bends)


def _bent(rail: Part, model: Model, words: Words) -> Bent:
    def place(at: tuple[float, float]) -> tuple[str, str]:
        text = kind_of(FineMetre).text
        return text(at[0] - model.board.x), text(at[1] - model.board.y)

    ways = (words.phrases["left"], words.phrases["right_hand"])
    bends = tuple(
        Bend(number, kind_of(Metre).text(far), *place(at), kind_of(Degree).text(abs(turn)),
             ways[turn < 0])
        for number, (far, at, turn) in enumerate(rail.bends, 1)
    )  # fmt: skip
    return Bent(rail.ref, *place(rail.line[0]), *place(rail.line[-1]), str(rail.size[0]), bends)
