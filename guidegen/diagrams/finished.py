"""The finished light in two oblique views, and its outline with sizes."""

from __future__ import annotations

from guidegen.design.model import Box, Model, Part
from guidegen.diagrams.dimension import STEP, across, inside, leader, rows_of_text, upright
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import Body, DesignLike, body, called, letter, millimetres, ranges
from guidegen.diagrams.style import PHONE, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, circle, polyline, rectangle
from guidegen.diagrams.view import View, fitted

_LEFT, _RIGHT = 46, 40


def cuboid(canvas: Canvas, face: Area, depth: float, style: str = "body") -> None:
    """A box in cabinet projection: its face true, edges to the back at 45 degrees and half length.

    A negative depth comes towards the reader: then `face` is the far side.
    """
    step = abs(depth) / 2 * 0.7071
    if depth < 0:
        face = face.moved(-step, step)
    x0, y0, x1, y1 = face.x0, face.y0, face.x1, face.y1
    canvas.box(style, face)
    top = [(x0, y0), (x0 + step, y0 - step), (x1 + step, y0 - step), (x1, y0)]
    side = [(x1, y0), (x1 + step, y0 - step), (x1 + step, y1 - step), (x1, y1)]
    for outline in (top, side):
        canvas.shape(style, polyline(outline, close=True))
        canvas.line("wide", [*outline, outline[0]])


def finished(design: DesignLike) -> Figure:
    """Draw the finished light from the front and from the back."""
    canvas, parts = Canvas("finished"), design.model
    shape = body(design)
    scale = fitted(shape.board, PHONE - _LEFT - _RIGHT, 250)
    canvas.text((8, 18), "Front: light side", size=TITLE)
    low = _front(canvas, View(_LEFT, 62, scale, shape.board), design, shape)
    canvas.text((8, low + 40), "Back", size=TITLE)
    low = _back(canvas, View(_LEFT, low + 78, scale, shape.board, True), parts, shape)
    low = rows_of_text(canvas, _key(parts), low + 24)
    sizes = f"{millimetres(shape.board.width)} × {millimetres(shape.board.height)}"
    return canvas.figure(
        low,
        f"Drawing of the finished light, front and back, {sizes}, {millimetres(shape.depth)} deep",
        "Front view: light side with cover. Back view: box and mount. " + ". ".join(_key(parts)),
        f"The finished light: {sizes}, {millimetres(shape.depth)} deep. Not to scale.",
    )


def _front(canvas: Canvas, view: View, design: DesignLike, shape: Body) -> float:
    """The light side; returns the lowest y."""
    face = view.area(view.board)
    cuboid(canvas, face, shape.slab * view.scale)
    step = shape.slab * view.scale / 2 * 0.7071
    for share in _layers(shape):
        x, y = share * step, -share * step
        canvas.path("narrow", polyline([(face.x0 + x, face.y0 + y), (face.x1 + x, face.y0 + y),
                                        (face.x1 + x, face.y1 + y)]))  # fmt: skip
    rows = design.model.by_role("row")
    outlines = [view.area(row.box) for row in rows if row.box]
    canvas.path("faint", *(rectangle(a.x0, a.y0, a.width, a.height) for a in outlines))
    for border in design.model.by_role("border"):
        if border.box:
            area = view.area(border.box)
            canvas.path("narrow", rectangle(area.x0, area.y0, area.width, area.height))
    if outlines:
        _on_tape(canvas, outlines, ranges(row.ref for row in rows))
    for role in ("cover", "border", "board"):
        _name_edge(canvas, design.model, role, view, shape)
    across(canvas, (face.x0, face.x1), face.y1 + STEP, millimetres(view.board.width), face.y1)
    upright(canvas, (face.y0, face.y1), face.x0 - STEP + 4, millimetres(view.board.height), face.x0)
    return face.y1 + STEP + 6


def _on_tape(canvas: Canvas, outlines: list[Area], text: str) -> None:
    """The rows' references on white paper in the middle of the panel."""
    x = sum(a.middle[0] for a in outlines) / len(outlines)
    y = sum(a.middle[1] for a in outlines) / len(outlines)
    half = width(text, TEXT) / 2 + 4
    canvas.box("paper", Area(x - half, y - 9, x + half, y + 9), keep_off=False)
    canvas.text((x, y + 5), text, "middle")


def _layers(shape: Body) -> list[float]:
    """Where cover, rim and board meet, as shares of the slab's depth."""
    seams = [shape.cover, shape.cover + shape.rim]
    return [seam / shape.slab for seam in seams if 0 < seam < shape.slab]


def _name_edge(canvas: Canvas, model: Model, role: str, view: View, shape: Body) -> None:
    """Name a layer at the upper edge, where it shows its thickness."""
    parts = model.by_role(role)
    if not parts or not shape.slab:
        return
    middle = {
        "cover": shape.cover / 2,
        "border": shape.cover + shape.rim / 2,
        "board": shape.slab - shape.board_thickness / 2,
    }[role]
    back = middle * view.scale / 2 * 0.7071
    face = view.area(view.board)
    apart = max(0.3 * face.width, 54)
    place = {"cover": -1, "border": 0, "board": 1}[role]
    x = face.middle[0] + 0.3 * face.width * place + back
    words = (face.middle[0] + apart * place + back, face.y0 - shape.slab * view.scale * 0.354 - 10)
    canvas.path("narrow", polyline([(x, face.y0 - back), (words[0], words[1] + 4)]))
    canvas.path("solid", circle(x, face.y0 - back, 1.8))
    canvas.text(words, ranges(part.ref for part in parts), "middle")


def _back(canvas: Canvas, view: View, model: Model, shape: Body) -> float:
    """The side with box and mount; returns the lowest y."""
    face = view.area(view.board)
    cuboid(canvas, face, shape.slab * view.scale)
    low = face.y1
    if shape.block:
        area = view.area(shape.block)
        cuboid(canvas, area, -shape.block_depth * view.scale)
        low = max(low, area.y1 + shape.block_depth * view.scale / 2 * 0.7071)
    if shape.case:
        low = max(low, _case(canvas, view, model, shape, shape.case))
    for part in model.by_role("board"):
        inside(canvas, (face.x0 + 20, face.y0 + 14), part.ref)
    for part in model.by_role("mount_block"):
        if part.box:
            step = shape.block_depth * view.scale / 2 * 0.7071
            area = view.area(part.box).moved(-step, step)
            leader(canvas, (area.x1 - 4, area.y1 - 4), part.ref)
    return max(low, canvas.field.bottom) + 10


def _case(canvas: Canvas, view: View, model: Model, shape: Body, case: Box) -> float:
    """The box with its lid, and the lead that leaves it."""
    area = view.area(case)
    step = shape.case_depth * view.scale / 2 * 0.7071
    cuboid(canvas, area, -shape.case_depth * view.scale)
    lids = model.by_role("lid")
    if lids and shape.case_depth:
        seam = step * (1 - min(size.si for size in lids[0].size) / shape.case_depth)
        x0, x1 = area.x0 - seam, area.x1 - seam
        canvas.path("narrow", polyline([(x0, area.y0 + seam), (x1, area.y0 + seam),
                                        (x1, area.y1 + seam)]))  # fmt: skip
    lid = area.moved(-step, step)
    label = ", ".join(ranges(p.ref for p in model.by_role(role)) for role in ("lid", "wall"))
    inside(canvas, lid.middle, label.strip(", "))
    sockets = [part.ref for part in model.parts if part.ref.startswith("X")]
    if sockets:
        y = (lid.y0 + lid.y1) / 2
        path = f"M{lid.x0:.1f} {y:.1f}C{lid.x0 - 14:.1f} {y:.1f} 26 {y:.1f} 20 {lid.y1 + 14:.1f}"
        canvas.path("wide", path)
        canvas.text((8, lid.y1 + 28), sockets[0])
    return lid.y1 + (18 if sockets else 0)


def _key(model: Model) -> list[str]:
    """References in words: the body and what holds it, one line a kind."""
    kinds: dict[str, list[Part]] = {}
    for part in model.parts:
        if letter(part.ref) in "UEHX":
            kinds.setdefault(part.role, []).append(part)
    lines: list[str] = []
    for role in sorted(kinds, key=lambda role: "UEXH".index(letter(kinds[role][0].ref))):
        parts = kinds[role]
        count = f" ({parts[0].count} ×)" if parts[0].count > 1 else ""
        text = f"{ranges(part.ref for part in parts)} {called(parts[0])}{count}"
        # Hardware is small in the picture and in the list: as many to a line as there is room for.
        joined = f"{lines[-1]}; {text}" if lines else ""
        if letter(parts[0].ref) == "H" and lines[-1].startswith("H") and _fits(joined):
            lines[-1] = joined
        else:
            lines.append(text)
    return lines


def _fits(line: str) -> bool:
    return width(line, TEXT) < PHONE - 16


def outline(design: DesignLike) -> Figure:
    """Draw front and side with the overall sizes; first the front, the side to its right."""
    canvas, shape = Canvas("outline"), body(design)
    board = shape.board
    room = PHONE - 64 - 60
    scale = min(room / (board.width + shape.depth), 300 / board.height)
    view = View(46, 30, scale, board)
    face = view.area(board)
    canvas.text((face.x0, 18), "Front")
    canvas.box("body", face)
    inner = design.model.by_role("border")
    for part in inner:
        if part.box:
            area = view.area(part.box)
            canvas.path("hidden", rectangle(area.x0, area.y0, area.width, area.height))
    across(canvas, (face.x0, face.x1), face.y1 + STEP, millimetres(board.width), face.y1)
    upright(canvas, (face.y0, face.y1), face.x0 - STEP, millimetres(board.height), face.x0)
    low = _side(canvas, view, shape, face.x1 + 44)
    notes = _notes(shape)
    low = rows_of_text(canvas, notes, low + 14)
    sizes = f"{millimetres(board.width)} × {millimetres(board.height)}"
    return canvas.figure(
        low,
        f"Outline drawing of the light, front and side: {sizes}, {millimetres(shape.depth)} deep",
        "Front view with width and height; side view with depth. " + " ".join(notes),
        f"Outline, {sizes} × {millimetres(shape.depth)}. Side seen from the right.",
    )


def _side(canvas: Canvas, view: View, shape: Body, left: float) -> float:
    """The view from the right, light side to the left; returns the lowest y."""
    face, scale = view.area(view.board), view.scale
    canvas.text((left, 18), "Side")
    x = left
    for deep in (shape.cover, shape.rim, shape.board_thickness):
        if deep:
            canvas.box("body", Area(x, face.y0, x + deep * scale, face.y1))
            x += deep * scale
    for box, deep in ((shape.case, shape.case_depth), (shape.block, shape.block_depth)):
        if box:
            area = view.area(box)
            canvas.box("body", Area(x, area.y0, x + deep * scale, area.y1))
    end = x + max(shape.case_depth, shape.block_depth) * scale
    across(canvas, (left, x), face.y1 + 2 * STEP, millimetres(shape.slab), face.y1, before=True)
    across(canvas, (left, end), face.y1 + 3 * STEP, millimetres(shape.depth), face.y1, before=True)
    return face.y1 + 3 * STEP + 6


def _notes(shape: Body) -> list[str]:
    """The layers in words, as no dimension fits between lines so close."""
    layers = [("board", shape.board_thickness), ("rim", shape.rim), ("cover", shape.cover),
              ("box", shape.case_depth), ("mount block", shape.block_depth)]  # fmt: skip
    lines = [f"{name} {millimetres(deep)}" for name, deep in layers if deep]
    return [f"Depths: {', '.join(lines[:3])}", *([", ".join(lines[3:])] if lines[3:] else [])]
