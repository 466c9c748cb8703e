"""From what the eye sees and a few readings to the fault: tables of the page, and its data."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from guidegen.content.words import SuspectWords, Words
from guidegen.design.fault_cases import Suspect
from guidegen.design.fault_looks import Look
from guidegen.design.model import minus
from guidegen.design.result import Design
from guidegen.design.solved_faults import FaultTable, fault_table
from guidegen.errors import GuidegenError
from guidegen.guide.amounts import limits
from guidegen.kinds import Ampere, Count, MilliVolt, Volt, kind_of

#: A sound reading lies within so many standard deviations of its middle.
WIDE = 2.0


@dataclass(frozen=True)
class Read:
    """One reading of the page."""

    number: int
    red: str
    black: str
    sound: str
    low: str
    high: str


@dataclass(frozen=True)
class Probing:
    """Readings that are taken with one instruction."""

    letter: str
    name: str
    how: str
    reads: tuple[Read, ...]
    alike: str
    """By how much two sound readings of it may differ; empty where it has one."""


@dataclass(frozen=True)
class Told:
    """One kind of fault, and the reading that tells it."""

    cause: str
    at: str
    """Where it tells: number and points of one reading."""
    sound: str
    found: str
    do: str


@dataclass(frozen=True)
class Seen:
    """What the eye sees, and how to go on."""

    title: str
    letters: tuple[str, ...]
    """Probings, in the order in which they tell most."""
    told: tuple[Told, ...]
    together: tuple[str, ...]
    """Causes that no reading tells from one another, more than three of them."""


@dataclass(frozen=True)
class Tracing:
    """All that the page of fault finding says of solved faults."""

    probings: tuple[Probing, ...]
    seen: tuple[Seen, ...]
    limit: str
    drawn: tuple[str, str]
    """What a short draws from the supply: least and most."""
    covered: tuple[str, ...]
    """Letters of readings of which a point lies under insulation or a cover."""
    opens: bool
    """Whether the least of it opens the fuse for certain."""
    count: str
    """Single faults that were solved."""
    tried: str
    """What was needed for that beside whole steps of Newton's method."""
    files: Mapping[str, bytes]
    """`faults.js` for the page, `readings.csv` to fill in."""


def trace(design: Design, words: Words) -> Tracing:
    """Solve the single faults of a design, and say how to find each.

    Raises
    ------
    UnsolvedError
        If a faulty network can't be solved.
    GuidegenError
        If a fault or a reading has no words.
    """
    work = Tracer(fault_table(design), words)
    drawn = work.table.drawn
    return Tracing(
        work.probings, tuple(work.seen()), kind_of(Ampere).text(work.table.limit),
        (kind_of(Ampere).text(drawn[0]), kind_of(Ampere).text(drawn[1])),
        tuple(letter for group, letter in work.letters.items()
              if work.table.probes[work.groups[group][0]].covered),
        "fuse.opens_at" in design.values and drawn[0] >= design.values["fuse.opens_at"].si,
        kind_of(Count).text(len(work.table.suspects) - 1),
        ", ".join(work.table.tried),
        {"faults.js": work.script(), "readings.csv": work.sheet()},
    )  # fmt: skip


class Tracer:
    """A table of faults with its words."""

    def __init__(self, table: FaultTable, words: Words) -> None:
        self.table, self.words = table, words
        self.signatures = table.signatures
        self.size, self.single = self.signatures.sizes, self.signatures.single
        # Of the sound light: what a batch has in common moves a reading, too.
        whole = np.hypot(self.single[0],
                         np.linalg.norm(self.size[0] * self.signatures.shared, axis=0))  # fmt: skip
        # What a batch has in common lies evenly between two ends, and goes no farther.
        ends = np.sqrt(3.0) * np.abs(self.size[0] * self.signatures.shared).sum(axis=0)
        half = np.minimum(WIDE * whole, ends + WIDE * self.single[0])
        self.low, self.high = self.size[0] - half, self.size[0] + half
        least, most = table.window
        self.low = np.where(np.isnan(least), self.low, least)
        self.high = np.where(np.isnan(most), self.high, most)
        self.groups: dict[str, list[int]] = {}
        for number, probe in enumerate(table.probes):
            self.groups.setdefault(probe.group, []).append(number)
        self.letters = {group: chr(ord("A") + i) for i, group in enumerate(self.groups)}

    @property
    def probings(self) -> tuple[Probing, ...]:
        """All readings of the light, by instruction."""
        found = []
        for group, numbers in self.groups.items():
            said = self.words.probings.get(group)
            if said is None:
                raise GuidegenError(f"templates/words: no words for the probing '{group}'")
            reads = tuple(self._read(number) for number in numbers)
            # Neighbours share what a batch has in common: only their own parts tell them apart.
            apart = 2 * WIDE * float(np.max(self.single[0][numbers]))
            close = bool(np.ptp(self.size[0][numbers]) < apart)
            alike = self.text(numbers[0], apart) if len(numbers) > 1 and close else ""
            found.append(Probing(self.letters[group], said.name, said.how, reads, alike))
        return tuple(found)

    def _read(self, number: int) -> Read:
        probe = self.table.probes[number]
        return Read(number + 1, minus(probe.red), minus(probe.black), *self._sound(number))

    def _sound(self, number: int) -> tuple[str, str, str]:
        """A sound reading and its ends: where a step judges it, what that step prints."""
        accepted = self.table.probes[number].accepted
        if accepted is not None:
            step = limits(accepted.value, accepted.within, floor=accepted.floor)
            return step.target, step.low, step.high
        middle, low, high = (self.text(number, one[number])
                             for one in (self.size[0], self.low, self.high))  # fmt: skip
        return middle, low, high

    def text(self, number: int, si: float) -> str:
        """A voltage as this reading shows it."""
        if self.table.probes[number].unit == "V":
            return kind_of(Volt).text(si)
        if abs(si) >= self.signatures.over[number]:
            return self.words.phrases["over_range"]
        return kind_of(MilliVolt).text(si)

    # --- words -------------------------------------------------------------------------------

    def said(self, suspect: Suspect) -> SuspectWords:
        """Cause and remedy of one suspect.

        Raises
        ------
        GuidegenError
            If it has no words, or these ask for what it does not name.
        """
        names = {key: minus(value) for key, value in suspect.names.items()}
        for key in ("one", "other"):
            if key in names and not names[key]:
                names[key] = self.words.phrases["fed_there"]
        kind = suspect.kind
        if kind.startswith("control-"):
            name = kind.removeprefix("control-").replace("-", " ")
            kind, names = "control", {"fault": self.words.control_faults.get(name, name)}
        words = self.words.suspects.get(kind)
        if words is None:
            raise GuidegenError(f"templates/words: no words for the fault '{kind}'")
        try:
            return SuspectWords(cause=words.cause.format(**names), do=words.do.format(**names))
        except (KeyError, IndexError, ValueError) as error:
            raise GuidegenError(
                f"templates/words: suspects: {kind}: {error} is no name of this fault. "
                f"Accepted: {', '.join(names) or 'none'}"
            ) from error

    def look(self, look: Look) -> str:
        """What the eye sees, in words."""
        return self.words.looks[look.kind]

    # --- the page ----------------------------------------------------------------------------

    def seen(self) -> Iterator[Seen]:
        """For each thing that the eye may see: which readings, and what they tell."""
        kinds = [
            kind
            for kind in self.words.looks
            if any(look.kind == kind for looks in self.table.looks for look in looks)
        ]
        for kind in kinds:
            mine = [number for number, looks in enumerate(self.table.looks)
                    if looks[0].kind == kind and number]  # fmt: skip
            if mine:
                # The sound light looks like some faults: readings must tell it from them.
                order, left = self._order([0, *mine] if kind == "all-alike" else mine)
                yield Seen(
                    self.words.looks[kind],
                    tuple(self.letters[group] for group in order),
                    tuple(self._told(mine, order)),
                    tuple(self.said(self.table.suspects[number]).cause for number in left),
                )  # fmt: skip

    def apart(self, numbers: list[int], group: str) -> NDArray[np.bool_]:
        """Whether a group of readings tells two suspects apart: (suspect, suspect)."""
        found = np.zeros((len(numbers), len(numbers)), dtype=bool)
        for reading in self.groups[group]:
            found |= self.signatures.apart(numbers, reading)
        return found

    def _order(self, numbers: list[int]) -> tuple[list[str], list[int]]:
        """Groups of readings, those first that tell most pairs apart; who stays together."""
        told = np.eye(len(numbers), dtype=bool)
        # Who looks different needs no meter.
        looks = [self.table.looks[number] for number in numbers]
        for i, mine in enumerate(looks):
            for j, other in enumerate(looks):
                told[i, j] |= not set(mine) & set(other)
        tells = {group: self.apart(numbers, group) for group in self.groups}
        order: list[str] = []

        def worth(group: str) -> float:
            # Half a dozen readings of one kind are work; yet one instruction covers them.
            effort = self.signatures.effort[self.groups[group][0]]
            return float((tells[group] & ~told).sum() / len(self.groups[group]) ** 0.5 / effort)

        while not told.all():
            best = max(tells, key=worth)
            if not (tells[best] & ~told).any():
                break
            order.append(best)
            told |= tells[best]
        alone = (~told).sum(axis=1) + 1
        return order, [n for n, count in zip(numbers, alone, strict=True) if n and count > 3]

    def _told(self, numbers: list[int], order: list[str]) -> Iterator[Told]:
        """Each kind of fault once, by an example from the middle."""
        kinds: dict[str, list[int]] = {}
        for number in numbers:
            kinds.setdefault(self.table.suspects[number].kind, []).append(number)
        readings = [reading for group in order for reading in self.groups[group]]
        for mine in kinds.values():
            number = mine[len(mine) // 2]
            said = self.said(self.table.suspects[number])
            if not readings:
                yield Told(said.cause, "–", "–", "–", said.do)
                continue
            off = self.signatures.off(number)
            best = max(readings, key=off.__getitem__)
            probe = self.table.probes[best]
            yield Told(
                said.cause,
                f"{best + 1} ({self.letters[probe.group]}): {minus(probe.red)} to"
                f" {minus(probe.black)}",
                self._sound(best)[0], self.text(best, self.size[number][best]),
                said.do,
            )  # fmt: skip

    # --- data --------------------------------------------------------------------------------

    def script(self) -> bytes:
        """The table as a script, since a page that was opened from a folder may fetch nothing."""
        own = self.signatures
        data: dict[str, Any] = {
            "readings": [
                {"n": read.number, "red": read.red, "black": read.black, "sound": read.sound,
                 "low": read.low, "high": read.high,
                 "unit": self.table.probes[read.number - 1].unit,
                 "name": probing.name, "how": probing.how}
                for probing in self.probings for read in probing.reads
            ],
            "looks": {kind: self.words.looks[kind] for kind in self.words.looks
                      if any(one.kind == kind for looks in self.table.looks for one in looks)},
            "suspects": [
                {**self.said(one).model_dump(),
                 "looks": [[look.kind, *look.rows] for look in looks],
                 "added": bool(added), "reads": self._differing(number)}
                for number, (one, looks, added) in enumerate(
                    zip(self.table.suspects, self.table.looks, own.added, strict=True))
            ],
            "shared": [[_short(number) for number in row] for row in own.shared],
            "own": [_short(number) for number in own.own],
            "digits": [_short(number) for number in own.digits],
            "over": [_short(number) if np.isfinite(number) else 1e9 for number in own.over],
            "effort": [_short(number) for number in own.effort],
            "share": own.share,
        }  # fmt: skip
        text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
        # No text may end the script that it stands in.
        safe = text.replace("</", "<\\/")
        return f"window.guidegenFaults={safe};\n".encode()

    def _differing(self, number: int) -> dict[str, float | None]:
        """Readings of a suspect that differ from the sound one's, by a tenth of a deviation."""
        mine, size = self.signatures.expected[number], self.size[number]
        lost = np.isnan(mine)
        told = lost | (np.abs(size - self.size[0]) > 0.1 * self.single[0]) | (number == 0)
        return {str(reading): None if lost[reading] else _short(size[reading])
                for reading in np.flatnonzero(told)}  # fmt: skip

    def sheet(self) -> bytes:
        """A table to fill in: every reading with its sound value, and an empty column."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["reading", "what", "red", "black", "sound", "low", "high", "read"])
        writer.writerow(["look", " | ".join(self.words.looks.values()), "", "", "", "", "", ""])
        writer.writerow(["rows", "of which rows", "", "", "", "", "", ""])
        for probing in self.probings:
            for one in probing.reads:
                writer.writerow([one.number, probing.name.lstrip("+-=@"), one.red, one.black,
                                 one.sound, one.low, one.high, ""])  # fmt: skip
        return out.getvalue().encode()


def _short(number: float) -> float:
    """Five digits: more than any meter shows."""
    return float(f"{number:.5g}")
