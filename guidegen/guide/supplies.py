"""The light with each further supply of its spec, in words for pages and the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.result import Alternative, Design
from guidegen.guide.sentences import Said
from guidegen.values import Value

NONE = "–"


@dataclass(frozen=True)
class OtherSupply:
    """One further supply; what could not be computed with it is None."""

    number: int
    """Of the supply in the spec."""
    name: str
    level: str
    text: str
    """The sentence of its finding."""
    battery: bool
    values: dict[str, Value | None]
    """By the names of `QUANTITIES`, and `usable_light`."""
    output: str
    """Full setting at which the light may be used with it; empty: none was found."""
    own: tuple[str, ...]
    """What stays with it, as the current flows."""

    @property
    def may(self) -> bool:
        """Whether the light may be used with it."""
        return self.level != "stop"

    def shown(self, name: str) -> str:
        """One of its values as text."""
        return str(self.values[name] or NONE)


#: What is told of a supply, by the names of the design's values; `lowest.` and `highest.` are
#: the corners at the full setting.
QUANTITIES = {
    "lowest": "supply.lowest",
    "highest": "supply.highest",
    "current_at_lowest": "lowest.input",
    "current_at_highest": "highest.input",
    "light_at_lowest": "lowest.light",
    "margin": "adapter.margin",
    "run_time": "battery.run_time",
}


def other_supplies(design: Design, said: Sequence[Said], words: Words) -> tuple[OtherSupply, ...]:
    """Every further supply, in the order of the spec.

    Parameters
    ----------
    design : Design
        With its alternatives judged.
    said : sequence of Said
        Its findings in words, in its order.
    words : Words
        Of the guide's language.
    """
    judged = [(finding, sentence) for finding, sentence in zip(design.findings, said, strict=True)
              if finding.id == "supply-alternative"]  # fmt: skip
    found = []
    for one, (finding, sentence) in zip(design.alternatives, judged, strict=True):
        values = {name: _value(one.design, path) for name, path in QUANTITIES.items()}
        values["usable_light"] = finding.names["usable"]
        found.append(OtherSupply(
            one.number, one.name, one.level, sentence.text,
            one.design.fixture.supply.stores, values,
            finding.names["output"], _own(one, words)))  # fmt: skip
    return tuple(found)


def _value(design: Design, name: str) -> Value | None:
    end, _, rest = name.partition(".")
    corners = {section.subject: section.result for section in design.sections}.get("corners") or ()
    for corner in corners:
        if corner.supply == end and corner.control == "full":
            return design.values.get(f"corner_{corner.number}.{rest}")
    return design.values.get(name)


def _own(one: Alternative, words: Words) -> tuple[str, ...]:
    return tuple(
        ", ".join((part.label or words.role(part.kind).one, *map(str, part.figures)))
        for part in one.own
    )
