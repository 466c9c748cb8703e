"""The top of every page: what it is for, what must be so first, and the hazards of its work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.headers import At, PageHeader
from guidegen.content.load import Content, load
from guidegen.content.words import Words
from guidegen.guide.cautions import Caution, Cautions, concerns, unknown_places
from guidegen.guide.selectors import Chooser
from guidegen.guide.step import Step

PageFile = Content[PageHeader]


@dataclass(frozen=True)
class Top:
    """What stands over a page's own text."""

    goal: str
    before: str
    hazards: tuple[Caution, ...]
    """Safety messages of what is done from this page, the most severe first."""


def page_file(search: SearchPath, name: str, words: Words) -> PageFile:
    """A page's header and text.

    Raises
    ------
    ContentError
        If its header is at fault, or names steps by a word that nothing here has.
    """
    file = load(search, f"pages/{name}.md", PageHeader)
    steps = set(search.names("steps"))
    troubles = unknown_places(file.raw, "hazards", file.header.hazards, words, steps)
    if troubles:
        raise ContentError(troubles)
    return file


def hazards(
    file: PageFile, cautions: Cautions, steps: Sequence[Step], chooser: Chooser
) -> tuple[Caution, ...]:
    """The messages of the steps that a page names, and those that name the page themselves."""
    at = file.header.hazards
    whole = At(**{**at.model_dump(), "tools": ()})
    done = {step.id for step in steps if concerns(whole, step, chooser)}
    tooled = [step for step in steps if step.id not in done and concerns(at, step, chooser)]
    return tuple(
        one
        for one in cautions.chosen
        if file.id in one.pages
        or not done.isdisjoint(one.steps)
        or any(step.id in one.steps and _of_tool(one, at, step, chooser) for step in tooled)
    )


def _of_tool(one: Caution, at: At, step: Step, chooser: Chooser) -> bool:
    """Whether a message concerns a step for the tools of a page, and not for what else it does.

    A step may drill a wall and fit a switch into it: the switch is no matter of a page of holes.
    """
    cuts = tuple(deed for deed in one.at.does if deed.startswith("cuts"))
    tools = tuple(tool for tool in one.at.tools if tool in at.tools)
    return concerns(At(tools=tools, steps=one.at.steps, does=cuts), step, chooser)
