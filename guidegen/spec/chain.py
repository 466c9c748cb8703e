"""The raw chain made whole: what is no stage is reported, what was left out is put in."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import Any

from guidegen.errors import Place, accepted_words
from guidegen.spec.keys import LATER, Context
from guidegen.spec.stages import (
    AT_BATTERY,
    FILLED,
    LATER_STAGES,
    LONGEST_CHAIN,
    RANK,
    SEVERAL,
    kind_of_stage,
)
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import MAINS, REFUSED, clip, tidy

#: Supplies that come with a cable and a plug of their own.
WHOLE = {"adapter": "an adapter", "negotiated": "an adapter", "vehicle": "a vehicle's plug"}


def complete(data: Map, context: Context) -> None:
    """Check and complete both chains of a spec: the supply's own, and the light's.

    Parameters
    ----------
    data : Map
        The whole spec; its `chain` and that of its supply are replaced.
    context : Context
        Takes the faults.
    """
    supply = _supply(data, context.supply)
    for home in filter(None, (supply, data)):
        if not isinstance(home.get("chain", Items()), Items):
            context.note(home["chain"], "this is no list. Accepted: items such as '- fuse: auto'")
            home["chain"] = Items()
    ahead = _at_supply(supply, context) if supply else []
    present = [kind for kind, item in ahead if not _absent(item, kind)]
    if supply and "chain" in supply:
        supply["chain"] = _items(supply["chain"], [i for k, i in ahead if not _absent(i, k)])
    written = _stages(data.get("chain"), RANK, context)
    for kind, item in written:
        # Two fuses in line do no harm: a battery has its own, whatever the light has.
        twice = SEVERAL if not context.supply else (*SEVERAL, "fuse")
        if kind in present and kind not in twice and not _absent(item, kind):
            context.note(item, f"a second {kind.replace('_', '-')} {LATER}. Accepted: one")
    _in_order(written, context)
    chain = _filled(written, _ahead_of_first(data) if context.supply else present, data)
    _touches(chain, data, context)
    data["chain"] = _items(data.get("chain"), chain)
    counts: Counter[str] = Counter()
    for item in (*(supply.get("chain", ()) if supply else ()), *chain):
        kind = kind_of_stage(item)
        counts[kind] += 1
        item.prefix = kind if counts[kind] == 1 else f"{kind}_{counts[kind]}"


def _supply(data: Map, number: int) -> Map | None:
    supplies = data.get("supplies")
    found = supplies[number] if isinstance(supplies, Items) and supplies else None
    return found if isinstance(found, Map) else None


def _ahead_of_first(data: Map) -> list[str]:
    """What stays with the first supply: the light is made for it, and has none of these itself."""
    first = _supply(data, 0) or Map()
    kinds = [(kind_of_stage(item), item) for item in first.get("chain", ())]
    return [kind for kind, item in kinds if not _absent(item, kind)]


def _at_supply(supply: Map, context: Context) -> list[tuple[str, Map]]:
    """The stages that stay with a supply when it is unplugged."""
    whole = next((kind for kind in WHOLE if kind in supply), "")
    if whole and supply.get("chain"):
        context.note(supply["chain"], f"{WHOLE[whole]} stays whole: nothing is fitted in its cable."
                     " Accepted: these stages in the chain of the light", at_key=True)  # fmt: skip
        return []
    found = _stages(supply.get("chain"), AT_BATTERY, context)
    here = [(kind, item) for kind, item in found if not _absent(item, kind)]
    for (kind, _), (_, after) in pairwise(here):
        if kind == "connector":
            context.note(after, "this stands after the connector: what is unplugged there stays"
                         " with the light. Accepted: this stage in the light's chain")  # fmt: skip
    return found


def _items(old: Any, stages: list[Map]) -> Items:
    made = Items(stages)
    made.__dict__.update(getattr(old, "__dict__", {}))
    return made


def _absent(item: Map, kind: str) -> bool:
    return isinstance(item[kind], Text) and tidy(item[kind]) == "none"


def _stages(node: Any, accepted: tuple[str, ...], context: Context) -> list[tuple[str, Map]]:
    """The items that are stages; the others are reported."""
    found: list[tuple[str, Map]] = []
    for number, item in enumerate(node or (), 1):
        if number > LONGEST_CHAIN:
            context.note(item, f"more than {LONGEST_CHAIN} stages. Accepted: a shorter chain")
            break
        kind = kind_of_stage(item)
        if kind in accepted:
            found.append((kind, item))
        else:
            context.note(item, _no_stage(item, kind, accepted), at_key=True)
    counts: Counter[str] = Counter()
    for kind, item in found:
        counts[kind] += 1
        if counts[kind] == 2 and kind not in SEVERAL:
            context.note(item, f"a second {kind.replace('_', '-')} {LATER}. Accepted: one")
    return found


def _no_stage(item: Any, kind: str, accepted: tuple[str, ...]) -> str:
    if kind:
        return f"a {kind} that stays at the battery {LATER}. Accepted here: {', '.join(accepted)}"
    if isinstance(item, Text):
        guess = accepted_words(tidy(item)[:40], accepted)
        return f"{clip(item)} is no stage. An item is a kind and a part: '- fuse: auto'. {guess}"
    first = str(next(iter(item), "")) if isinstance(item, Map) else ""
    if first in LATER_STAGES:
        return f"'{first}' {LATER}. Accepted: {', '.join(accepted)}"
    if MAINS.search(first):
        return f"{clip(first)} is refused: {REFUSED}. Accepted: {', '.join(accepted)}"
    return f"{clip(first)} is no kind of stage. {accepted_words(first[:40], accepted)}"


def _in_order(stages: list[tuple[str, Map]], context: Context) -> None:
    """What stands against the current."""
    kinds = [kind for kind, _ in stages]
    for number, (kind, item) in enumerate(stages):
        before = kinds[:number]
        if kind == "connector" and before:
            message = (
                "a connector stands first: what is before it stays at a battery, "
                "in that battery's own 'chain'"
            )
            context.note(item, message)
        elif kind != "feed" and "feed" in before:
            context.note(item, f"a {kind} after the feed. The feed to the rails stands last")
        elif kind != "feed" and "pulse_width" in before:
            context.note(item, f"a {kind} after the pulse-width stage: it would be switched on and"
                         " off with the light. Accepted there: feed")  # fmt: skip
        elif kind not in ("regulator", "pulse_width", "feed") and "regulator" in before:
            context.note(item, f"a {kind} after the regulator {LATER}. Accepted there:"
                         " pulse_width, feed")  # fmt: skip
    _one_control(dict(stages), context)


def _one_control(stages: dict[str, Map], context: Context) -> None:
    """Behind a regulator, a pulse-width stage dims alone: the output is one voltage."""
    regulator, pulses = stages.get("regulator"), stages.get("pulse_width")
    if regulator is None or pulses is None or _absent(pulses, "pulse_width"):
        return
    output = regulator.get("output")
    spans = isinstance(output, Text) and " to " in output
    if not _absent(regulator, "regulator") and (spans or isinstance(regulator.get("control"), Map)):
        at = output if isinstance(output, Text) and spans else regulator["control"]
        context.note(at, f"a control at the regulator and a pulse-width stage behind it {LATER}."
                     " Accepted: one output voltage, such as 'output: 12 V ± 0.1 V'")  # fmt: skip


def _touches(chain: list[Map], data: Map, context: Context) -> None:
    """A thermal cut-out watches a place that the light has, and that its wires reach."""
    body = data.get("body")
    box = body.get("enclosure") if isinstance(body, Map) else None
    boxed = box is not None and not (isinstance(box, Text) and tidy(box) == "none")
    beside = isinstance(box, Map) and tidy(str(box.get("side", ""))) == "separate"
    for item in chain:
        watched = item.get("touches") if kind_of_stage(item) == "thermal_cut_out" else None
        if not isinstance(watched, Text):
            continue
        if tidy(watched) == "enclosure" and not boxed:
            context.note(watched, "the light has no box to watch. Accepted: board")
        elif tidy(watched) == "board" and beside:
            context.note(watched, "a thermal cut-out on the board, with the box beside the light,"
                         f" {LATER}. Accepted: enclosure")  # fmt: skip


def _filled(stages: list[tuple[str, Map]], ahead: list[str], data: Map) -> list[Map]:
    """The chain with what was left out, as `auto`."""
    chain = [item for kind, item in stages if not _absent(item, kind)]
    written = {kind for kind, _ in stages} | (set(FILLED) & set(ahead))
    for kind in FILLED:
        if kind not in written:
            rank = RANK.index(kind)
            later = (n for n, item in enumerate(chain) if RANK.index(kind_of_stage(item)) > rank)
            chain.insert(next(later, len(chain)), _auto(kind, data))
    return chain


def _auto(kind: str, data: Map) -> Map:
    made = Map({kind: Text("auto")})
    file = data.place.file if hasattr(data, "place") else ""
    made.put(Place(file), f"chain.{kind}")
    return made
