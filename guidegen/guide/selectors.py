"""What the selectors of content files match in the model, and references in short."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from guidegen.content.files import fault
from guidegen.content.words import Words
from guidegen.design.model import Conductor, Joint, Model, Part, Terminal
from guidegen.errors import Place, accepted_words, nearest
from guidegen.guide.net import hops
from guidegen.guide.selector import ENDS, WITHIN, Selector, ascii_sign, pair, selector


class Chooser:
    """Finds what selectors match in one model.

    Parameters
    ----------
    model : Model
        Parts and circuit of one copy.
    words : Words
        Their roles are the ones a selector may name.
    """

    def __init__(self, model: Model, words: Words) -> None:
        self.model = model
        self.words = words
        self.parts = {part.ref: part for part in model.parts}
        self.wires = {wire.ref: wire for wire in model.conductors}
        self.terminal_of = {terminal.key: terminal for terminal in model.terminals}
        self.things: tuple[Part | Conductor, ...] = (*model.parts, *model.conductors)
        self.roles = {item.role for item in self.things}

    def has(self, role: str) -> bool:
        """Whether the fixture has anything of a role."""
        return role in self.roles or WITHIN.get(role) in self.roles

    def role(self, ref: str) -> str:
        """The role of a part or conductor; of `T1.trimmer`, what lies within its part."""
        if "." in ref:
            return ref.partition(".")[2]
        return (self.parts.get(ref) or self.wires[ref]).role

    def refs(self, wanted: Selector) -> tuple[str, ...]:
        """References of the parts and conductors that match, in the model's order.

        Raises
        ------
        ContentError
            If the role is misspelt, or nothing matches and the selector has no `?`.
        """
        if wanted.terminal:
            raise fault(_place(wanted), f"'{wanted.text}' names a terminal; parts are meant here")
        if wanted.role in WITHIN and wanted.role not in self.roles:
            carriers = (item for item in self.things if item.role == WITHIN[wanted.role])
            return self._found(wanted, tuple(f"{item.ref}.{wanted.role}" for item in carriers))
        return self._found(wanted, tuple(item.ref for item in self._items(wanted)))

    def points(self, wanted: Selector) -> tuple[str, ...]:
        """Keys of the terminals that match, in the model's order.

        Raises
        ------
        ContentError
            As `refs`; also if the parts have no such terminal.
        """
        keys = [key for item in self._items(wanted, False) for key in self._keys(item, wanted)]
        if not keys and self.has(wanted.role) and not wanted.maybe:
            raise fault(_place(wanted), self._no_terminal(wanted))
        return self._found(wanted, tuple(dict.fromkeys(keys)))

    def joints(self, text: str, place: Place) -> tuple[Joint, ...]:
        """The design's joints that `A` or `A to B` names.

        Raises
        ------
        ContentError
            If it matches none, unless one side has `?`.
        """
        sides = pair(text, place) if re.search(r"\sto\s", text) else (selector(text, place), None)
        first, second = sides
        near = self._ends(first)
        far = self._ends(second) if second else None
        if far is None and any(joint.conductor in near[0] for joint in self.model.joints):
            near = (near[0], set())  # a conductor, or a part with legs of its own: both its ends
        found = tuple(joint for joint in self.model.joints if _joins(joint, near, far))
        maybe = first.maybe or (second is not None and second.maybe)
        if not found and not maybe:
            raise fault(place, f"'{text}' matches no joint of the design; write '?' if that may be")
        return found

    def meant(self, text: str, place: Place) -> tuple[str, ...]:
        """References of the parts and conductors that one side of `joins` names."""
        return tuple(item.ref for item in self._items(selector(text, place), False))

    def probes(self, text: str, place: Place) -> tuple[tuple[str, str], ...]:
        """Probe pairs, red first: one to all; or each to its own row's, or nearest, point.

        Raises
        ------
        ContentError
            If the ends can't be paired.
        """
        first, second = pair(text, place)
        red, black = self.points(first), self.points(second)
        if not red or not black:
            return ()
        if len(red) == 1 or len(black) == 1:
            return tuple((a, b) for a in red for b in black)
        if len(red) <= len(black):
            found = [(self._near(b, red), b) for b in black]
        else:
            found = [(a, self._near(a, black)) for a in red]
        if all(a and b for a, b in found):
            return tuple(found)
        if len(red) == len(black):
            return tuple(zip(red, black, strict=True))
        raise fault(
            place,
            f"'{text}': {len(red)} points to {len(black)} points; "
            "one side must be a single point, or both must hang together or have rows",
        )

    def _near(self, key: str, others: Sequence[str]) -> str:
        """The point that belongs with this one: of its row, and the fewest conductors away.

        Where nothing joins them, as the two poles of a row, it is the one at the same end.
        """
        row = self.row(key)
        same = [other for other in others if row and self.row(other) == row]
        far = hops(self.model, key)
        joined = [other for other in same or others if other in far]
        if joined:
            return min(joined, key=lambda other: far[other])
        end = _end(key)
        return min(same, key=lambda other: _end(other) != end, default="")

    def row(self, key: str) -> int:
        """The row that a terminal belongs to; a rail's tap belongs to the row of its number."""
        terminal = self.terminal_of[key]
        part = self.parts.get(terminal.part)
        if part is not None and part.row:
            return part.row
        return int(terminal.name) if part and part.polarity and terminal.name.isdigit() else 0

    def _items(self, wanted: Selector, of_polarity: bool = True) -> list[Part | Conductor]:
        items = [item for item in self.things if item.role == wanted.role]
        if not wanted.polarity:
            return items
        # A row has two poles, so its polarity chooses terminals; a rail's chooses the rail.
        return [
            i for i in items if i.polarity == wanted.polarity or not (of_polarity or i.polarity)
        ]

    def _keys(self, item: Part | Conductor, wanted: Selector) -> list[str]:
        if isinstance(item, Conductor):
            ends = {"start": [item.start], "end": [item.end], "": [item.start, item.end]}
            return ends.get(wanted.terminal, [])
        mine = [terminal for terminal in self.model.terminals if terminal.part == item.ref]
        if wanted.polarity:
            mine = [t for t in mine if ascii_sign(t.polarity or item.polarity) == wanted.polarity]
        exact = [
            t for t in mine if wanted.terminal and wanted.terminal in (ascii_sign(t.name), t.mark)
        ]
        if exact or not wanted.terminal:
            return [terminal.key for terminal in exact or mine]
        if wanted.terminal == "live":
            # The lugs of a control that the wiper is not tied to.
            tied = {end for wire in self.model.wires("wiper_tie") for end in (wire.start, wire.end)}
            return [terminal.key for terminal in mine if terminal.key not in tied]
        chosen = _ENDS.get(wanted.terminal)
        return [terminal.key for terminal in mine if chosen and chosen(terminal)]

    def _ends(self, wanted: Selector) -> tuple[set[str], set[str]]:
        """(conductors, terminals) that a side of `joins` means."""
        items = self._items(wanted, False)
        self._found(wanted, tuple(item.ref for item in items))
        wires = {item.ref for item in items if not wanted.terminal}
        keys = {k for item in items if isinstance(item, Part) for k in self._keys(item, wanted)}
        return wires, keys

    def _found(self, wanted: Selector, found: tuple[str, ...]) -> tuple[str, ...]:
        if found or (wanted.maybe and wanted.role in self.words.roles):
            return found
        known = sorted({*self.words.roles, *self.roles})
        if wanted.role not in known:
            raise fault(_place(wanted), self._unknown(wanted, known))
        raise fault(_place(wanted), f"'{wanted.text}' matches nothing in this fixture; "
                    "write '?' if that may be")  # fmt: skip

    def _unknown(self, wanted: Selector, known: Sequence[str]) -> str:
        guess = nearest(wanted.role, known)
        hint = f" Did you mean '{guess}'?" if guess else f" Accepted: {', '.join(known)}."
        return f"no role is called '{wanted.role}'.{hint}"

    def _no_terminal(self, wanted: Selector) -> str:
        names = [t.name for item in self._items(wanted, False) for t in self.model.terminals
                 if t.part == item.ref]  # fmt: skip
        accepted = list(dict.fromkeys([*names, *ENDS]))
        return f"'{wanted.text}' matches no terminal. " + accepted_words(wanted.terminal, accepted)


_ENDS: dict[str, Callable[[Terminal], bool]] = {
    "fed": lambda terminal: not terminal.unused,
    "far": lambda terminal: terminal.unused,
    "tap": lambda terminal: terminal.name.isdigit(),
    "in": lambda terminal: terminal.name.upper().startswith("IN"),
    "out": lambda terminal: terminal.name.upper().startswith("OUT"),
}


def _end(key: str) -> str:
    """`L` or `R`: the end of a row that a pad, such as `E1:L+`, stands at."""
    return key.partition(":")[2][:1]


def _joins(
    joint: Joint, near: tuple[set[str], set[str]], far: tuple[set[str], set[str]] | None
) -> bool:
    if far is None:
        return joint.conductor in near[0] or joint.terminal in near[1]
    return (joint.conductor in near[0] and joint.terminal in far[1]) or (
        joint.conductor in far[0] and joint.terminal in near[1]
    )


def _place(wanted: Selector) -> Place:
    return wanted.place or Place("selector")


def ranges(refs: Iterable[str], words: Words) -> str:
    """References in short: 'E1 to E12', 'W1, W3 and W7'.

    A run of three or more becomes a range; so does every second number, which is what the
    jumpers of one polarity have.
    """
    groups: dict[str, list[int]] = {}
    odd: list[str] = []
    for ref in dict.fromkeys(refs):
        found = re.fullmatch(r"([A-Z]+)(\d+)", ref)
        if found:
            groups.setdefault(found[1], []).append(int(found[2]))
        else:
            odd.append(ref)
    texts = [text for letter, numbers in groups.items() for text in _runs(letter, numbers, words)]
    return listed_words([*texts, *odd], words)


def listed_words(texts: Sequence[str], words: Words) -> str:
    """'a', 'a and b', 'a, b and c'."""
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} {words.phrases['and']} {texts[-1]}"


def _runs(letter: str, numbers: list[int], words: Words) -> list[str]:
    left, texts = sorted(numbers), []
    while left:
        one, two = _run(left, 1), _run(left, 2)
        step, length = (2, two) if two > max(one, 3) else (1, one)
        if length < 3:
            texts.append(f"{letter}{left.pop(0)}")
            continue
        last = left[0] + step * (length - 1)
        text = f"{letter}{left[0]} {words.phrases['to']} {letter}{last}"
        texts.append(text + (f", {words.phrases['every_second']}" if step == 2 else ""))
        left = [n for n in left if n not in range(left[0], last + 1, step)]
    return texts


def _run(numbers: list[int], step: int) -> int:
    """How many numbers follow each other by this step, from the first one."""
    have, length = set(numbers), 1
    while numbers[0] + step * length in have:
        length += 1
    return length
