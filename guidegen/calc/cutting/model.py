"""What is cut from what, and the plan that comes out: sheets, bars, pieces, cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guidegen.errors import GuidegenError

#: Steps of the search in a metre: it counts in whole tenths of a millimetre, so sums are exact.
STEPS = 10_000
#: Steps of the search in a unit of price.
PRICE_STEPS = 10_000


class CuttingError(GuidegenError):
    """Pieces that can't be cut from the stock that is there."""


@dataclass(frozen=True)
class SheetStock:
    """One size of sheet that may be bought or is on hand."""

    name: str
    width: float
    """[m]"""
    height: float
    """[m]"""
    price: float = 1.0
    """Of one sheet, in any currency; an offcut on hand costs 0."""
    quantity: int | None = None
    """How many there are; None: as many as wanted."""


@dataclass(frozen=True)
class Piece:
    """One size of rectangle that is wanted."""

    label: str
    width: float
    """Along the sheet's width. [m]"""
    height: float
    """[m]"""
    count: int = 1
    turns: bool = True
    """May be turned by 90°; false where the grain runs one way."""


def piece_name(label: str, copy: int, count: int) -> str:
    """`board` where there is one only, else `board 2`."""
    return label if count == 1 else f"{label} {copy}"


@dataclass(frozen=True)
class Placed:
    """A rectangle on a sheet; its lower left corner is measured from the sheet's, in metres."""

    label: str
    copy: int
    """From 1."""
    x: float
    y: float
    width: float
    """As it lies. [m]"""
    height: float
    """As it lies. [m]"""
    turned: bool = False
    name: str = ""
    """Label and copy, as the cuts name it."""


@dataclass(frozen=True)
class Cut:
    """One straight cut through the whole of one plate."""

    number: int
    """From 1 on each sheet."""
    plate: str
    """`sheet`, or the letter of a plate that an earlier cut gave."""
    across: str
    """The side of the plate that the cut divides: `width` or `height`."""
    at: float
    """Distance from the edge to the near side of the saw blade. [m]"""
    edge_from: str
    """The plate's edge that lies against the fence: `left` or `bottom`."""
    from_x: float
    """Where the near side of the blade enters, from the sheet's lower left corner. [m]"""
    from_y: float
    to_x: float
    to_y: float
    gives: tuple[str, str]
    """What lies before and beyond the blade; `waste` is thrown away, empty: nothing is left."""
    setting: int = 0
    """Cuts of the same number follow one another with the same fence setting."""


@dataclass(frozen=True)
class Sheet:
    """One sheet, what lies on it and how it is cut."""

    stock: SheetStock
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Placed, ...]
    """Plates that are left over whole and worth keeping, the largest first."""


@dataclass(frozen=True)
class SheetPlan:
    """All sheets of one material."""

    sheets: tuple[Sheet, ...]
    price: float
    bound: float
    """No plan whatever can cost less."""
    proven: bool
    """The price equals the bound."""


@dataclass(frozen=True)
class BarStock:
    """One length of bar, tube, profile, wire or tape reel."""

    name: str
    length: float
    """[m]"""
    price: float = 1.0
    quantity: int | None = None


@dataclass(frozen=True)
class BarPiece:
    """One length that is wanted."""

    label: str
    length: float
    """[m]"""
    count: int = 1


@dataclass(frozen=True)
class BarCut:
    """One piece on a bar."""

    label: str
    copy: int
    start: float
    """Distance of its near end from the bar's end. [m]"""
    length: float
    """[m]"""
    name: str = ""


@dataclass(frozen=True)
class Bar:
    """One bar and its pieces in the order of cutting, the longest first."""

    stock: BarStock
    pieces: tuple[BarCut, ...]
    offcut: float
    """Length that is left behind the last cut. [m]"""


@dataclass(frozen=True)
class BarPlan:
    """All bars of one material."""

    bars: tuple[Bar, ...]
    price: float
    bound: float
    proven: bool


def steps_up(length: float) -> int:
    """Whole steps that surely hold this length: for pieces, blades and edges."""
    return math.ceil(round(length * STEPS, 3))


def steps_down(length: float) -> int:
    """Whole steps that surely lie within this length: for stock."""
    return math.floor(round(length * STEPS, 3))


def metres(steps: int) -> float:
    """A length [m] of so many steps."""
    return steps / STEPS


def price_steps(price: float) -> int:
    """A price as a whole number, so that sums compare exactly."""
    return round(price * PRICE_STEPS)


def price_of(steps: int) -> float:
    """A whole number of the search as a price."""
    return steps / PRICE_STEPS


class Work:
    """Counted work: a limit that doesn't depend on the machine, so the plan doesn't either."""

    def __init__(self, limit: int) -> None:
        self.left = limit

    def spend(self, amount: int = 1) -> None:
        """Count some work."""
        self.left -= amount

    @property
    def over(self) -> bool:
        """Nothing is left."""
        return self.left <= 0
