"""What publishing asks of a guide; any object with these names will do."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from guidegen.errors import GuidegenError


class PublishError(GuidegenError):
    """A guide can't be written as asked; the folder that was there is untouched."""


class PageLike(Protocol):
    """One page of the guide, before any program that makes sites sees it."""

    @property
    def uri(self) -> str:
        """Name of the Markdown file, as `wiring.md`; the first page is `index.md`."""

    @property
    def title(self) -> str:
        """Title in the navigation: plain text, no markup."""

    @property
    def markdown(self) -> str:
        """The whole page; a figure stands as `![](figures/NAME.svg)` on a line of its own."""


class FigureLike(Protocol):
    """A drawing with the words that stand for it."""

    @property
    def svg(self) -> str:
        """One `<svg>` element."""

    @property
    def alt(self) -> str:
        """What the drawing tells, for who can't see it."""

    @property
    def caption(self) -> str:
        """The line under the drawing; empty for none."""


class GuideLike(Protocol):
    """A whole guide, ready to be published."""

    @property
    def name(self) -> str:
        """Name of the folder: letters, digits and hyphens."""

    @property
    def title(self) -> str:
        """The fixture's name as people say it: plain text, no markup."""

    @property
    def revision(self) -> str:
        """The newest revision."""

    @property
    def date(self) -> datetime.date | None:
        """Day of the revision; None for a draft."""

    @property
    def fingerprint(self) -> str:
        """Short hash of all that the guide follows from."""

    @property
    def paper(self) -> str:
        """`A4` or `Letter`."""

    @property
    def stop(self) -> bool:
        """True if a check failed and the guide was asked for all the same."""

    @property
    def statement(self) -> str:
        """What every cover says, as plain text: what the guide is not; empty for nothing."""

    @property
    def pages(self) -> Sequence[PageLike]:
        """Every page in the order of the work."""

    @property
    def figures(self) -> Mapping[str, FigureLike]:
        """Every drawing by its name."""

    @property
    def data(self) -> Mapping[str, bytes]:
        """Files for other programs by their name, `guide.json` among them."""

    @property
    def charts(self) -> Sequence[Mapping[str, Any]]:
        """Requests for charts, each with `name` and `alt`, drawn while the site is made."""


@dataclass(frozen=True)
class Drawn:
    """A chart that came back from its process, as a figure."""

    svg: str
    alt: str
    caption: str
