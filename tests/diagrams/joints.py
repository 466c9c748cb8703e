"""Reads the joints back from the wiring figures: from their texts and where these stand alone."""

import re
from typing import NamedTuple

from reader import Drawing


class Joint(NamedTuple):
    conductor: str
    terminal: str
    polarity: str
    colour: str


MARK = re.compile(r"([A-Z]\d+)(?: ([+−]))?(?: ([A-Z]{2,4}|bare))?")
TAKES = re.compile(r"(.*?)(?: \((\S+)\))? at (?:taps? )?(.*)")
NOTE = re.compile(r"(W\d+) ([+−])(?: on the back)? takes (.*?)\.(?= |$)")


def texts(figures, *names):
    """Drawings of some kinds, `rows` and `rows-2` among them."""
    kind = re.compile(rf"({'|'.join(names)})(-\d+)?")
    return [Drawing(figure.svg) for name, figure in figures.items() if kind.fullmatch(name)]


def written_out(words):
    """`W3–W5, W7` as a list; `1–3` too."""
    found = []
    for item in words.split(", "):
        head, _, last = item.partition("–")
        start = re.fullmatch(r"(\D*)(\d+)", head)
        if not last or not start:
            found.append(item)
            continue
        end = re.fullmatch(r"(\D*)(\d+)", last)
        found += [f"{start[1]}{n}" for n in range(int(start[2]), int(end[2]) + 1)]
    return found


def boxes(drawing):
    """Boxes of the terminal drawing: the area, the part's reference, (height, terminal) down it."""
    areas = {s.area for s in drawing.strokes if s.area and abs(s.area[2] - s.area[0] - 172) < 0.5}
    found = []
    for area in areas:
        x0, y0, x1, y1 = area
        inner = [t for t in drawing.texts
                 if x0 <= t.box[0] and t.box[2] <= x1 and y0 <= t.box[1] <= y1]  # fmt: skip
        inner.sort(key=lambda t: t.box[1])
        ref = inner[0].words.split()[0]
        pins = [(t.box[3], t.words if ":" in t.words else f"{ref}:{t.words}") for t in inner[1:]]
        found.append((area, ref, pins))
    return found


def terminal_drawing(figures):
    """Joints of `wiring-back`: each label stands over the end of its line, at a box's edge."""
    for drawing in texts(figures, "wiring-back"):
        found = boxes(drawing)
        for text in drawing.texts:
            mark = MARK.fullmatch(text.words)
            middle = (text.box[0] + text.box[2]) / 2
            if not mark or any(a[0] <= middle <= a[2] and a[1] <= text.box[1] <= a[3]
                               for a, _, _ in found):  # fmt: skip
                continue
            # The line is 4 under the label's base line; a terminal's name 5 under its first line.
            line = text.box[3] - 0.24 * text.size + 4
            near = min(
                (box for box in found if box[0][1] <= line <= box[0][3]),
                key=lambda box: min(abs(text.box[0] - box[0][2]), abs(text.box[2] - box[0][0])),
            )
            pin = [key for low, key in near[2] if low - 0.24 * text.size - 5 <= line + 0.6][-1]
            yield Joint(mark[1], pin, mark[2] or "", mark[3] or "–")


def panel(figures):
    """Joints of `rows`: pads beside their rows; taps in the notes, rail by rail."""
    colours, pads = {}, []
    for drawing in texts(figures, "rows"):
        rows = [t for t in drawing.texts if re.fullmatch(r"E\d+", t.words)]
        for text in drawing.texts:
            mark = re.fullmatch(r"(W\d+) (\S+([+−]))", text.words)
            beside = [row for row in rows if abs(row.box[1] - text.box[1]) < 0.2]
            if mark and beside:
                pads.append((mark[1], f"{beside[0].words}:{mark[2]}", mark[3]))
        for rail, polarity, takes in NOTE.findall(" ".join(t.words for t in drawing.texts)):
            for part in takes.split("; "):
                wires, colour, taps = TAKES.fullmatch(part).groups(default="–")
                taps = written_out(taps)
                wires = written_out(wires)
                # A cable's cores in parallel share one terminal.
                taps = taps * len(wires) if len(taps) == 1 else taps
                for wire, tap in zip(wires, taps, strict=True):
                    colours[wire] = colour
                    yield Joint(wire, f"{rail}:{tap}", polarity, colour)
    for wire, key, polarity in pads:
        yield Joint(wire, key, polarity, colours[wire])


def joints(figures):
    """All joints that the wiring figures tell."""
    return {*terminal_drawing(figures), *panel(figures)}


def terminals(figures):
    """All terminals that they name, joined or not."""
    found = {joint.terminal for joint in joints(figures)}
    for drawing in texts(figures, "wiring-back"):
        found |= {key for _, _, pins in boxes(drawing) for _, key in pins}
    for drawing in texts(figures, "rows"):
        words = " ".join(t.words for t in drawing.texts)
        for told in re.findall(r"Pads from left to right, (.*?)\.", words):
            for kind in told.split("; "):
                rows, names = kind.split(": ")
                found |= {
                    f"{row}:{name}" for row in written_out(rows) for name in names.split(", ")
                }
        for told in re.findall(r"Nothing is joined at (.*?): a place", words):
            found |= set(told.split(", "))
    return found
