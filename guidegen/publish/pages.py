"""A guide as a plain mapping of file names to text or bytes, before MkDocs sees it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape

from guidegen.publish.protocol import FigureLike, GuideLike, PageLike, PublishError

FIGURE = re.compile(r"!\[([^\]\n]*)\]\(((?:\.\./)*)figures/([\w.-]+?)\.svg\)")
# Letters of any language, digits, hyphens and dots; never a way out of the guide's folder.
FILE_NAME = re.compile(r"\w[\w.-]*(?:/\w[\w.-]*)*")
STOP = (
    '<div class="gg-stop" data-search-exclude markdown="block">\n\n'
    "**Do not build from this guide.** A check of the design has failed. "
    "The guide was made all the same, because it was asked for.\n\n</div>"
)


def identity(guide: GuideLike) -> str:
    """The line that tells one issue of a guide from another, as plain text.

    Returns
    -------
    str
        Fixture, revision, date if there is one, fingerprint.
    """
    parts = [guide.title, f"revision {guide.revision}"]
    if guide.date:
        parts.append(guide.date.isoformat())
    return " · ".join([*parts, guide.fingerprint])


def figure_line(found: re.Match[str], figures: Mapping[str, FigureLike], page: str) -> str:
    """The image of one figure, with the words that the figure brings."""
    _, up, name = found.groups()
    if name not in figures:
        raise PublishError(f"{page}: figure '{name}' was not drawn")
    figure = figures[name]
    # Markdown takes a backslash before its own signs, an entity for those of HTML.
    alt = re.sub(r"([\\\[\]`*_])", r"\\\1", escape(" ".join(figure.alt.split())))
    return f"![{alt}]({up}figures/{name}.svg)"


def page_text(guide: GuideLike, page: PageLike, figures: Mapping[str, FigureLike]) -> str:
    """The Markdown of one page: warning, text, and the identity at its foot."""
    body = FIGURE.sub(lambda found: figure_line(found, figures, page.uri), page.markdown)
    foot = f'<p class="gg-foot" data-search-exclude>{escape(identity(guide))}</p>'
    return "\n\n".join([*([STOP] if guide.stop else []), body.strip(), foot]) + "\n"


def figures_of(
    guide: GuideLike, charts: Mapping[str, FigureLike] | None = None
) -> dict[str, FigureLike]:
    """Every figure of the guide by its name, charts among them."""
    return {**guide.figures, **(charts or {})}


def files(
    guide: GuideLike, charts: Mapping[str, FigureLike] | None = None
) -> dict[str, str | bytes]:
    """Every file of the guide by its name: Markdown pages, figures, data.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    charts : mapping of str to FigureLike, optional
        Charts that were drawn apart from it, by their name.

    Returns
    -------
    dict of str to str or bytes
        File name, with `/` between folders, to its content.

    Raises
    ------
    PublishError
        If a page shows a figure that nobody drew, two files have one name, or a name would
        lead out of the guide's folder.

    """
    figures = figures_of(guide, charts)
    found: dict[str, str | bytes] = {}
    for page in guide.pages:
        if page.uri in found:
            raise PublishError(f"two pages are called {page.uri}")
        found[page.uri] = page_text(guide, page, figures)
    found |= {f"figures/{name}.svg": figure.svg for name, figure in figures.items()}
    if doubled := sorted(set(found) & set(guide.data)):
        raise PublishError(f"two files are called {doubled[0]}")
    found |= guide.data
    if strange := [name for name in found if not FILE_NAME.fullmatch(name)]:
        raise PublishError(f"'{strange[0]}' is no name for a file of a guide")
    return found
