"""What the drawings read from a design: outline, texts of values, ranges of references."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from guidegen.design.model import Conductor, Model, Part
from guidegen.design.model import minus as minus
from guidegen.design.solid import Box
from guidegen.kinds import FineMetre, kind_of
from guidegen.values import Value

_LENGTH = kind_of(FineMetre)


class DesignLike(Protocol):
    """What a drawing asks of a design."""

    @property
    def model(self) -> Model:
        """Parts and circuit."""

    @property
    def values(self) -> Mapping[str, Value]:
        """Values by name."""

    @property
    def facts(self) -> Mapping[str, bool | float | str]:
        """Facts by name."""


@dataclass(frozen=True)
class OfPanel:
    """A design of which a drawing sees one panel."""

    design: DesignLike
    model: Model
    number: int
    """From 1; 0: it is the only one."""

    @property
    def values(self) -> Mapping[str, Value]:
        """Values by name."""
        return self.design.values

    @property
    def facts(self) -> Mapping[str, bool | float | str]:
        """Facts by name."""
        return self.design.facts

    def titled(self, text: str) -> str:
        """The text, and which panel it is about where there are several."""
        return f"{text}, panel {self.number}" if self.number else text


def each_panel(design: DesignLike) -> list[OfPanel]:
    """The panels of a light, one design for each."""
    panels = design.model.panels
    several = len(panels) > 1
    return [OfPanel(design, model, number if several else 0)
            for number, model in enumerate(panels, 1)]  # fmt: skip


def millimetres(metres: float) -> str:
    """A length taken from the model, as text."""
    return _LENGTH.text(metres)


def shown(design: DesignLike, *names: str) -> str:
    """The text of the first of these values that the design has; else empty."""
    return next((str(design.values[name]) for name in names if name in design.values), "")


def letter(ref: str) -> str:
    """The class letter of a reference designation."""
    return ref[:1]


def ranges(refs: Iterable[str]) -> str:
    """References as short text.

    Examples
    --------
    >>> ranges(["E1", "E2", "E3", "W4", "W6", "W7"])
    'E1–E3, W4, W6, W7'
    >>> ranges(["1", "2", "3"])
    '1–3'
    """
    runs: list[list[tuple[str, int]]] = []
    for ref in refs:
        found = re.fullmatch(r"([^\d]*)(\d+)", ref)
        head, count = (found[1], int(found[2])) if found else (ref, -1)
        if runs and count > 0 and runs[-1][-1] == (head, count - 1):
            runs[-1].append((head, count))
        else:
            runs.append([(head, count)])
    return ", ".join(_run(run) for run in runs)


def _run(run: Sequence[tuple[str, int]]) -> str:
    names = [head + (str(count) if count >= 0 else "") for head, count in run]
    return ", ".join(names) if len(names) < 3 else f"{names[0]}–{names[-1]}"


def named(part: Part) -> str:
    """Reference and words of a part."""
    return f"{part.ref} {called(part)}" + (f" ({part.count} ×)" if part.count > 1 else "")


def words(part: Part) -> str:
    """What a part is, without what it is made of."""
    return part.name.replace("_", " ")


def called(part: Part) -> str:
    """The words of a part, and what it is made of where they don't say so."""
    text = words(part)
    return text if not part.material or part.material in text else f"{text}, {part.material}"


#: The values that say what each role can take, best first.
_RATINGS = {
    "supply": ("adapter.voltage", "battery.voltage", "supply.voltage"),
    "adapter": ("adapter.voltage",),
    "battery": ("battery.voltage",),
    "connector": ("connector.current",),
    "fuse": ("fuse.rating",),
    "switch": ("switch.current",),
    "cut_off": ("cut_off.trips_at",),
    "thermal_cut_out": ("thermal_cut_out.opens_at",),
    "regulator": ("regulator.current",),
    "pulse_width": ("pulse_width.current",),
    "control": ("control.track",),
}


def rating(design: DesignLike, part: Part) -> str:
    """What stands beside the symbol of a part: `3.15 A`."""
    return part.rating or shown(design, *_RATINGS.get(part.role, ()))


@dataclass(frozen=True)
class Link:
    """What joins two terminals: a conductor, or a part by its own two legs."""

    ref: str
    start: str
    end: str
    polarity: str
    wire: Conductor | None = None

    @property
    def marks(self) -> str:
        """Number, polarity and colour letters, as they stand at every end."""
        if self.wire is None:
            return self.ref
        return " ".join(x for x in (self.ref, minus(self.polarity), self.wire.colour) if x)


def pole(polarity: str) -> str:
    """`+` or `-`; empty for a conductor of neither pole."""
    plain = polarity.replace("−", "-")
    return plain if plain in ("+", "-") else ""


def links(model: Model) -> list[Link]:
    """All conductors, and all parts that are joined by their own legs."""
    wires = [Link(w.ref, w.start, w.end, pole(w.polarity), w) for w in model.conductors]
    known = {wire.ref for wire in model.conductors}
    legs: dict[str, list[str]] = {}
    for joint in model.joints:
        if joint.conductor not in known:
            legs.setdefault(joint.conductor, []).append(joint.terminal)
    for ref, ends in legs.items():
        # A leg that a lead is joined to is a terminal of the part itself.
        ends[:0] = [t.key for t in model.terminals if t.part == ref][: 2 - len(ends)]
    return wires + [Link(ref, ends[0], ends[-1], "") for ref, ends in legs.items() if len(ends) > 1]


def pin(key: str) -> str:
    """The name of a terminal key, as marked on the part."""
    return key.partition(":")[2]


def union(boxes: Iterable[Box | None]) -> Box | None:
    """The rectangle that holds all these; None for none."""
    known = [box for box in boxes if box is not None]
    if not known:
        return None
    left, low = min(b.x for b in known), min(b.y for b in known)
    right = max(b.x + b.width for b in known)
    return Box(left, low, right - left, max(b.y + b.height for b in known) - low)


@dataclass(frozen=True)
class Plan:
    """Sheets or bars of one material."""

    material: str
    grain: bool
    """Whether its direction counts: then it runs along the sheet's length."""
    items: tuple[Any, ...]


def cutting(design: Any, kind: str) -> list[Plan]:
    """The cutting plans of a design: `kind` is `sheets` or `bars`.

    A design that is a model alone, with nothing settled beside it, has none.
    """
    works = getattr(design.result("making"), kind) if hasattr(design, "result") else ()
    return [
        Plan(
            f"{work.part.label}, {work.thickness}" if kind == "sheets" else work.part.label,
            work.part.words.get("grain") == "yes",
            tuple(getattr(work.plan, kind)),
        )
        for work in works
    ]
