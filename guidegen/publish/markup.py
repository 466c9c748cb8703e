"""Changes to finished HTML that both the site and the print page need."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from html import escape

from guidegen.publish.protocol import FigureLike

IMAGE = re.compile(
    r"(?P<open><p>\s*)?<img\b[^>]*?\bsrc=\"(?P<up>(?:\.\./|\./)*)figures/(?P<name>[\w.-]+?)\.svg\"[^>]*>"
    r"(?P<close>\s*</p>)?"
)
TABLE = re.compile(r"<table(?P<rest>[^>]*)>(?P<inside>.*?)</table>", re.DOTALL)
MANY = 7  # columns from which a table is set smaller, to fit a sheet upright
IDENTIFIER = re.compile(r"""(\bid=["']|url\(["']?#|href=["']#|aria-[a-z]+by=["'])""")


def scrolling_tables(html: str) -> str:
    """Each table in a box of its own, so that a wide one never moves the page sideways."""

    def boxed(found: re.Match[str]) -> str:
        rest, inside = found["rest"], found["inside"]
        first_row = inside.partition("</tr>")[0]
        many = len(re.findall(r"<t[hd]\b", first_row)) >= MANY
        # A class of its own keeps the theme's script from boxing the table a second time.
        names = " ".join(["gg-table", *(["gg-many"] if many else [])])
        if "class=" in rest:
            rest = re.sub(r'class="', f'class="{names} ', rest, count=1)
        else:
            rest = f' class="{names}"{rest}'
        return f'<div class="gg-scroll" tabindex="0"><table{rest}>{inside}</table></div>'

    return TABLE.sub(boxed, html)


def described(svg: str, alt: str) -> str:
    """The drawing as one image with its words, whatever its own head says."""
    drawing = svg[svg.index("<svg") :].strip()
    # The label stands in place of hundreds of single texts that a screen reader would read out.
    head = f'<svg role="img" aria-label="{escape(alt)}"'
    # No pattern: a backslash in the words would be read as a command of it.
    return head + _bare(drawing).removeprefix("<svg")


def _bare(drawing: str) -> str:
    end = drawing.index(">")
    head = re.sub(r'\s(?:role|aria-[a-z]+)="[^"]*"', "", drawing[:end])
    return head + drawing[end:]


def inline_figures(
    html: str, figures: Mapping[str, FigureLike], renamed: Callable[[str], str] | None = None
) -> str:
    """Each image of a figure replaced by the drawing itself and its caption.

    Parameters
    ----------
    html : str
        A page or a part of one.
    figures : mapping of str to FigureLike
        The drawings by their name; an image of any other name stays as it is.
    renamed : callable, optional
        For a file that stands alone: given a figure's name, what to put before every id in
        it. Without it each drawing gets a link to its own file.
    """

    def drawing(found: re.Match[str]) -> str:
        name = found["name"]
        if name not in figures:
            return found[0]
        figure = figures[name]
        svg = described(figure.svg, figure.alt)
        prefix = renamed(name) if renamed else ""
        if prefix:
            svg = IDENTIFIER.sub(rf"\g<1>{prefix}", svg)
        if not (found["open"] and found["close"]):
            return f"{found['open'] or ''}{svg}{found['close'] or ''}"
        words = escape(figure.caption)
        if not renamed:
            words += (
                f' <a class="gg-screen gg-alone" href="{found["up"]}figures/{name}.svg">'
                "Drawing by itself</a>"
            )
        box = f'<div class="gg-scroll" tabindex="0">{svg}</div>'
        caption = f"<figcaption>{words}</figcaption>" if words else ""
        return f'<figure class="gg-figure" id="figure-{prefix}{name}">{box}{caption}</figure>'

    return IMAGE.sub(drawing, html)
