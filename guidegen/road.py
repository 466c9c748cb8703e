"""The road from a spec to its guide, for the commands and the plug-in alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from guidegen.publish.protocol import GuideLike


def design_of(spec: Path, judged: bool = False) -> Any:
    """The settled design of a spec.

    Parameters
    ----------
    spec : Path
        Its file.
    judged : bool
        Whether its findings are all that is asked for: what only describes is left out.

    Raises
    ------
    SpecError
        If the spec can't be read; it tells every trouble of the file.
    """
    # Late, here and below: these rooms take half a second that `--help` must not pay.
    from guidegen.design.settle import JUDGING, SUBJECTS, settle
    from guidegen.spec import load

    return settle(load(spec), JUDGING if judged else SUBJECTS)


def guide_of(spec: Path, design: Any) -> GuideLike:
    """The guide of a design; templates beside the spec word it before the package's own."""
    from guidegen.content.files import search_path
    from guidegen.guide import make
    from guidegen.publish.figures import drawings

    return make(design, search_path(spec.parent), drawings)


def trial_of(spec: Path, columns: Sequence[Sequence[str]]) -> dict[str, Any]:
    """What changes of a spec would do, as `guidegen try --json` prints it; nothing is written.

    Parameters
    ----------
    spec : Path
        Its file.
    columns : sequence of sequence of str
        Changes `KEY=VALUE` that are tried together, one sequence a column.

    Raises
    ------
    SpecError
        If the spec or a change can't be read; it tells every trouble of all columns.
    """
    from guidegen.content.files import search_path
    from guidegen.design.trial import judged, tried
    from guidegen.errors import SpecError, Trouble
    from guidegen.guide.trial import Teller
    from guidegen.spec import load
    from guidegen.spec.overrides import read_columns

    fixture = load(spec)
    read = read_columns(columns)
    before = judged(fixture)
    found = []
    troubles: list[Trouble] = []
    for changes in read:
        try:
            found.append(tried(fixture, before, changes))
        except SpecError as error:
            troubles += error.troubles
    if troubles:
        raise SpecError(troubles)
    return Teller(search_path(spec.parent), before).trial(found)


def trial_text(
    spec: Path, found: dict[str, Any], width: int, paint: Callable[[str, str], str]
) -> str:
    """What `trial_of` found, for a terminal of so many columns."""
    from guidegen.content.files import search_path
    from guidegen.content.words import load_words
    from guidegen.publish.trial import lines

    return "\n".join(lines(found, load_words(search_path(spec.parent)), width, paint))


def trial_page(spec: Path, found: dict[str, Any], file: Path) -> None:
    """What `trial_of` found, written to one HTML file.

    Raises
    ------
    PublishError
        If something else stands there.
    """
    from guidegen.content.files import search_path
    from guidegen.publish.trial_page import page, write

    write(page(found, search_path(spec.parent)), file)


def causes_of(spec: Path, readings: Path) -> list[str]:
    """The faults that fit a filled-in `readings.csv`, as lines.

    Raises
    ------
    SpecError
        If the spec or the readings can't be read.
    GuidegenError
        If a check stops the design, which then has no working light to compare with.
    """
    from guidegen.content.files import search_path
    from guidegen.content.words import load_words
    from guidegen.errors import GuidegenError
    from guidegen.guide.diagnose import diagnose

    design = design_of(spec)
    if design.stops:
        raise GuidegenError(f"{spec}: a check stops this design. Run guidegen check, and mend it")
    return diagnose(design, load_words(search_path(spec.parent)), readings)
