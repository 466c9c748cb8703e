"""The whole guide as one HTML file for paper: it asks nothing of any other file."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from collections.abc import Mapping
from html import escape
from pathlib import PurePosixPath
from urllib.parse import unquote

from guidegen.folders import folder
from guidegen.publish.markup import inline_figures
from guidegen.publish.pages import identity
from guidegen.publish.protocol import FigureLike, GuideLike

NAME = "print.html"
LINK = re.compile(r'(<a\b[^>]*?\bhref=")([^"]*)(")')
IDENTIFIER = re.compile(r'(<[a-z][\w-]*\b[^>]*?\sid=")([^"]*)(")')
EMERGENCY = re.compile(r'<section class="gg-emergency".*?</section>', re.DOTALL)
PERMALINK = re.compile(r'<a class="headerlink"[^>]*>.*?</a>')
ELSEWHERE = re.compile(r"^(?:[a-z][a-z0-9+.-]*:|//)")
PAPERS = {"A4": "A4", "Letter": "letter"}


def skin() -> str:
    """The styles that site and print page share."""
    return (folder("site") / "docs" / "assets" / "guide.css").read_text(encoding="utf-8")


def key(uri: str) -> str:
    """The name of a page's part of the file."""
    return "page-" + PurePosixPath(uri).with_suffix("").as_posix().replace("/", "-")


def quoted(text: str) -> str:
    """A text as a string of CSS, safe inside a `<style>` element."""
    return '"' + re.sub(r"[^\w .,·-]", lambda sign: f"\\{ord(sign[0]):06x}", text) + '"'


def joined(html: str, uri: str, pages: Mapping[str, str]) -> str:
    """The page's part with its anchors made the file's own, and its links turned to them.

    Parameters
    ----------
    html : str
        The page as the site shows it.
    uri : str
        Name of its Markdown file.
    pages : mapping of str to str
        Address of each page in the site to the name of its Markdown file.
    """
    here = PurePosixPath(uri).parent

    def link(found: re.Match[str]) -> str:
        path, _, anchor = found[2].partition("#")
        if ELSEWHERE.match(found[2]):
            return found[0]
        address = _normal(here / path)
        target = pages.get(address) if path else uri
        if target is None:  # a data file, seen from the print file beside it
            return f"{found[1]}{address}{found[3]}"
        return f"{found[1]}#{key(target)}{'--' + anchor if anchor else ''}{found[3]}"

    html = PERMALINK.sub("", html)
    html = IDENTIFIER.sub(rf"\g<1>{key(uri)}--\g<2>\g<3>", html)
    return LINK.sub(link, html)


def flat(html: str, uri: str, url: str, sources: Mapping[str, str]) -> str:
    """A page of any site with its links as they are where each page is one file.

    Parameters
    ----------
    html : str
        The page as the site shows it.
    uri, url : str
        Name of its Markdown file, and its address in the site.
    sources : mapping of str to str
        Address of each file of the site, without a closing `/`, to its name: a page of the
        guide ends in `.md`, anything else is named as the site has it.
    """
    here, home = posixpath.dirname(url), posixpath.dirname(uri)

    def link(found: re.Match[str]) -> str:
        path, mark, anchor = found[2].partition("#")
        target = sources.get(posixpath.normpath(posixpath.join(here, unquote(path))))
        if ELSEWHERE.match(found[2]) or not path or target is None:
            return found[0]
        file = re.sub(r"\.md$", ".html", target)
        return f"{found[1]}{posixpath.relpath(file, home or '.')}{mark}{anchor}{found[3]}"

    return LINK.sub(link, html)


def _normal(path: PurePosixPath) -> str:
    parts: list[str] = []
    for part in path.parts:
        if part == ".." and parts:
            parts.pop()
        elif part != "..":
            parts.append(part)
    return "/".join(parts)


def sections(
    guide: GuideLike, parts: Mapping[str, str], figures: Mapping[str, FigureLike]
) -> list[str]:
    """Every page as a section of the file, in the order of the work."""
    pages = {
        page.uri.removesuffix(".md") + ".html": page.uri
        for page in guide.pages
        if page.uri in parts
    }
    seen: Counter[str] = Counter()

    def renamed(name: str) -> str:
        # The same drawing twice in one file would carry the same ids twice.
        seen[name] += 1
        return f"again{seen[name]}-" if seen[name] > 1 else ""

    made = []
    for page in guide.pages:
        if page.uri not in parts:
            continue
        html = inline_figures(joined(parts[page.uri], page.uri, pages), figures, renamed)
        made.append(f'<section class="gg-page" id="{key(page.uri)}">\n{html}\n</section>')
    return made


def contents(guide: GuideLike, parts: Mapping[str, str]) -> str:
    """The list of pages; a program that knows page numbers adds them by the style sheet."""
    rows = "\n".join(
        f'<li><a href="#{key(page.uri)}">{escape(page.title)}</a></li>'
        for page in guide.pages
        if page.uri in parts
    )
    return f'<nav class="gg-contents"><h2>Contents</h2>\n<ol>\n{rows}\n</ol></nav>'


def back_cover(parts: Mapping[str, str]) -> list[str]:
    """The emergency block once more, for the last sheet; none where no page has one."""
    found = (EMERGENCY.search(html) for html in parts.values())
    return [f'<div class="gg-back">\n{one[0]}\n</div>' for one in found if one]


def paged(guide: GuideLike) -> str:
    """The styles that say what stands in the margins of this guide's sheets."""
    line, warning = identity(guide), "Do not build: a check has failed" if guide.stop else ""
    boxes = {
        "top-left": quoted(guide.title),
        "top-right": quoted(warning),
        "bottom-left": quoted(line),
        "bottom-right": '"Page " counter(page) " of " counter(pages)',
    }
    inside = " ".join(f"@{place} {{ content: {text}; }}" for place, text in boxes.items())
    return f"@page {{ size: {PAPERS[guide.paper]}; {inside} }}"


def document(guide: GuideLike, parts: Mapping[str, str], figures: Mapping[str, FigureLike]) -> str:
    """The print file.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    parts : mapping of str to str
        The HTML of each page by the name of its Markdown file.
    figures : mapping of str to FigureLike
        Every drawing by its name.
    """
    inside = [contents(guide, parts), *sections(guide, parts, figures), *back_cover(parts)]
    body = "\n".join(inside)
    return f"""<!doctype html>
<html lang="en" class="gg-print">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(guide.title)}</title>
<style>
{skin()}
{paged(guide)}
</style>
</head>
<body>
<header class="gg-cover"><p class="gg-cover-title">{escape(guide.title)}</p>
<p>{escape(identity(guide))}</p>
<p>{escape(guide.statement)}</p></header>
<main class="md-typeset">
{body}
</main>
</body>
</html>
"""
