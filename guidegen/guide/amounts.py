"""Times, amounts and limits that step headers name or write by hand, as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from guidegen.content.files import fault
from guidegen.content.headers import Minutes, NameOrNumber
from guidegen.content.when import Fact
from guidegen.errors import Place, nearest
from guidegen.kinds import Count, Kind, Millilitre, Minute
from guidegen.values import Given, Value, band, given, work


def hands_on_time(fixed: Minute, each: Minute, number: Count) -> Minute:
    """Hands-on time of a step: a fixed part and so much a piece.

    References
    ----------
    .. [1] Common practice, no source: the figures are estimates of this project.
    """
    return fixed + each * number


def named(name: NameOrNumber, values: Mapping[str, Value], place: Place, kind: Any) -> Value:
    """A value by its name, or a number as it stands in the header.

    Raises
    ------
    ContentError
        If no value has this name.
    """
    if not isinstance(name, str):
        return given(f"content.{place.file}", kind, name, f"{place.file}:{place.line}")
    if name not in values:
        raise fault(place, _missing(name, values))
    return values[name]


def several(amount: Millilitre, panels: Count) -> Millilitre:
    """What several panels take that are alike.

    References
    ----------
    .. [1] Counting.
    """
    return amount * panels


def minutes(
    header: Minutes, step: str, facts: Mapping[str, Fact], place: Place, times: int = 1
) -> Value:
    """Hands-on minutes of a step; its fixed part once for each of several panels.

    Raises
    ------
    ContentError
        If the count is no known number.
    """
    count = counted(header.of, facts, place) if header.of else 0.0
    source = f"{place.file}:{place.line}"
    return work(
        f"step.{step}.minutes",
        hands_on_time,
        fixed=given(f"step.{step}.fixed", Minute, header.fixed * times, source),
        each=given(f"step.{step}.each", Minute, header.each, source),
        number=given(f"step.{step}.count", Count, count, header.of or source),
    )


def counted(name: str, facts: Mapping[str, Fact], place: Place) -> float:
    """A fact that is a number.

    Raises
    ------
    ContentError
        If there is no such fact, or it is no number.
    """
    if name not in facts:
        raise fault(place, _missing(name, facts))
    found = facts[name]
    if isinstance(found, bool | str):
        raise fault(place, f"'{name}' is {found!r}, and must be a number")
    return float(found)


def amount(
    name: NameOrNumber,
    unit: str,
    facts: Mapping[str, Fact],
    values: Mapping[str, Value],
    at: Place,
    times: int = 1,
) -> Value:
    """An amount of a consumable: a number, a fact, or a value with its own unit.

    A number or a value is that of one panel; a fact counts what all have.
    """
    if isinstance(name, str) and name in values:
        panels = given("panels", Count, times, "panels")
        one = values[name]
        return work(f"{name}.all", several, amount=one, panels=panels) if times > 1 else one
    number = counted(name, facts, at) if isinstance(name, str) else float(name) * times
    kind = Kind("1", 0, shown=unit, figures=2, trim=True, toward="up")
    return Given("amount", number, kind, source=f"{at.file}:{at.line}")


@dataclass(frozen=True)
class Limits:
    """What a reading must lie between, as texts and as the numbers that they show."""

    target: str
    low: str
    high: str
    least: float
    """In SI."""
    most: float


def limits(
    value: Value, within: Value | None, cap: Value | None = None, floor: Value | None = None
) -> Limits:
    """The least and greatest reading: the value's band, or a tolerance given by hand.

    A tolerance without a unit is a share of the value; one of the value's own kind is added. Where
    the part bears less than the greatest, its limit stands in that place; where nothing that is
    right reads less, that floor in the place of the least.
    """
    kind = value.kind.sized(value.si)
    step = kind.step_at(value.si)
    if within is None:
        (least, most), sides = band(value), ("down", "up")
    else:
        share = within.kind.si == "1" and value.kind.si != "1"
        half = abs(value.si) * within.si if share else within.si
        # A quantity that can't be negative has no reading below zero.
        least = max(value.si - half, 0.0) if value.si >= 0 else value.si - half
        most, sides = value.si + half, ("up", "down")
    if cap is not None and cap.si < most:
        least, most, sides = min(least, cap.si), cap.si, (sides[0], "down")
    if floor is not None and floor.si > least:
        least = floor.si
    ends = list(zip((least, most), sides, strict=True))
    low, high = (kind.text(end, toward=side, step=step) for end, side in ends)
    least, most = (kind.as_shown(end, side, step) for end, side in ends)
    return Limits(kind.text(value.si, step=step), low, high, least, most)


def _missing(name: str, accepted: Mapping[str, Any]) -> str:
    guess = nearest(name, accepted)
    hint = f" Did you mean '{guess}'?" if guess else ""
    return f"no value or fact is called '{name}'.{hint}"
