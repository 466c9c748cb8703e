"""Reads a drawing back from its SVG text alone: texts with their boxes, lines, areas.

Text widths come from the font file itself (DejaVu Sans, as matplotlib ships it), not from the
table that the drawings use.
"""

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import matplotlib
from fontTools.ttLib import TTFont

NS = "{http://www.w3.org/2000/svg}"


@cache
def font():
    file = TTFont(Path(matplotlib.get_data_path(), "fonts/ttf/DejaVuSans.ttf"))
    return file.getBestCmap(), file["hmtx"].metrics, file["head"].unitsPerEm


def text_width(text, size):
    names, metrics, em = font()
    return sum(metrics[names[ord(s)]][0] if ord(s) in names else em for s in text) / em * size


@dataclass(frozen=True)
class Text:
    words: str
    size: float
    box: tuple  # x0, y0, x1, y1


@dataclass(frozen=True)
class Stroke:
    segments: tuple  # ((x0, y0), (x1, y1)), ...
    style: str
    area: tuple | None  # bounding box, where it is filled


def _tokens(data):
    return re.findall(r"[A-Za-z]|-?\d*\.?\d+", data)


def segments(data):
    """Straight segments of path data; of curves their chords, of arcs their ends."""
    found, at, start, command = [], (0.0, 0.0), (0.0, 0.0), ""
    tokens = _tokens(data)
    taken = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "A": 7, "Z": 0}
    index = 0
    while index < len(tokens):
        if tokens[index].isalpha():
            command = tokens[index]
            index += 1
        kind, relative = command.upper(), command.islower()
        numbers = [float(t) for t in tokens[index : index + taken[kind]]]
        index += taken[kind]
        base = at if relative else (0.0, 0.0)
        if kind == "Z":
            end = start
        elif kind == "H":
            end = (base[0] + numbers[0], at[1])
        elif kind == "V":
            end = (at[0], base[1] + numbers[0])
        else:
            end = (base[0] + numbers[-2], base[1] + numbers[-1])
        if kind == "M":
            start = end
            command = "l" if relative else "L"
        elif kind == "A":
            found.append((end, end))  # a curve has no chord on the paper
        else:
            found.append((at, end))
        at = end
    return found


class Drawing:
    def __init__(self, svg):
        self.root = ET.fromstring(svg)
        self.width, self.height = [float(n) for n in self.root.get("viewBox").split()[2:]]
        self.texts = [self._text(node) for node in self.root.iter(f"{NS}text")]
        self.strokes = [self._stroke(node) for node in self.root.iter(f"{NS}path")]

    def _text(self, node):
        x, y, size = float(node.get("x")), float(node.get("y")), float(node.get("font-size"))
        wide = text_width(node.text or "", size)
        back = {None: 0, "middle": wide / 2, "end": wide}[node.get("text-anchor")]
        # Letters reach from 0.76 em above the base line to 0.24 em below it.
        if node.get("transform"):
            assert node.get("transform").startswith("rotate(-90 ")
            box = (x - 0.76 * size, y + back - wide, x + 0.24 * size, y + back)
        else:
            box = (x - back, y - 0.76 * size, x - back + wide, y + 0.24 * size)
        return Text(node.text or "", size, box)

    def _stroke(self, node):
        found = segments(node.get("d"))
        style = node.get("style")
        xs = [p[0] for pair in found for p in pair]
        ys = [p[1] for pair in found for p in pair]
        filled = "fill:none" not in style
        return Stroke(tuple(found), style, (min(xs), min(ys), max(xs), max(ys)) if filled else None)

    def overlaps(self, slack=0.3):
        """Pairs of texts that lie on one another."""
        texts = sorted(self.texts, key=lambda text: text.box[1])
        return [
            (a.words, b.words)
            for number, a in enumerate(texts)
            for b in texts[number + 1 :]
            if min(a.box[2], b.box[2]) - max(a.box[0], b.box[0]) > slack
            and min(a.box[3], b.box[3]) - max(a.box[1], b.box[1]) > slack
        ]

    def outside(self):
        return [
            t.words
            for t in self.texts
            if t.box[0] < 0 or t.box[1] < 0 or t.box[2] > self.width or t.box[3] > self.height
        ]

    def run_through(self):
        """Boxes that a line drawn later enters on one side and leaves on another."""
        found = []
        for number, box in enumerate(self.strokes):
            if box.area is None or len(box.segments) != 4 or not _is_box(box.area):
                continue
            x0, y0, x1, y1 = box.area
            inner = (x0 + 2, y0 + 2, x1 - 2, y1 - 2)
            for stroke in self.strokes[number + 1 :]:
                found += [pair for pair in stroke.segments if stroke.area is None
                          and _enters(inner, *pair)
                          and not any(_holds(box.area, at) for at in pair)]  # fmt: skip
        return found

    def crossed(self):
        """Texts with a line through their letters, that no later area covers."""
        found = []
        for text in self.texts:
            x0, y0, x1, y1 = text.box
            inner = (x0 + 0.5, y0 + 1, x1 - 0.5, y1 - 0.12 * text.size)
            hit = False
            for stroke in self.strokes:
                if stroke.area and _inside(inner, stroke.area):
                    hit = False
                hit = hit or any(_enters(inner, *pair) for pair in stroke.segments)
            if hit:
                found.append(text.words)
        return found


def _inside(box, area):
    return area[0] <= box[0] and area[1] <= box[1] and area[2] >= box[2] and area[3] >= box[3]


def _enters(box, a, b, steps=200):
    """Whether a segment passes through a rectangle: sampled, not clipped as the drawings do it."""
    if max(a[0], b[0]) <= box[0] or min(a[0], b[0]) >= box[2]:
        return False
    if max(a[1], b[1]) <= box[1] or min(a[1], b[1]) >= box[3]:
        return False
    points = ((a[0] + (b[0] - a[0]) * n / steps, a[1] + (b[1] - a[1]) * n / steps)
              for n in range(steps + 1))  # fmt: skip
    return any(box[0] < x < box[2] and box[1] < y < box[3] for x, y in points)


def expanded(words):
    """The words of a text, its ranges written out: `W3–W5` becomes W3 W4 W5."""
    found = set(re.findall(r"[A-Z]\d+", words))
    for head, first, last in re.findall(r"([A-Z])(\d+)–[A-Z](\d+)", words):
        found |= {f"{head}{number}" for number in range(int(first), int(last) + 1)}
    return found


def _is_box(area, least=20):
    """Large enough to be a part, and no mark."""
    x0, y0, x1, y1 = area
    return min(x1 - x0, y1 - y0) >= least


def _holds(area, at):
    """Whether a point lies in an area, its edge included."""
    x0, y0, x1, y1 = area
    return x0 - 1 <= at[0] <= x1 + 1 and y0 - 1 <= at[1] <= y1 + 1
