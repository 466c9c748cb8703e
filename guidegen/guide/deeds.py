"""A header's `does`, expanded against the model: what the walk walks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import dist, inf

from guidegen.content.files import ContentError, fault
from guidegen.content.headers import Deed
from guidegen.content.render import Renderer
from guidegen.content.when import Condition, Fact
from guidegen.content.words import ClaimWords
from guidegen.design.model import owner
from guidegen.errors import Place, Trouble, accepted_words, nearest
from guidegen.guide.amounts import limits, named
from guidegen.guide.net import SUPPLY
from guidegen.guide.order import StepFile
from guidegen.guide.ranges import MegaOhm, range_of
from guidegen.guide.routes import Routes
from guidegen.guide.selector import selector
from guidegen.guide.selectors import Chooser
from guidegen.guide.speech import Names, phrase, spots
from guidegen.guide.step import Act, Reading
from guidegen.kinds import Ampere, Celsius, Hour, MilliVolt, OhmRating, Percent, Volt
from guidegen.values import Value, given

#: What a plain claim means in ohms. A meter's own leads read some tenths of an ohm; a meter's
#: test voltage is too low to light tape, so a sound panel reads open or high.
CLAIMS: dict[str, Value] = {
    "joined": given("claim.joined", OhmRating, 1.0, "project default"),
    "open": given("claim.open", MegaOhm, 1e6, "project default"),
    "not-short": given("claim.not_short", OhmRating, 100.0, "project default"),
}
#: Held against a part, not clipped to its terminals.
HAND_HELD = ("celsius", "lux", "rule")
_FITTING = {"joined": ("ohms",), "open": ("ohms",), "not-short": ("ohms",), "lit": ("eye",)}


@dataclass(frozen=True)
class Reader:
    """What expanding a deed needs."""

    chooser: Chooser
    values: Mapping[str, Value]
    renderer: Renderer
    facts: Mapping[str, Fact]


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
    # With a `?` only what is glued in this fixture is waited for.
    if plain.text.endswith("?"):
        wet = tuple(ref for ref in plain.refs
                    if ref in reader.chooser.parts and reader.chooser.parts[ref].cures)  # fmt: skip
        plain = replace(plain, refs=wet, named=wet)
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
    asked = Condition(deed.when or "", place)
    asked.check(reader.facts)
    here = asked.holds(reader.facts)
    if here and deed.at and " to " in deed.at:
        probes = reader.chooser.probes(deed.at, place)
        where = _where(probes, reader.chooser)
    elif here and deed.at:
        wanted = selector(deed.at, place)
        parts = reader.chooser.refs(wanted)
        where = phrase(parts, wanted.polarity, wanted.role, reader.chooser)
        if instrument not in ("eye", "amps", *HAND_HELD):
            raise fault(place, f"'{deed.at}': {instrument} is read between two points: A to B")
    elif here and deed.on:
        where = _thing(deed.on, place, reader)
    if not here or (deed.at and not probes and not parts):
        # What its claim names may not be in this fixture either.
        return Act(
            "reads",
            f"{instrument} {deed.at or deed.on}",
            reading=Reading(
                0, instrument, holds=holds, absent=True, routes=_routes(deed), place=place
            ),
        )
    _check_claim(instrument, holds, reader, place)
    plain = Reading(0, instrument, probes, parts, holds, where=where, aside=bool(deed.on),
                    routes=_routes(deed), place=place,
                    far=instrument not in HAND_HELD and _far(probes, reader))  # fmt: skip
    refs = dict.fromkeys([*parts, *(owner(key) for both in probes for key in both)])
    text = f"{instrument} {deed.at or deed.on or ''}".strip()
    return Act("reads", text, tuple(refs), reading=_with_limits(plain, deed, place, reader))


def _routes(deed: Deed) -> Routes:
    return Routes(deed.if_not or "", deed.if_all or "", deed.if_high or "", deed.if_low or "")


def _far(probes: tuple[tuple[str, str], ...], reader: Reader) -> bool:
    """Whether two points that a pair of probes stands on lie out of its leads' reach."""
    reach = reader.values.get("meter.reach")
    places = {key: reader.chooser.terminal_of[key].at for pair in probes for key in pair}
    apart = (dist(red, black) for a, b in probes if (red := places[a]) and (black := places[b]))
    return reach is not None and max(apart, default=0.0) > reach.si


def _check_claim(instrument: str, holds: str, reader: Reader, place: Place) -> None:
    said = reader.chooser.words.claims
    fitting = _FITTING.get(holds)
    if fitting and instrument not in fitting:
        raise fault(place, f"'{holds}' is not read in {instrument}, but by {', '.join(fitting)}")
    looks = {name for name, claim in said.items() if isinstance(claim, ClaimWords)}
    known = looks if instrument == "eye" else {*CLAIMS, *reader.values}
    if holds not in known:
        guess = nearest(holds, known)
        hint = f" Did you mean '{guess}'?" if guess else ""
        kinds = "a claim of words/, section claims" if instrument == "eye" else (
            f"{', '.join(CLAIMS)}, nor a value's name")  # fmt: skip
        raise fault(place, f"'holds: {holds}' is not {kinds}.{hint}")


def _where(probes: tuple[tuple[str, str], ...], chooser: Chooser) -> str:
    words = chooser.words.phrases
    reds, blacks = (tuple(dict.fromkeys(pair[n] for pair in probes)) for n in (0, 1))
    red, black = spots(reds, chooser), spots(blacks, chooser)
    of = f" {words['of']} "
    if red.partition(of)[1:] == black.partition(of)[1:]:
        # 'red on IN+, black on IN− of regulator T1': one part is named once.
        red = red.partition(of)[0]
    return f"{words['red_on']} {red}, {words['black_on']} {black}" if probes else ""


def _with_limits(plain: Reading, deed: Deed, place: Place, reader: Reader) -> Reading:
    within = named(deed.within, reader.values, place, Percent) if deed.within is not None else None
    if plain.instrument == "eye":
        claim = reader.chooser.words.claims[plain.holds]
        assert isinstance(claim, ClaimWords)
        context = _judged(plain, reader)
        return replace(plain, says=_claim(claim.says, context, reader), tools=claim.tools,
                       by=_claim(claim.by, context, reader))  # fmt: skip
    if plain.holds in CLAIMS:
        limit = CLAIMS[plain.holds]
        said = _claim(reader.chooser.words.claims[plain.holds], {"limit": str(limit)}, reader)
        by = _instrument(plain.instrument, limit, inf, reader)
        return replace(plain, expected=limit, target=str(limit), says=said, by=by)
    value = reader.values[plain.holds]
    cap = named(deed.up_to, reader.values, place, Celsius) if deed.up_to else None
    floor = named(deed.down_to, reader.values, place, MilliVolt) if deed.down_to else None
    found = limits(value, within, cap, floor)
    texts = {"target": found.target, "low": found.low, "high": found.high}
    return replace(plain, expected=value, target=found.target, low=found.low, high=found.high,
                   says=_claim(reader.chooser.words.claims["value"], texts, reader),
                   by=_instrument(plain.instrument, value, found.most, reader),
                   least=found.least, most=found.most)  # fmt: skip


def _thing(name: str, place: Place, reader: Reader) -> str:
    things = reader.chooser.words.things
    if name not in things:
        raise fault(place, f"nothing is called '{name}'. " + accepted_words(name, list(things)))
    return things[name]


def _instrument(instrument: str, expected: Value | None, most: float, reader: Reader) -> str:
    """The instrument in words, with the range that the reading needs."""
    words = reader.chooser.words
    settings = reader.values.get("meter.range")
    end = range_of(instrument, expected, most, settings.si if settings else 0.0)
    name = words.instruments[instrument]
    return f"{name}, {words.phrases['range'].format(end=end)}" if end else name


def _judged(reading: Reading, reader: Reader) -> dict[str, object]:
    """What the words of a claim may name: values, the pull of these wires, a meter's short."""
    roles = [reader.chooser.role(ref) for ref in reading.parts]
    pulls = [reader.values[f"{role}.pull"] for role in roles if f"{role}.pull" in reader.values]
    joined = CLAIMS["joined"]
    # Without a force no pull may be asked for: words that name it are refused.
    pull = {"pull": min(pulls, key=lambda pull: pull.si)} if pulls else {}
    return {
        "v": Names(reader.values), "fact": lambda name: reader.facts[name], **pull,
        "limit": str(joined), "meter": _instrument("ohms", joined, inf, reader),
    }  # fmt: skip


def _claim(text: ClaimWords | str, context: Mapping[str, object], reader: Reader) -> str:
    assert isinstance(text, str)
    return reader.renderer.text(text, Place("templates/words/en.yaml"), context)


_MAKERS: dict[str, Callable[[Deed, Place, Reader], Act]] = {
    "cuts": _cuts,
    "fits": _cuts,
    "joins": _joins,
    "waits": _waits,
    "sets": _sets,
    "powers": _powers,
    "reads": _reads,
}
