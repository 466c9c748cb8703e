"""A guide as a MkDocs project that needs nothing of guidegen: Markdown, drawings, settings."""

from __future__ import annotations

import hashlib
import re
import tempfile
from collections.abc import Mapping
from html import escape
from pathlib import Path
from typing import Any

import yaml

from guidegen.folders import folder
from guidegen.publish import printed
from guidegen.publish.drawn import ChartProcess
from guidegen.publish.pages import figures_of, files
from guidegen.publish.protocol import FigureLike, GuideLike, PublishError
from guidegen.publish.swap import mark_of, replaced

SITE = "site"  # where MkDocs builds to; it empties that folder itself
NEEDS = ("mkdocs>=1.6.1,<2", "mkdocs-material>=9.7,<10")
HEAD = (
    "# Written by guidegen. Build: pip install -r requirements.txt && mkdocs build --strict\n"
    "# `guidegen pages` writes this folder anew as long as nobody has changed a file in it.\n"
)
#: Themes print a title as it is in one place, and undo its entities in another: no way of
#: writing these signs is right in both, so they get signs of the same look without a meaning.
HARMLESS = str.maketrans({"<": "\u2039", ">": "\u203a", '"': "\u2033"})
ENTITY = re.compile(r"&(?=[#\w])")
DRAWING = re.compile(r"^( *)!\[.*\]\((?:\.\./)*figures/([\w.-]+)\.svg\)$", re.MULTILINE)
MARKUP = re.compile(r"([\\\[\]`*_])")


def harmless(text: str) -> str:
    r"""A title that stays text wherever a theme puts it, with or without its entities.

    Parameters
    ----------
    text : str
        Plain text, whatever signs it holds.

    Returns
    -------
    str
        One line without `<`, `>`, `"`, or an `&` that could begin an entity.

    Examples
    --------
    >>> harmless("A <b> light,  5 & 12 V &lt;") == "A \u2039b\u203a light, 5 & 12 V \uff06lt;"
    True

    """
    return ENTITY.sub("\uff06", " ".join(text.split())).translate(HARMLESS)


def captioned(text: str, figures: Mapping[str, FigureLike]) -> str:
    """A page with the caption of each drawing as a paragraph below its image."""

    def both(found: re.Match[str]) -> str:
        words = " ".join(figures[found[2]].caption.split())
        words = MARKUP.sub(r"\\\1", escape(words))
        return f"{found[0]}\n\n{found[1]}*{words}*" if words else found[0]

    return DRAWING.sub(both, text)


def settings(guide: GuideLike) -> dict[str, Any]:
    """What the project's `mkdocs.yml` says: the settings of `site/` without our plug-in.

    Parameters
    ----------
    guide : GuideLike
        The guide; its title names the site, its pages are the navigation.
    """
    # Late: MkDocs takes a tenth of a second, and only the plug-in's module knows it.
    from guidegen.publish.plugin import EXTENSIONS, SCRIPTS, STYLES

    text = (folder("site") / "mkdocs.yml").read_text(encoding="utf-8")
    found: dict[str, Any] = yaml.safe_load(text)
    del found["site_dir"], found["plugins"]["guidegen"]
    extensions = dict.fromkeys(EXTENSIONS, None) | found["markdown_extensions"]
    return found | {
        "site_name": harmless(guide.title),
        "nav": [{harmless(page.title): page.uri} for page in guide.pages],
        # MkDocs takes an extension without options by its bare name only.
        "markdown_extensions": [
            {name: options} if options else name for name, options in extensions.items()
        ],
        "extra_css": list(STYLES),
        "extra_javascript": list(SCRIPTS),
    }


def project(guide: GuideLike, charts: ChartProcess) -> dict[str, str | bytes]:
    """Every file of the project by its name.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    charts : ChartProcess
        The process that draws its charts meanwhile.

    Returns
    -------
    dict of str to str or bytes
        File name, with `/` between folders, to its content.

    Raises
    ------
    PublishError
        If something in the guide leads nowhere.

    """
    # Late: as above.
    from guidegen.publish.plugin import build_site

    with tempfile.TemporaryDirectory() as scratch:
        # The site itself is not wanted, but its print page is, and every link gets checked.
        build_site(guide, charts, Path(scratch))
        docs: dict[str, str | bytes] = {printed.NAME: (Path(scratch) / printed.NAME).read_bytes()}
    skin = folder("site") / "docs"
    for path in sorted(skin.rglob("*")):
        if path.is_file():
            docs[path.relative_to(skin).as_posix()] = path.read_bytes()
    figures = figures_of(guide, charts.drawn())
    docs |= {
        name: captioned(content, figures)
        if isinstance(content, str) and name[-3:] == ".md"
        else content
        for name, content in files(guide, charts.drawn()).items()
    }
    text = yaml.safe_dump(settings(guide), allow_unicode=True, sort_keys=False, width=100)
    return {f"docs/{name}": content for name, content in docs.items()} | {
        "mkdocs.yml": HEAD + text,
        "requirements.txt": "".join(f"{need}\n" for need in NEEDS),
    }


def refuse_changed(out: Path) -> None:
    """Leave alone a project whose pages somebody has worked on, and a guide that is a site.

    Raises
    ------
    PublishError
        If the folder holds anything else of guidegen, or a file is not as guidegen wrote it.

    """
    mark: Mapping[str, Any] = mark_of(out) or {"pages": ""}
    if "pages" not in mark:
        raise PublishError(f"{out}: holds a guide as a site; name another folder for its pages")
    for name, was in mark.get("files", {}).items():
        path = out / name
        if path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() != was:
            raise PublishError(
                f"{path}: was changed since guidegen wrote it, and would be lost. "
                "Name another folder, or move this one away"
            )


def write(guide: GuideLike, out: Path, charts: ChartProcess | None = None) -> None:
    """Write the guide as a plain project, in the place of the one that was there.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    out : Path
        The project's folder; only one that guidegen made and nobody changed, an empty or a
        new one.
    charts : ChartProcess, optional
        One that waits for its requests already.

    Raises
    ------
    PublishError
        If something in the guide leads nowhere, or the folder can't be written. What stood
        there stands as it was.

    """
    notes = {
        "pages": guide.name,
        "revision": guide.revision,
        "fingerprint": guide.fingerprint,
        "emptied": SITE,
    }
    if Path.cwd().is_relative_to(out.resolve()):
        raise PublishError(f"{out}: is the folder that you are in; go out of it, or name another")
    refuse_changed(out)
    charts = charts or ChartProcess()
    charts.ask(guide.charts)
    try:
        with replaced(out, notes) as new:
            for name, content in project(guide, charts).items():
                path = new / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content if isinstance(content, bytes) else content.encode())
    finally:
        charts.close()
