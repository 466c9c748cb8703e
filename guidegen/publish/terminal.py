"""What the commands say on a terminal, and to programs that ask for JSON."""

from __future__ import annotations

import json
import shutil
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from guidegen.errors import SpecError

UNREADABLE = 2
LOUD = {"stop": "red", "advice": "yellow", "holds": "green"}


def width(most: int) -> int:
    """Columns of the terminal, within what is read well."""
    return max(40, min(shutil.get_terminal_size().columns, most))


def loud(level: str, text: str) -> str:
    """A text in the colour of a level; click takes it away where no terminal shows it."""
    return click.style(text, fg=LOUD[level], bold=True)


def unreadable(spec: Path, error: Exception, as_json: bool = False) -> NoReturn:
    """Say what can't be read, for people, and for programs where they ask; ends the command."""
    if as_json:
        click.echo(json.dumps({"spec": spec.name, "troubles": troubles(error)}, indent=1))
    click.echo(str(error), err=True)
    sys.exit(UNREADABLE)


def troubles(error: Exception) -> list[dict[str, Any]]:
    """Every trouble of a spec, for programs."""
    if not isinstance(error, SpecError):
        return [{"message": str(error)}]
    return [
        {
            "file": trouble.place.file,
            "line": trouble.place.line,
            "column": trouble.place.column,
            "path": trouble.path,
            "message": trouble.message,
        }
        for trouble in error.troubles
    ]


def finding_record(finding: Any) -> dict[str, Any]:
    """One finding, for programs."""
    # Late: the troubles of a spec are told without it.
    from guidegen.guide.sentences import finding_text

    def value(one: Any) -> dict[str, Any] | None:
        return one and {"name": one.name, "text": str(one), "si": one.si, "unit": one.kind.si}

    return {
        "id": finding.id,
        "level": finding.level,
        "required": value(finding.required),
        "found": value(finding.found),
        "place": str(finding.place) if finding.place else None,
        "text": " ".join(finding_text(finding).split()),
        "mends": [
            {"changes": dict(mend.changes), "effect": value(mend.effect)} for mend in finding.mends
        ],
    }


def print_findings(findings: Sequence[Any]) -> None:
    """The findings as a table: level, what and where, the worst first."""
    # Late: as above.
    from guidegen.guide.sentences import finding_text

    for finding in sorted(findings, key=lambda one: list(LOUD).index(one.level)):
        place = f" [{finding.place}]" if finding.place else ""
        words = " ".join(finding_text(finding).split()) + place
        lines = textwrap.wrap(words, width(110) - 9, break_on_hyphens=False) or [""]
        click.echo(f"{loud(finding.level, f'{finding.level:<8}')} {lines[0]}")
        for line in lines[1:]:
            click.echo(f"{'':9}{line}")
