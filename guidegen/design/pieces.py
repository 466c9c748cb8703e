"""The body's parts while they are made, and how thick their sheets are."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from guidegen.calc import screws
from guidegen.design.model import Part
from guidegen.design.result import PRACTICE, Desk
from guidegen.design.solid import Hole
from guidegen.kinds import FineMetre, Ratio
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.values import Given, Value, renamed


def piece(ref: str, role: str, bought: CataloguePart | None, **more: Any) -> Part:
    """A part of the model, with material and key of what it is made from, where that is named."""
    if bought is not None:
        more = {"material": bought.label, "key": bought.key, **more}
        if more.get("made"):
            more["stock"] = bought
    return Part(ref, role, **{"name": role, **more})


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

    def repeat(self, parts: list[Part], by: dict[int, tuple[float, float]]) -> None:
        """Enter these parts of the first panel once more for every other panel.

        Parameters
        ----------
        parts : list of Part
            What each panel has.
        by : dict
            How far each panel lies away from the first in the drawings, by its number. [m]
        """
        own = {part.ref for part in parts}
        self.parts = [replace(p, panel=1) if p.ref in own else p for p in self.parts]
        for panel, away in by.items():
            names = {}
            for part in parts:
                number = self._numbers[part.ref[0]] = self._numbers[part.ref[0]] + 1
                names[part.ref] = f"{part.ref[0]}{number}"
            self.parts += [part.again(panel, away, names) for part in parts]

    def bore(self, ref: str, *holes: Hole) -> None:
        """Make holes in a part."""
        self.parts = [part.bored(holes) if part.ref == ref else part for part in self.parts]

    def move(self, ref: str, on: str) -> None:
        """Let another part carry a part."""
        self.parts = [replace(part, on=on) if part.ref == ref else part for part in self.parts]

    def of(self, role: str) -> list[Part]:
        """All parts of a role so far."""
        return [part for part in self.parts if part.role == role]

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


@dataclass(frozen=True)
class Screw:
    """A screw, and the holes that are made for it."""

    key: str
    """In the catalogue."""
    length: Value
    head: Value
    pilot: Value
    """Diameter of the hole in the piece that it holds in."""
    shank: Value
    """Diameter of the hole in the piece that it passes through."""
    depth: Value
    """How far it reaches into the piece that it holds in."""


#: Pilot hole over screw, by what the screw holds in (common practice, no source).
PILOT_SHARE = {"hardwood": 0.75, "aluminium": 0.85}
SOFT_SHARE = 0.6


#: Screws that are at hand, by what they look like from above.
COUNTERSUNK = tuple(f"wood-screw-3x{length}" for length in (12, 16, 20, 25, 30, 40))
PAN = tuple(f"pan-screw-3x{length}" for length in (12, 16, 20))
THICK = ("wood-screw-4x30", "wood-screw-4x40")
#: A screw holds in wood over five times its diameter (common practice, no source), and stops this
#: far before it comes out.
HOLDS_OVER, STOPS_BEFORE = 5.0, 0.0015


def screw_for(
    desk: Desk, name: str, keys: tuple[str, ...], through: Value, room: float, into: str = ""
) -> Screw:
    """The screw among these whose reach is best: over five diameters, and never out of the piece.

    Parameters
    ----------
    desk, name, through, into
        As for `screw`.
    keys : tuple of str
        Of the catalogue.
    room : float
        Thickness of the piece that it holds in. [m]
    """

    def miss(key: str) -> tuple[float, float]:
        figures = catalogue_part(key)
        wanted = min(HOLDS_OVER * figures["diameter"].si, room - STOPS_BEFORE)
        reach = figures["length"].si - through.si
        # Beyond the piece: only where there is no shorter one.
        out = max(0.0, reach - (room - STOPS_BEFORE))
        return out if out > 1e-9 else 0.0, abs(reach - wanted)

    return screw(desk, name, min(keys, key=miss), through, into)


def screw(desk: Desk, name: str, key: str, through: Value, into: str = "") -> Screw:
    """A screw of the catalogue: its figures and its holes as values, `cover.pilot` and so on.

    Parameters
    ----------
    desk : Desk
        Takes the values.
    name : str
        What it fixes: `border`, `cover`, `lid`, ...
    key : str
        In the catalogue.
    through : Value
        Thickness of what it passes through before it holds. [m]
    into : str
        Material of the piece that it holds in; empty: board or softwood.
    """
    figures = catalogue_part(key)
    diameter = desk.put(renamed(figures["diameter"], f"{name}.screw"))
    length = desk.put(renamed(figures["length"], f"{name}.screw_length"))
    head = desk.put(renamed(figures["head"], f"{name}.screw_head"))
    share = desk.given(
        f"{name}.pilot_share", Ratio, PILOT_SHARE.get(into, SOFT_SHARE), PRACTICE
    )  # fmt: skip
    play = desk.given(f"{name}.shank_play", FineMetre, 0.0005, PRACTICE)
    return Screw(
        key, length, head,
        desk.work(f"{name}.pilot", screws.pilot_diameter, screw=diameter, share=share),
        desk.work(f"{name}.shank", screws.shank_hole, screw=diameter, play=play),
        desk.work(f"{name}.pilot_depth", screws.screw_reach, length=length, through=through),
    )  # fmt: skip


def thickness_of(desk: Desk, asked: object, name: str, sheet: CataloguePart) -> Value:
    """A sheet's thickness: as the spec says, or the thinnest in which it is sold.

    Parameters
    ----------
    desk : Desk
        Takes the value, and the choice where the spec says `auto`.
    asked : Given or Auto
        What the spec says.
    name : str
        What its value is named by: `board`, `cover`, `enclosure`, `slot`.
    sheet : Part
        Of the catalogue.
    """
    if isinstance(asked, Given):
        return desk.put(asked)
    chosen = desk.put(renamed(sheet.thicknesses[0], f"{name}.thickness"))
    desk.chose(f"{name}.thickness", str(chosen))
    return chosen
