"""The order of steps: by what they need, and within that by stage and name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

from guidegen.content.files import ContentError
from guidegen.content.headers import STAGES, StepHeader
from guidegen.content.load import Content
from guidegen.errors import Trouble, nearest

StepFile = Content[StepHeader]


def needed(chosen: Sequence[StepFile], every: Sequence[StepFile]) -> dict[str, tuple[str, ...]]:
    """The ids of the steps that each chosen step needs.

    Parameters
    ----------
    chosen : sequence of Content
        Steps of this fixture.
    every : sequence of Content
        All steps that there are.

    Raises
    ------
    ContentError
        If a need is misspelt, is not met by any chosen step, or by a later stage only.
    """
    givers, known = _givers(chosen), _givers(every)
    troubles: list[Trouble] = []
    found: dict[str, tuple[str, ...]] = {}
    stages = {step.id: STAGES.index(step.header.stage) for step in chosen}
    for step in chosen:
        ids: dict[str, None] = {}
        for i, written in enumerate(step.header.needs):
            need = written.removesuffix("?")
            message = _unmet(step, written, givers, known)
            late = [g for g in givers.get(need, ()) if stages[g] > stages[step.id]]
            if late:
                message = f"needs '{need}', and {_files(late)} gives it in a later stage"
            if message:
                troubles.append(Trouble(step.raw.place("needs", i), "needs", message))
            ids |= dict.fromkeys(g for g in givers.get(need, ()) if g != step.id)
        found[step.id] = tuple(ids)
    if troubles:
        raise ContentError(troubles)
    return found


def ordered(chosen: Sequence[StepFile], needs: Mapping[str, tuple[str, ...]]) -> list[StepFile]:
    """The steps in an order in which every need is met first.

    Raises
    ------
    ContentError
        If they need each other in a circle; the files in it are named.
    """
    by_id = {step.id: step for step in chosen}
    sorter = TopologicalSorter({step.id: needs[step.id] for step in chosen})
    try:
        sorter.prepare()
    except CycleError as error:
        circle = error.args[1]
        place = by_id[circle[0]].raw.place("needs")
        names = " needs ".join(f"steps/{name}.md" for name in reversed(circle))
        raise ContentError([Trouble(place, "needs", f"a circle: {names}")]) from None
    ready: list[str] = []
    found: list[StepFile] = []
    while sorter.is_active():
        ready += sorter.get_ready()
        # One at a time: what this step sets free may come before what is ready already.
        ready.sort(key=_key(by_id))
        step = ready.pop(0)
        found.append(by_id[step])
        sorter.done(step)
    return found


def _key(by_id: Mapping[str, StepFile]) -> Callable[[str], tuple[int, int, str]]:
    def key(name: str) -> tuple[int, int, str]:
        header = by_id[name].header
        return STAGES.index(header.stage), header.order, name

    return key


def numbers(steps: Sequence[StepFile]) -> dict[str, str]:
    """`stage.step` for each id; stages without steps are not counted."""
    stages = list(dict.fromkeys(step.header.stage for step in steps))
    seen: dict[str, int] = {}
    found: dict[str, str] = {}
    for step in steps:
        stage = step.header.stage
        seen[stage] = seen.get(stage, 0) + 1
        found[step.id] = f"{stages.index(stage) + 1}.{seen[stage]}"
    return found


def _givers(steps: Sequence[StepFile]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for step in steps:
        for word in dict.fromkeys((step.id, step.header.gives or step.id)):
            found.setdefault(word, []).append(step.id)
    return found


def _unmet(
    step: StepFile, written: str, givers: Mapping[str, list[str]], known: Mapping[str, list[str]]
) -> str:
    need = written.removesuffix("?")
    if need not in known:
        guess = nearest(need, known)
        hint = f" Did you mean '{guess}'?" if guess else ""
        return f"needs '{need}', which no step gives.{hint}"
    if need not in givers and not written.endswith("?"):
        return (
            f"{step.name} needs '{need}', and {_files(known[need])}, which gives it, is not "
            f"in this guide; write '{need}?' if that may be"
        )
    return ""


def _files(ids: Sequence[str]) -> str:
    return " or ".join(f"steps/{name}.md" for name in ids)
