"""The body's parts while they are made, and how thick their sheets are."""

from __future__ import annotations

from typing import Any

from guidegen.calc import making
from guidegen.design.model import Part
from guidegen.design.result import PRACTICE, Desk
from guidegen.kinds import Ratio
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Given, Value, renamed


def piece(ref: str, role: str, bought: CataloguePart | None, **more: Any) -> Part:
    """A part of the model, with material and key of what it is made from, where that is named."""
    if bought is not None:
        more = {"material": bought.label, "key": bought.key, **more}
    return Part(ref, role, role, **more)


class Pieces:
    """The body's parts as they are made, in the order of their references."""

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self._numbers: dict[str, int] = {}

    def add(self, letter: str, role: str, part: CataloguePart | None = None, **more: Any) -> str:
        """Enter a part and return its reference."""
        number = self._numbers.get(letter, 0) + 1
        self._numbers[letter] = number
        self.parts.append(piece(f"{letter}{number}", role, part, **more))
        return f"{letter}{number}"

    def ref(self, role: str) -> str:
        """Reference of the first part of a role.

        Raises
        ------
        KeyError
            If there is none yet.
        """
        for part in self.parts:
            if part.role == role:
                return part.ref
        raise KeyError(role)


def pilot(desk: Desk, name: str, screw: Value, share: float = 0.6) -> Value:
    """The hole that keeps a screw from splitting the wood."""
    found = desk.given(f"{name}.pilot_share", Ratio, share, PRACTICE)
    return desk.work(f"{name}.pilot", making.pilot_diameter, screw=screw, share=found)


def thickness_of(desk: Desk, asked: object, name: str) -> Value:
    """A sheet's thickness: as the spec says, or the thinnest in which it is sold.

    Parameters
    ----------
    desk : Desk
        Takes the value, and the choice where the spec says `auto`.
    asked : Given or Auto
        What the spec says.
    name : str
        Key of the piece in `body`: `board`, `cover`, `enclosure`.
    """
    sheet = getattr(desk.fixture.body, name).sheet
    if isinstance(asked, Given):
        return desk.put(asked)
    thinnest = sheet.thicknesses[0]
    chosen = desk.put(renamed(thinnest, f"{name}.thickness"))
    desk.chose(f"{name}.thickness", str(chosen))
    return chosen
