"""One guide to one folder: site, print page and data files."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from guidegen.publish.drawn import ChartProcess
from guidegen.publish.protocol import GuideLike, PublishError
from guidegen.publish.swap import replaced

Progress = Callable[[str], None]
NAME = re.compile(r"\w[\w-]*")


def folder_of(guide: GuideLike, output: Path) -> Path:
    """Where a guide goes: a folder of its own name in the folder of all guides.

    Raises
    ------
    PublishError
        If the name would lead elsewhere.

    """
    if not NAME.fullmatch(guide.name):
        raise PublishError(
            f"'{guide.name}' is no name for a guide's folder. "
            "Accepted: letters, digits, - and _; rename the spec"
        )
    return output / guide.name


def build(
    guide: GuideLike,
    out: Path,
    progress: Progress = lambda _: None,
    charts: ChartProcess | None = None,
    pdf: bool = False,
) -> list[str]:
    """Write the whole guide, and put it in the place of the one that was there.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    out : Path
        Its folder; only one that guidegen made, an empty or a new one.
    progress : callable
        Told each stage in a few words.
    charts : ChartProcess, optional
        One that waits for its requests already.
    pdf : bool
        Whether to make `NAME.pdf` too.

    Returns
    -------
    list of str
        Lines for who builds: why there is no PDF, or what it leaves out.

    Raises
    ------
    PublishError
        If something in the guide leads nowhere, or the folder can't be written. The guide
        that was there is then still there, whole.

    """
    # First of all: the charts need as long as everything else together.
    charts = charts or ChartProcess()
    charts.ask(guide.charts)
    said: list[str] = []
    try:
        # Late: MkDocs takes a tenth of a second, which the charts' process uses already.
        from guidegen.publish.plugin import build_site

        notes = {"guide": guide.name, "revision": guide.revision, "fingerprint": guide.fingerprint}
        with replaced(out, notes) as new:
            progress("pages")
            build_site(guide, charts, new)
            if pdf:
                # Late: who wants no PDF need not load what makes it.
                from guidegen.publish.pdf import write

                progress("PDF")
                said = write(guide, new)
            progress("in place")
    finally:
        charts.close()
    return said
