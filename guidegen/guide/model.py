"""A whole guide: pages in the order of the work, figures, files for other programs."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from guidegen.design.result import Design
from guidegen.guide.cautions import Cautions
from guidegen.guide.faults import Fault
from guidegen.guide.step import Step
from guidegen.guide.walk import WalkReport


@dataclass(frozen=True)
class Page:
    """One page, before any program that makes sites sees it."""

    uri: str
    title: str
    markdown: str


@dataclass(frozen=True, eq=False)
class Guide:
    """What is published."""

    name: str
    """Letters, digits and hyphens: the folder."""
    title: str
    revision: str
    date: datetime.date | None
    fingerprint: str
    paper: str
    stop: bool
    statement: str
    """What every cover says: that this is no certification."""
    pages: tuple[Page, ...]
    figures: Mapping[str, Any]
    data: Mapping[str, bytes]
    charts: Sequence[Mapping[str, Any]]
    design: Design
    steps: tuple[Step, ...]
    cautions: Cautions
    faults: tuple[Fault, ...]
    walk: WalkReport
