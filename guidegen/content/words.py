"""The words of a language: `templates/words/<language>.yaml`, read strictly."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated

from pydantic import BeforeValidator, Field

from guidegen.content.files import Raw, SearchPath, fault, mapping, read_text
from guidegen.content.headers import INSTRUMENTS, Strict, listed
from guidegen.content.load import validated
from guidegen.errors import Place, accepted_words

#: What a tool can do; a deed of a step that needs one must find it among the step's tools.
TOOL_DEEDS = ("cut", "solder", "screw", "bolt", "trim", "bench",
              *(name for name in INSTRUMENTS if name != "eye"))  # fmt: skip


class RoleWords(Strict):
    """How parts of a role are called."""

    one: str
    many: str
    ref: bool = True
    """Whether the reference follows the word: 'row E3', but 'wood glue'."""


class ToolWords(Strict):
    """A tool."""

    name: str
    check: str = ""
    """What to look at before it is used."""
    needs: str = ""
    """What it must reach or give in this fixture; a template."""
    does: Annotated[tuple[str, ...], BeforeValidator(listed)] = ()
    """Deeds that it is good for: see TOOL_DEEDS."""
    hot: bool = False
    """It can light vapour."""


class ConsumableWords(Strict):
    """A consumable."""

    name: str
    unit: str = ""
    pack: int = 1
    """How much of it a usual pack holds, in its unit; common practice, no source."""
    hazard: str = ""
    """Number of the hazard in the catalogue of safety messages."""
    flammable: bool = False
    """Its vapour can burn until it is dry."""
    once: bool = False
    """It goes into what a bench keeps: one serves all copies that are built there."""


class FactWords(Strict):
    """A fact that is yes or no, said in words."""

    yes: str
    no: str


class SuspectWords(Strict):
    """A single fault that was solved; references stand in braces: `{row}`."""

    cause: str
    do: str


class ProbingWords(Strict):
    """What is read with one instruction."""

    name: str
    how: str


class ClaimWords(Strict):
    """What eye, hand and simple tools judge; both texts are templates."""

    by: str
    """What it is judged with, and how hard, from where or how near."""
    says: str
    """What must be so, with its tolerance."""
    tools: Annotated[tuple[str, ...], BeforeValidator(listed)] = ()
    """Tools that the step must have at hand for it."""


class NeverWords(Strict):
    """A hazard that the format of specs rules out, and what rules it out."""

    title: str
    reason: str


class Words(Strict):
    """All words of one language that more than one template needs."""

    symbols: dict[str, str] = Field(default_factory=dict)
    values: dict[str, str] = Field(default_factory=dict)
    facts: dict[str, FactWords | str] = Field(default_factory=dict)
    roles: dict[str, RoleWords]
    polarity: dict[str, str]
    tools: dict[str, ToolWords]
    consumables: dict[str, ConsumableWords] = Field(default_factory=dict)
    stages: dict[str, str]
    signals: dict[str, str]
    people: dict[str, str]
    instruments: dict[str, str]
    claims: dict[str, ClaimWords | str]
    """A plain text is what an instrument with a scale shows."""
    procedures: dict[str, str] = Field(default_factory=dict)
    """Of the calibration page."""
    things: dict[str, str] = Field(default_factory=dict)
    """What a step reads that is no part of the light."""
    phrases: dict[str, str]
    """Small words between references: `to`, `and`, `every_second`."""
    colours: dict[str, str] = Field(default_factory=dict)
    pages: dict[str, str] = Field(default_factory=dict)
    """Titles of pages by the name of their file."""
    levels: dict[str, str] = Field(default_factory=dict)
    """Of findings."""
    ratings: dict[str, str] = Field(default_factory=dict)
    """What a substitute must reach, by role; templates."""
    treatments: dict[str, str] = Field(default_factory=dict)
    """Of a conductor's ends."""
    suspects: dict[str, SuspectWords] = Field(default_factory=dict)
    looks: dict[str, str] = Field(default_factory=dict)
    """What the eye sees of a faulty light."""
    probings: dict[str, ProbingWords] = Field(default_factory=dict)
    choices: dict[str, str] = Field(default_factory=dict)
    letters: dict[str, str] = Field(default_factory=dict)
    """Of reference designations."""
    never: dict[str, NeverWords] = Field(default_factory=dict)
    """Hazards that no spec can ask for, by their number in the catalogue."""
    surfaces: dict[str, str] = Field(default_factory=dict)
    control_faults: dict[str, str] = Field(default_factory=dict)
    charts: dict[str, dict[str, str]] = Field(default_factory=dict)
    places: dict[str, str] = Field(default_factory=dict)
    """What is marked on the board."""
    holes: dict[str, str] = Field(default_factory=dict)
    """What a hole is for, by its role."""
    trial: dict[str, str] = Field(default_factory=dict)
    """Of the command that tries other parts; what it puts in stands in braces."""

    def value(self, name: str) -> str:
        """What a value is called; one that has no words by its own name."""
        return self.values.get(name) or self.choices.get(name, name)

    def role(self, role: str) -> RoleWords:
        """The words of a role; a role that no file words is called by its own name."""
        plain = role.replace("_", " ")
        return self.roles.get(role) or RoleWords(one=plain, many=plain + "s")


def load_words(search: SearchPath, language: str = "en") -> Words:
    """The words of a language; an own file beside the spec replaces single words.

    Raises
    ------
    ContentError
        If the file is missing, or anything in it is not accepted.
    """
    name = f"words/{language}.yaml"
    base = search.base(name)
    if base is None:
        raise fault(Place(f"templates/{name}"), "there is no such file of words")
    texts = [(read_text(search, base), search.label(base))]
    own = search.words(name)
    if own is not None and own != base:
        texts.append((read_text(search, own), search.label(own)))
    return _read(name, *texts)


# A server reads the words again and again; they seldom change.
@lru_cache(maxsize=8)
def _read(name: str, base: tuple[str, str], own: tuple[str, str] | None = None) -> Words:
    """The words of a file's text and label, under those of an own one."""
    label = base[1]
    data, places = mapping(*base)
    if own:
        mine, _ = mapping(*own)
        data = {**data, **{key: _over(data.get(key), mine[key]) for key in mine}}
    words = validated(Words, data, Raw(name, label, data, places, ""))
    for tool, said in words.tools.items():
        for deed in said.does:
            if deed not in TOOL_DEEDS:
                place = places.get(("tools", tool, "does"), Place(label))
                message = f"found '{deed}'. " + accepted_words(deed, TOOL_DEEDS)
                raise fault(place, message, f"tools.{tool}.does")
    return words


def _over(base: object, own: object) -> object:
    """An own table over the base's, word by word."""
    if not isinstance(base, dict) or not isinstance(own, dict):
        return own
    return {**base, **{key: _over(base.get(key), value) for key, value in own.items()}}
