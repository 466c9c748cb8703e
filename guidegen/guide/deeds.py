"""A header's `does`, expanded against the model: what the walk walks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from guidegen.content.files import ContentError, fault
from guidegen.content.headers import Deed
from guidegen.content.render import Renderer
from guidegen.design.model import owner
from guidegen.errors import Place, Trouble, nearest
from guidegen.guide.amounts import limits, named
from guidegen.guide.net import SUPPLY
from guidegen.guide.order import StepFile
from guidegen.guide.selector import selector
from guidegen.guide.selectors import Chooser
from guidegen.guide.speech import phrase, spots
from guidegen.guide.step import Act, Reading
from guidegen.kinds import Ampere, Celsius, Hour, Kind, OhmRating, Percent, Volt
from guidegen.values import Value, given

MegaOhm = Annotated[float, Kind("ohm", shown="MΩ", scale=1e-6, trim=True)]

#: What a plain claim means in ohms. A meter's own leads read some tenths of an ohm; a meter's
#: test voltage is too low to light tape, so a sound panel reads open or high.
CLAIMS: dict[str, Value | None] = {
    "joined": given("claim.joined", OhmRating, 1.0, "project default"),
    "open": given("claim.open", MegaOhm, 1e6, "project default"),
    "not-short": given("claim.not_short", OhmRating, 100.0, "project default"),
    "equal": None,
    "lit": None,
}
#: Begins the name of a thing that is read and is no part of the light: the meter's own probes.
BESIDE = "~"
#: Held against a part, not clipped to its terminals.
HAND_HELD = ("celsius", "lux", "rule")
_FITTING = {"joined": ("ohms",), "open": ("ohms",), "not-short": ("ohms",), "lit": ("eye",)}


@dataclass(frozen=True)
class Reader:
    """What expanding a deed needs."""

    chooser: Chooser
    values: Mapping[str, Value]
    renderer: Renderer


def acts(step: StepFile, reader: Reader) -> tuple[Act, ...]:
    """All deeds of a step.

    Raises
    ------
    ContentError
        All faults of its `does`.
    """
    found: list[Act] = []
    troubles: list[Trouble] = []
    for i, deed in enumerate(step.header.does):
        place = step.raw.place("does", i, deed.verb)
        try:
            found.append(_MAKERS[deed.verb](deed, place, reader))
        except ContentError as error:
            troubles += error.troubles
    if troubles:
        raise ContentError(troubles)
    return _counted(found)


def _counted(found: list[Act]) -> tuple[Act, ...]:
    number = 0
    numbered: list[Act] = []
    for act in found:
        if act.reading is not None:
            number += 1
            numbered.append(replace(act, reading=replace(act.reading, number=number)))
        else:
            numbered.append(act)
    return tuple(numbered)


def _cuts(deed: Deed, place: Place, reader: Reader) -> Act:
    text = str(getattr(deed, deed.verb))
    refs = reader.chooser.refs(selector(text, place))
    return Act(deed.verb, text, refs, refs)


def _joins(deed: Deed, place: Place, reader: Reader) -> Act:
    text = str(deed.joins)
    found = reader.chooser.joints(text, place)
    refs = dict.fromkeys(r for j in found for r in (j.conductor, owner(j.terminal)))
    named = {ref for side in text.split(" to ") for ref in reader.chooser.meant(side, place)}
    return Act("joins", text, tuple(refs), tuple(ref for ref in refs if ref in named),
               tuple(joint.ref for joint in found))  # fmt: skip


def _waits(deed: Deed, place: Place, reader: Reader) -> Act:
    assert deed.hours is not None
    plain = _cuts(deed, place, reader)
    if not plain.refs:
        return plain
    return replace(plain, hours=named(deed.hours, reader.values, place, Hour))


def _sets(deed: Deed, place: Place, reader: Reader) -> Act:
    return replace(_cuts(deed, place, reader), to=str(deed.to))


def _powers(deed: Deed, place: Place, reader: Reader) -> Act:
    powers = deed.powers
    assert powers is not None
    if powers.source == "none":
        return Act("powers", "none", source="none")
    pairs = reader.chooser.probes(powers.at, place) if powers.at else ()
    parts = [{owner(key) for key in both} for both in pairs]
    if len(pairs) > 1 and any(len(both) > 1 for both in parts):
        raise fault(place, f"'{powers.at}': power comes at one pair of points, not {len(pairs)}")
    # Several equal parts, each on its own: one after another, and the first stands for all.
    at = pairs[0] if pairs else ("", "")
    volts = named(powers.volts, reader.values, place, Volt) if powers.volts != "" else None
    limit = named(powers.limit, reader.values, place, Ampere) if powers.limit != "" else None
    refs = tuple(dict.fromkeys(ref for both in parts for ref in sorted(both)))
    if powers.source == "supply" and not refs:
        refs = tuple(ref for ref in reader.chooser.parts if ref[0] == SUPPLY)
    return Act("powers", powers.source, refs, source=powers.source, at=at, volts=volts, limit=limit)


def _reads(deed: Deed, place: Place, reader: Reader) -> Act:
    instrument, holds = str(deed.reads), str(deed.holds)
    probes: tuple[tuple[str, str], ...] = ()
    parts: tuple[str, ...] = ()
    where = ""
    beside = (deed.at or "").startswith(BESIDE)
    if deed.at and beside:
        where = _beside(deed.at, reader, place)
    elif deed.at and " to " in deed.at:
        probes = reader.chooser.probes(deed.at, place)
        where = _where(probes, reader.chooser)
    elif deed.at:
        wanted = selector(deed.at, place)
        parts = reader.chooser.refs(wanted)
        where = phrase(parts, wanted.polarity, wanted.role, reader.chooser)
        if instrument not in ("eye", "amps", *HAND_HELD):
            raise fault(place, f"'{deed.at}': {instrument} is read between two points: A to B")
    if deed.at and not probes and not parts and not beside:
        # What its claim names may not be in this fixture either.
        return Act(
            "reads",
            f"{instrument} {deed.at}",
            reading=Reading(0, instrument, holds=holds, absent=True),
        )
    _check_claim(instrument, holds, reader, place)
    plain = Reading(0, instrument, probes, parts, holds, where=where, beside=beside)
    refs = dict.fromkeys([*parts, *(owner(key) for both in probes for key in both)])
    text = f"{instrument} {deed.at or ''}".strip()
    return Act("reads", text, tuple(refs), reading=_with_limits(plain, deed, place, reader))


def _beside(at: str, reader: Reader, place: Place) -> str:
    known = reader.chooser.words.beside
    name = at.removeprefix(BESIDE)
    if name not in known:
        guess = nearest(name, known)
        hint = f" Did you mean '{BESIDE}{guess}'?" if guess else ""
        raise fault(place, f"'{at}' is not in words/, section beside.{hint}")
    return known[name]


def _check_claim(instrument: str, holds: str, reader: Reader, place: Place) -> None:
    looks = set(reader.chooser.words.claims) - {"value"}
    known = looks if instrument == "eye" else {*CLAIMS, *reader.values}
    if holds not in known:
        guess = nearest(holds, known)
        hint = f" Did you mean '{guess}'?" if guess else ""
        kinds = "a claim of words/, section claims" if instrument == "eye" else (
            f"{', '.join(CLAIMS)}, nor a value's name")  # fmt: skip
        raise fault(place, f"'holds: {holds}' is not {kinds}.{hint}")
    fitting = _FITTING.get(holds)
    if fitting and instrument not in fitting:
        raise fault(place, f"'{holds}' is not read in {instrument}, but by {', '.join(fitting)}")


def _where(probes: tuple[tuple[str, str], ...], chooser: Chooser) -> str:
    words = chooser.words.phrases
    red = spots(tuple(dict.fromkeys(a for a, _ in probes)), chooser)
    black = spots(tuple(dict.fromkeys(b for _, b in probes)), chooser)
    return f"{words['red_on']} {red}, {words['black_on']} {black}" if probes else ""


def _with_limits(plain: Reading, deed: Deed, place: Place, reader: Reader) -> Reading:
    within = named(deed.within, reader.values, place, Percent) if deed.within is not None else None
    if plain.holds in CLAIMS or plain.instrument == "eye":
        limit = CLAIMS.get(plain.holds)
        said = _claim(plain.holds, {"limit": str(limit)} if limit else {}, reader)
        return replace(plain, expected=limit, target=str(limit or ""), says=said)
    value = reader.values[plain.holds]
    cap = named(deed.up_to, reader.values, place, Celsius) if deed.up_to else None
    found = limits(value, within, cap)
    texts = {"target": found.target, "low": found.low, "high": found.high}
    return replace(plain, expected=value, target=found.target, low=found.low, high=found.high,
                   says=_claim("value", texts, reader), least=found.least,
                   most=found.most)  # fmt: skip


def _claim(name: str, context: Mapping[str, str], reader: Reader) -> str:
    words = reader.chooser.words
    return reader.renderer.text(words.claims[name], Place("templates/words/en.yaml"), context)


_MAKERS: dict[str, Callable[[Deed, Place, Reader], Act]] = {
    "cuts": _cuts,
    "fits": _cuts,
    "joins": _joins,
    "waits": _waits,
    "sets": _sets,
    "powers": _powers,
    "reads": _reads,
}
