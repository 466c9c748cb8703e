"""One guide to one folder: site, print page and data files."""

from __future__ import annotations

import re
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

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
    made_from: str = "",
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
    made_from : str
        Hash of all that decides the guide's bytes; it is noted in the folder.

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

        notes: dict[str, Any] = {
            "guide": guide.name,
            "revision": guide.revision,
            "fingerprint": guide.fingerprint,
        }
        with replaced(out, notes) as new:
            progress("pages")
            build_site(guide, charts, new)
            if pdf:
                # Late: who wants no PDF need not load what makes it.
                from guidegen.publish.pdf import write

                progress("PDF")
                said = write(guide, new)
            if made_from and _lasting(guide, new, pdf):
                notes |= {"made_from": made_from, "said": said}
            progress("in place")
    finally:
        charts.close()
    return said


def _lasting(guide: GuideLike, new: Path, pdf: bool) -> bool:
    """Whether the same files would give this guide again, so that the next build may rest."""
    if guide.stop:  # who asks for it must read each time what stops it
        return False
    # What the PDF lacked may lie outside of Python, where no hash of files shows that it came.
    return not pdf or (new / f"{guide.name}.pdf").is_file() or find_spec("weasyprint") is None
