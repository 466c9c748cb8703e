"""From a filled-in `readings.csv` to the causes that are left: the terminal's fault finder."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from guidegen.content.words import Words
from guidegen.design.fault_looks import Look
from guidegen.design.model import minus
from guidegen.design.result import Design
from guidegen.design.solved_faults import fault_table
from guidegen.errors import Place, SpecError, Trouble, accepted_words, nearest
from guidegen.guide.tracing import Tracer

LARGEST = 1_000_000
#: What a meter shows beyond its range.
OVER = ("ol", "o.l", "over", "over the range")
UNITS = {"": None, "mv": 1e-3, "v": 1.0}
COLUMNS = ("reading", "read")


@dataclass(frozen=True)
class Written:
    """What the builder saw and read."""

    look: str
    rows: tuple[str, ...]
    readings: Mapping[int, float]
    """Reading from zero, to what was read. [V]."""


def diagnose(design: Design, words: Words, file: Path) -> list[str]:
    """The causes that fit what a file says was seen and read, the likeliest first.

    Parameters
    ----------
    design : Design
        Settled and complete.
    words : Words
        Of the guide's language.
    file : Path
        `readings.csv` of the guide, filled in.

    Returns
    -------
    list of str
        Lines for the terminal.

    Raises
    ------
    SpecError
        Every trouble of the file, with line and column.
    UnsolvedError
        If a faulty network can't be solved.
    """
    tracer = Tracer(fault_table(design), words)
    written = read(file, tracer)
    table = tracer.table
    score = table.signatures.score(written.readings)
    fits = np.array([_fits(looks, written) for looks in table.looks])
    if written.look and not fits.any():
        return ["No single fault of this light looks so: look again, or leave the look out."]
    score = np.where(fits, score, -np.inf)
    return list(_lines(tracer, score, written))


def _fits(looks: Sequence[Look], written: Written) -> bool:
    if not written.look:
        return True
    rows = set(written.rows)
    return any(look.kind == written.look and (not look.rows or rows <= set(look.rows))
               for look in looks)  # fmt: skip


def _lines(tracer: Tracer, score: np.ndarray, written: Written) -> Iterator[str]:
    """Causes with how likely each is, and the next reading."""
    table = tracer.table
    found = table.signatures.left(score)
    weight = np.exp(score[found] - score[found[0]])
    yield f"{len(written.readings)} readings, {len(found)} of {len(table.suspects)} causes left:"
    for number, share in zip(found[:12], weight / weight.sum(), strict=False):
        said = tracer.said(table.suspects[number])
        yield f"{share:>6.0%}  {said.cause} {said.do}"
    if len(found) > 12:
        yield f"        and {len(found) - 12} more"
    following = table.signatures.next_reading(score, written.readings)
    if len(found) > 1 and following is not None:
        probe = table.probes[following]
        group = tracer.words.probings[probe.group]
        points = f"red on {minus(probe.red)}, black on {minus(probe.black)}"
        yield f"Next: reading {following + 1}, {points}. {group.how}"
    elif len(found) > 1:
        yield "No further reading tells them apart: try them in this order."


def read(file: Path, tracer: Tracer) -> Written:
    """A filled-in file of readings.

    Raises
    ------
    SpecError
        Every trouble of the file.
    """
    return _Reader(file, tracer).written()


class _Reader:
    def __init__(self, file: Path, tracer: Tracer) -> None:
        self.name, self.tracer = file.name, tracer
        self.troubles: list[Trouble] = []
        self.rows = self._rows(file)

    def _rows(self, file: Path) -> list[list[str]]:
        try:
            if file.stat().st_size > LARGEST:
                raise self._fault(0, 0, "larger than 1 MB. Accepted: readings.csv of a guide")
            text = file.read_text(encoding="utf-8-sig")
            return list(csv.reader(text.splitlines(), strict=True))
        except UnicodeDecodeError as error:
            raise self._fault(0, 0, "not UTF-8. Accepted: readings.csv of a guide") from error
        except csv.Error as error:
            raise self._fault(0, 0, f"no table of commas and quotes: {error}") from error
        except OSError as error:
            reason = (error.strerror or "can't be read").lower()
            raise self._fault(0, 0, f"can't be read: {reason}") from error

    def _fault(self, line: int, column: int, message: str) -> SpecError:
        self._tell(line, column, message)
        return SpecError(self.troubles)

    def _tell(self, line: int, column: int, message: str) -> None:
        place = Place(self.name, line, column) if line else Place(self.name)
        self.troubles.append(Trouble(place, "", message))

    def written(self) -> Written:
        head = [cell.strip().lower() for cell in self.rows[0]] if self.rows else []
        for name in COLUMNS:
            if name not in head:
                raise self._fault(1, 1, f"there is no column '{name}'. Accepted: the columns of"
                                        " readings.csv, 'reading' and 'read' at least")  # fmt: skip
        at, to = head.index("reading"), head.index("read")
        look = ""
        rows: tuple[str, ...] = ()
        readings: dict[int, float] = {}
        seen: dict[str, int] = {}
        for line, cells in enumerate(self.rows[1:], start=2):
            key = cells[at].strip() if at < len(cells) else ""
            text = cells[to].strip() if to < len(cells) else ""
            if not text:
                continue
            if key in seen:
                self._tell(line, at + 1, f"'{key}' stands in line {seen[key]} already")
            seen[key] = line
            if key == "look":
                look = self._look(text, line, to + 1)
            elif key == "rows":
                rows = self._refs(text, line, to + 1)
            else:
                self._reading(key, text, (line, at + 1, to + 1), readings)
        if not look and not readings and not self.troubles:
            self._tell(1, to + 1, "nothing is filled in: write what you read into this column")
        if self.troubles:
            raise SpecError(self.troubles)
        return Written(look, rows, readings)

    def _look(self, text: str, line: int, column: int) -> str:
        looks = self.tracer.words.looks
        known = {kind for one in self.tracer.table.looks for kind in (look.kind for look in one)}
        for kind, said in looks.items():
            if text.lower() in (kind, said.lower()):
                return kind
        accepted = [looks[kind] for kind in looks if kind in known]
        self._tell(line, column, f"found '{text}'. " + accepted_words(text, accepted))
        return ""

    def _refs(self, text: str, line: int, column: int) -> tuple[str, ...]:
        wanted = tuple(text.replace(",", " ").replace(";", " ").split())
        rows = sorted({ref for looks in self.tracer.table.looks for look in looks
                       for ref in look.rows})  # fmt: skip
        for ref in wanted:
            if ref not in rows:
                guess = nearest(ref, rows)
                hint = f" Did you mean '{guess}'?" if guess else ""
                self._tell(line, column, f"no row is called '{ref}'.{hint}")
        return wanted

    def _reading(
        self, key: str, text: str, at: tuple[int, int, int], readings: dict[int, float]
    ) -> None:
        line, key_column, column = at
        probes = self.tracer.table.probes
        if not key.isdecimal() or not 1 <= int(key) <= len(probes):
            self._tell(line, key_column, f"no reading has the number '{key}'."
                                         f" Accepted: 1 to {len(probes)}, look, rows")  # fmt: skip
            return
        number = int(key) - 1
        found = self._volts(text, probes[number].unit, float(self.tracer.signatures.over[number]))
        if found is None:
            self._tell(line, column, f"found '{text}'. Accepted: a number, in"
                                     f" {probes[number].unit} or with its unit, or OL")  # fmt: skip
            return
        readings[number] = found

    @staticmethod
    def _volts(text: str, unit: str, over: float) -> float | None:
        plain = text.lower().replace("−", "-").replace("\u00a0", " ").strip()
        if plain in OVER:
            return over if np.isfinite(over) else None
        digits = plain.rstrip("mv ").replace(",", ".")
        factor = UNITS.get(plain[len(digits) :].strip(), 0.0)
        try:
            number = float(digits)
        except ValueError:
            return None
        if factor == 0.0 or not np.isfinite(number):
            return None
        return number * (factor if factor else 1e-3 if unit == "mV" else 1.0)
