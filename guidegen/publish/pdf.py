"""The guide as one PDF, made from its print page.

WeasyPrint does it, an optional extra that needs Pango of the system. Whatever it asks for it
gets from here: the drawings of the page and the fonts that matplotlib brings; everything else
is refused, files of this machine and other hosts alike.
"""

from __future__ import annotations

import gc
import importlib
import logging
import os
import re
import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, redirect_stdout
from dataclasses import dataclass
from html import escape
from importlib.util import find_spec
from io import StringIO
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes

from guidegen import __version__
from guidegen.diagrams.style import literal
from guidegen.folders import folder
from guidegen.publish import printed
from guidegen.publish.pages import identity
from guidegen.publish.protocol import GuideLike, PublishError

OWN = "guide:"
VARIANT = "pdf/ua-1"  # tagged, for who reads by ear; ISO 14289-1
SVG = "image/svg+xml"
DATA_SVG = f"data:{SVG},"
DRAWING = re.compile(
    r'<svg role="img" aria-label="(?P<alt>[^"]*)"(?P<head>[^>]*)>.*?</svg>', re.DOTALL
)
CLASS = re.compile(r'\sclass="[^"]*"')
FAMILY = re.compile(r"(font(?:-family)?:[^;\"]*?)'DejaVu Sans'")
HREF = re.compile(r'(<a\b[^>]*?)\shref="(?!#|https?:|mailto:)[^"]*"')
COVER = re.compile(r'<header class="gg-cover">.*?</header>', re.DOTALL)
FIRST = re.compile(
    r'(?P<start><section class="gg-page" id="[^"]*">\n)(?P<top>.*?)(?P<rest><h2\b.*)', re.DOTALL
)
TEXT = re.compile(r"<(style|script)\b.*?</\1>|>[^<]+", re.DOTALL)
WORD = re.compile(r"(?:&#?\w+;|[^\s<>&]){30}(?=[^\s<])")
WHOLE = {"gg-part", "gg-caution", "gg-emergency", "gg-hold", "gg-figure"}
HEADING = re.compile(r"<h1\b.*?</h1>", re.DOTALL)
FACES = {
    "DejaVuSans": ("gg-sans", 400, "normal"),
    "DejaVuSans-Bold": ("gg-sans", 700, "normal"),
    "DejaVuSans-Oblique": ("gg-sans", 400, "italic"),
    "DejaVuSans-BoldOblique": ("gg-sans", 700, "italic"),
    "DejaVuSansMono": ("gg-mono", 400, "normal"),
    "DejaVuSansMono-Bold": ("gg-mono", 700, "normal"),
}
GET_WEASYPRINT = "pip install 'weasyprint>=68'"
GET_PANGO = "on Debian: apt install libpango-1.0-0 libpangoft2-1.0-0, on macOS: brew install pango"


class MissingError(PublishError):
    """What makes PDFs is not on this machine; the message says how to get it."""


@dataclass(frozen=True)
class Sheets:
    """A finished PDF.

    Parameters
    ----------
    content : bytes
        The file.
    count : int
        Number of its sheets.
    notes : tuple of str
        What was left out or leads nowhere, a line each; empty when all is well.
    """

    content: bytes
    count: int
    notes: tuple[str, ...]


def program() -> Any:
    """WeasyPrint, loaded.

    Raises
    ------
    MissingError
        If it or a library of the system that it needs is not there.

    """
    try:
        # It takes half a second to load, and prints nine lines of advice where Pango is missing.
        with redirect_stdout(StringIO()), warnings.catch_warnings():
            # Of a machine without fonts: ours come with the page.
            warnings.simplefilter("ignore")
            return importlib.import_module("weasyprint")
    except ImportError as error:
        raise MissingError(f"WeasyPrint is not installed; get it: {GET_WEASYPRINT}") from error
    except OSError as error:
        raise MissingError(f"Pango is missing; get it {GET_PANGO}") from error


def write(guide: GuideLike, into: Path) -> list[str]:
    """Make `NAME.pdf` from the print page in a folder, beside it.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    into : Path
        Folder that holds its `print.html`.

    Returns
    -------
    list of str
        Lines for who builds: what is missing and how to get it; none when all is well.

    Raises
    ------
    PublishError
        If the program fails on this page.

    """
    name = f"{guide.name}.pdf"
    try:
        sheets = rendered(guide, (into / printed.NAME).read_text(encoding="utf-8"))
    except MissingError as error:
        return [f"{name} is not made: {error}"]
    (into / name).write_bytes(sheets.content)
    return [f"{name}: {note}" for note in sheets.notes]


def rendered(guide: GuideLike, page: str) -> Sheets:
    """The PDF of a print page.

    Parameters
    ----------
    guide : GuideLike
        The guide, for what stands in the margins and on the cover.
    page : str
        Its `print.html`.

    Raises
    ------
    MissingError
        If WeasyPrint or Pango is not there.
    PublishError
        If the program fails on this page.

    """
    weasyprint = program()
    html, drawings = prepared(guide, page)
    with _notes() as notes, _unhurried(), _dated(guide):
        try:
            source = weasyprint.HTML(string=html, url_fetcher=_fetcher(weasyprint.urls, drawings))
            document = source.render(pdf_variant=VARIANT)
            content = document.write_pdf(pdf_variant=VARIANT)
        except Exception as error:  # whatever goes wrong in it, a builder gets one sentence
            raise PublishError(
                f"{guide.name}.pdf can't be made: {type(error).__name__}: {error}. "
                "--no-pdf makes all else"
            ) from error
    torn = broken(document.pages)
    return Sheets(content, len(document.pages), tuple(dict.fromkeys([*notes, *torn])))


def broken(pages: Sequence[Any]) -> list[str]:
    """What begins on one sheet and ends on another, though it is a whole: a line each.

    A step that is marked as taller than a sheet is broken between its parts; no part is.
    """
    first: dict[Any, int] = {}
    found: dict[Any, str] = {}
    for number, page in enumerate(pages, 1):
        for box in page._page_box.descendants():
            item = box.element
            if item is None or isinstance(item, str) or item in found or not _whole(item):
                continue
            if first.setdefault(item, number) != number:
                words = " ".join("".join(item.itertext()).split())[:60]
                found[item] = f"'{words}' runs from sheet {first[item]} to sheet {number}"
    return list(found.values())


def _whole(item: Any) -> bool:
    names = set((item.get("class") or "").split())
    if "gg-step" in names:
        return "gg-tall" not in names
    # A table's head comes again on every sheet.
    return bool(names & WHOLE) or (item.tag == "tr" and item.find("th") is None)


def prepared(guide: GuideLike, page: str) -> tuple[str, Mapping[str, bytes]]:
    """The print page as the PDF program wants it, and its drawings by address.

    A drawing in the page would be styled element by element, which takes half of all time; as
    an image it is read once, in print colours, for there no page lends it any.
    """
    drawings: dict[str, bytes] = {}

    def image(found: re.Match[str]) -> str:
        address = f"{OWN}drawing-{len(drawings) + 1}"
        svg = FAMILY.sub(r"\1gg-sans", literal(found[0]))
        if "font-family=" not in found["head"]:  # for texts that name no font
            svg = svg.replace("<svg", '<svg font-family="gg-sans"', 1)
        drawings[address] = svg.encode()
        names = CLASS.search(found["head"])
        return f'<img alt="{found["alt"]}"{names[0] if names else ""} src="{address}">'

    html = HREF.sub(r"\1", DRAWING.sub(image, page))
    head, main, body = covered(guide, html).partition("<main")
    head = head.replace("</head>", f"{_head(guide)}</head>", 1)
    return head + main + TEXT.sub(_breakable, body), drawings


def _breakable(text: re.Match[str]) -> str:
    # A column is as wide as its longest word, whatever the styles say; numbers must stay whole.
    return text[0] if text[1] else WORD.sub("\\g<0>&#8203;", text[0])


def covered(guide: GuideLike, html: str) -> str:
    """The page with a cover: what stands over the first heading of the first page goes there."""
    first = FIRST.search(html)
    title = guide.pages[0].title if guide.pages else ""
    if not first or not title or "</section>" in first["top"]:
        return html
    top = HEADING.sub("", first["top"], count=1)
    figure, picture, key = top.partition("<figure")
    body = f'{figure}<div class="gg-cover-body">{picture}{_closed(key)}</div>' if picture else top
    # The class gives its table the rules that the pages' own tables have.
    cover = f'<header class="gg-cover md-typeset"><h1>{escape(guide.title)}</h1>\n{body}</header>'
    rest = f"{first['start']}<h1>{escape(title)}</h1>\n{first['rest']}"
    html = html[: first.start()] + rest
    return COVER.sub(lambda _: cover, html, count=1)


def _closed(key: str) -> str:
    # All that follows the drawing stands beside it, as one column.
    picture, end, beside = key.partition("</figure>")
    return f"{picture}{end}<div>{beside}</div>"


def _head(guide: GuideLike) -> str:
    issue = identity(guide).removeprefix(f"{guide.title} · ")
    part = '"Do not build: a check has failed"' if guide.stop else "string(gg-part)"
    date = f'<meta name="dcterms.created" content="{guide.date.isoformat()}">' if guide.date else ""
    faces = "\n".join(
        f"@font-face {{ font-family: {family}; font-weight: {weight}; font-style: {style}; "
        f"src: url({OWN}{name}.ttf) }}"
        for name, (family, weight, style) in FACES.items()
    )
    return f"""{date}<meta name="generator" content="guidegen {__version__}">
<style>
{faces}
{(folder("site") / "pdf.css").read_text(encoding="utf-8")}
@page {{
  @top-left {{ content: {printed.quoted(guide.title)}; }}
  @top-right {{ content: {printed.quoted(issue)}; font-weight: 400; }}
  @bottom-left {{ content: {part}; font-weight: {700 if guide.stop else 400}; }}
}}
</style>
"""


def _fetcher(urls: Any, drawings: Mapping[str, bytes]) -> Any:
    """What answers each request of the program: the page's own drawings and fonts only."""

    def fetch(url: str, headers: Any = None) -> Any:
        if url in drawings:
            return urls.URLFetcherResponse(url, drawings[url], {"Content-Type": SVG})
        name = url.removeprefix(OWN).removesuffix(".ttf")
        if url == f"{OWN}{name}.ttf" and name in FACES:
            return urls.URLFetcherResponse(url, font(name))
        if url.startswith(DATA_SVG):  # the signs of the skin
            content = unquote_to_bytes(url.removeprefix(DATA_SVG))
            return urls.URLFetcherResponse(url, content, {"Content-Type": SVG})
        raise PublishError("not a file of this guide, so it is not fetched")

    fetcher = urls.URLFetcher()
    fetcher.fetch = fetch  # every way into it leads here
    return fetcher


def font(name: str) -> bytes:
    """A font file that comes with matplotlib."""
    # Found without being loaded: that alone takes longer than a sheet.
    home = find_spec("matplotlib")
    assert home is not None  # a dependency of this package
    assert home.origin is not None
    fonts = Path(home.origin).parent / "mpl-data" / "fonts" / "ttf"
    return (fonts / f"{name}.ttf").read_bytes()


class _Errors(logging.Handler):
    """Collects what the program could not do."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(" ".join(record.getMessage().split()))


@contextmanager
def _notes() -> Iterator[list[str]]:
    logger, errors = logging.getLogger("weasyprint"), _Errors()
    before, logger.propagate = logger.propagate, False
    logger.addHandler(errors)
    try:
        yield errors.lines
    finally:
        logger.removeHandler(errors)
        logger.propagate = before


@contextmanager
def _unhurried() -> Iterator[None]:
    # Half a million boxes that live to the end: looking for garbage among them is a third of it.
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


@contextmanager
def _dated(guide: GuideLike) -> Iterator[None]:
    # Font files carry the time of their making; the guide's own date makes it the same each day.
    before = os.environ.get("SOURCE_DATE_EPOCH")
    days = (guide.date.toordinal() - 719_163) if guide.date else 3_652  # since 1970; 1980-01-01
    os.environ["SOURCE_DATE_EPOCH"] = str(max(days, 3_652) * 86_400)
    try:
        yield
    finally:
        if before is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = before
