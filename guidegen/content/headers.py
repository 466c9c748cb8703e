"""The headers of content files: one strict schema a sort."""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

Stage = Literal["prepare", "cut", "frame", "panel", "box", "cold", "power", "accept"]
Who = Literal["B", "C", "L"]
Hold = Literal["HP1", "HP2", "HP3", "HP4"]
Signal = Literal["danger", "warning", "caution", "notice"]
Verb = Literal["cuts", "fits", "joins", "waits", "sets", "powers", "reads"]
Instrument = Literal["ohms", "volts", "mv", "amps", "short", "celsius", "lux", "rule", "eye"]

STAGES: tuple[str, ...] = get_args(Stage)
VERBS: tuple[str, ...] = get_args(Verb)
SIGNALS: tuple[str, ...] = get_args(Signal)
INSTRUMENTS: tuple[str, ...] = get_args(Instrument)

#: What each verb must and may bring along.
COMPANIONS: dict[str, tuple[set[str], set[str]]] = {
    "cuts": (set(), set()),
    "fits": (set(), set()),
    "joins": (set(), set()),
    "waits": ({"hours"}, set()),
    "sets": ({"to"}, set()),
    "powers": (set(), set()),
    "reads": (
        {"holds"},
        {"at", "on", "within", "up_to", "down_to", "if_not", "if_all", "if_high", "if_low", "when"},
    ),
}

#: Claims that have one limit.
ONE_SIDED = ("joined", "open", "not-short")

#: A name of a value or fact, or a number written by hand.
NameOrNumber = str | int | float


class Strict(BaseModel):
    """What all headers share: no unknown key, no silent conversion."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def _refuse(message: str) -> PydanticCustomError:
    return PydanticCustomError("content", "{message}", {"message": message})


class Powers(Strict):
    """Power put on, or taken off."""

    source: Literal["bench", "supply", "none"] = Field(alias="from")
    at: str = ""
    volts: NameOrNumber = ""
    limit: NameOrNumber = ""

    @model_validator(mode="after")
    def _bench(self) -> Powers:
        missing = [name for name in ("at", "volts", "limit") if getattr(self, name) == ""]
        if self.source == "bench" and missing:
            raise _refuse(f"a bench supply needs {', '.join(missing)}")
        return self


def _none_is_off(value: Any) -> Any:
    return {"from": "none"} if value == "none" else value


class Deed(Strict):
    """One thing that a step does to the model: one verb and what belongs to it."""

    cuts: str | None = None
    fits: str | None = None
    joins: str | None = None
    waits: str | None = None
    sets: str | None = None
    powers: Annotated[Powers | None, BeforeValidator(_none_is_off)] = None
    reads: Instrument | None = None
    hours: NameOrNumber | None = None
    to: (
        Literal["low", "quarter", "middle", "three-quarters", "high", "design", "open", "closed"]
        | None
    ) = None
    at: str | None = None
    on: str | None = None
    """What is read that is no part of the light: a word of `things`."""
    holds: str | None = None
    within: NameOrNumber | None = None
    up_to: str | None = None
    """A value that no reading may pass, whatever the band says."""
    down_to: str | None = None
    """A value below which no reading is right: a probe that touches nothing shows less."""
    if_not: str | None = None
    """The entry of fault finding that this reading leads to; without it, the step's own."""
    if_all: str | None = None
    """The same where it fails alike at every point that is read."""
    if_high: str | None = None
    if_low: str | None = None
    when: str | None = None
    """A condition: where it does not hold, there is nothing to read."""

    @property
    def verb(self) -> str:
        """The verb of this deed."""
        return next(verb for verb in VERBS if getattr(self, verb) is not None)

    @model_validator(mode="after")
    def _one_verb(self) -> Deed:
        verbs = [verb for verb in VERBS if getattr(self, verb) is not None]
        if len(verbs) != 1:
            said = " and ".join(verbs) or "no verb"
            raise _refuse(f"found {said}; one of {', '.join(VERBS)} is accepted here")
        must, may = COMPANIONS[verbs[0]]
        here = self.model_fields_set - {verbs[0]}
        if must - here:
            raise _refuse(f"'{verbs[0]}' needs {', '.join(sorted(must - here))}")
        if here - must - may:
            extra = ", ".join(sorted(here - must - may))
            raise _refuse(f"'{verbs[0]}' takes no {extra}")
        if self.reads and self.reads not in ("amps", "lux") and not (self.at or self.on):
            raise _refuse("'reads' needs at, or on for what is no part of the light")
        if self.at and self.on:
            raise _refuse("'reads' takes at or on, not both")
        if (self.if_high or self.if_low) and (self.reads == "eye" or self.holds in ONE_SIDED):
            raise _refuse(f"'{self.holds}' fails one way alone: if_not, not if_high or if_low")
        return self


class Minutes(Strict):
    """Hands-on time: a fixed part, and so much for each of a count."""

    fixed: int | float = 0
    each: int | float = 0
    of: str = ""
    after: int | float = 0
    """Of the fixed part: what follows the step's waiting."""

    @model_validator(mode="after")
    def _count(self) -> Minutes:
        if bool(self.each) != bool(self.of):
            raise _refuse("'each' and 'of' go together")
        if self.after > self.fixed:
            raise _refuse("'after' is a part of 'fixed', and can't be more")
        return self


class Shows(Strict):
    """What the step's own figure shows."""

    new: tuple[str, ...] = ()
    view: Literal["front", "back", "auto"] = "front"
    """`auto`: the back where all that the step adds lies there."""


def listed(value: Any) -> Any:
    """A YAML list as the tuple that a frozen header holds."""
    return tuple(value) if isinstance(value, list) else value


Texts = Annotated[tuple[str, ...], BeforeValidator(listed)]


class StepHeader(Strict):
    """Header of `templates/steps/<id>.md`."""

    stage: Stage
    when: str = ""
    needs: Texts = ()
    gives: str = ""
    order: int = 100
    who: Who = "B"
    hold: Hold | None = None
    pair: str = ""
    """A condition: where it holds, a second person helps, if there is one."""
    goal: str
    does: Annotated[tuple[Deed, ...], BeforeValidator(listed)] = ()
    minutes: Minutes = Minutes()
    waiting: NameOrNumber = 0
    amid: str = ""
    """The step in whose midst this one is done, by the same person."""
    uses: dict[str, NameOrNumber] = {}
    tools: Texts = ()
    if_not: str = ""
    """An entry of fault finding: of every reading that leads nowhere else."""
    no_check: str = ""
    shows: Annotated[Shows | None, BeforeValidator(lambda v: _shows(v))] = None

    @model_validator(mode="after")
    def _checked(self) -> StepHeader:
        reads = any(deed.reads for deed in self.does)
        if not reads and not self.no_check:
            raise _refuse("a step without 'reads' must say why under 'no_check'")
        if reads and self.no_check:
            raise _refuse("'no_check' says that there is no check, and 'does' reads one")
        return self


def _shows(value: Any) -> Any:
    if isinstance(value, dict) and isinstance(value.get("new"), list):
        return {**value, "new": tuple(value["new"])}
    return value


class At(Strict):
    """Steps by what they are and do, and pages: what a caution stands before."""

    stages: Texts = ()
    tools: Texts = ()
    uses: Texts = ()
    does: Texts = ()
    steps: Texts = ()
    pages: Texts = ()


class PageHeader(Strict):
    """Header of `templates/pages/<id>.md`: what stands at the top of the page."""

    goal: str
    """What the reader has at the end."""
    before: str
    """What must be so first."""
    hazards: At = At()
    """The steps whose safety messages concern what is done from this page."""


class WordIf(Strict):
    """A signal word, and when it is the right one."""

    word: Signal
    when: str = ""


class CautionHeader(Strict):
    """Header of `templates/cautions/<id>.md`."""

    number: str = Field(pattern=r"^H\d\d$")
    when: str = ""
    word: Signal | Annotated[tuple[WordIf, ...], BeforeValidator(listed)]
    at: At = At()
    again: At = At()
    """Of these, the steps whose own action can bring it about: there all its orders stand again."""
    title: str
    hazard: str
    consequence: str
    avoid: str
    defers_to: str

    @model_validator(mode="before")
    @classmethod
    def _number_apart(cls, data: Any) -> Any:
        hazard = data.get("hazard") if isinstance(data, dict) else None
        if isinstance(hazard, str) and hazard[:1] == "H" and hazard[1:].isdigit():
            raise _refuse(f"'hazard' is the sentence; the catalogue's {hazard} goes under 'number'")
        return data

    @model_validator(mode="after")
    def _last_word(self) -> CautionHeader:
        if not isinstance(self.word, str) and (not self.word or self.word[-1].when):
            raise _refuse("the last 'word' must hold always: leave its 'when' out")
        return self


class Cause(Strict):
    """One likely cause of a fault."""

    cause: str
    test: str
    expect: str
    action: str
    retest: str
    when: str = ""


class FaultHeader(Strict):
    """Header of `templates/faults/<id>.md`."""

    when: str = ""
    symptom: str
    order: int = 100
    power: bool = False
    """Its tests need power on the light: no step before the first power may lead here."""
    causes: Annotated[tuple[Cause, ...], BeforeValidator(listed), Field(min_length=1)]


class FindingHeader(Strict):
    """Header of `templates/findings/<id>.md`; the file may do without one."""

    title: str = ""


#: Keys that hold words alone: an own template may say these anew, and no others.
WORD_KEYS: dict[type[Strict], tuple[str, ...]] = {
    StepHeader: ("goal", "no_check"),
    CautionHeader: ("title", "hazard", "consequence", "avoid", "defers_to"),
    FaultHeader: ("symptom",),
    FindingHeader: ("title",),
    PageHeader: ("goal", "before"),
}
