"""Sizes that follow from one another: rows on a board, strips round it, a box behind it."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Count,
    Coverage,
    FineMetre,
    Hour,
    LongMetre,
    Metre,
    Millilitre,
    SquareMetre,
)


def rows_span(rows: Count, pitch: Metre, tape_width: FineMetre) -> Metre:
    """Height that the rows take, outer edge to outer edge.

    References
    ----------
    .. [1] Geometry.
    """
    return (rows - 1) * pitch + tape_width


def passing(length: LongMetre, pieces: Count, piece: LongMetre) -> LongMetre:
    """A core that runs beside pieces of wire of the other pole and then beside its lead.

    References
    ----------
    .. [1] Geometry.
    """
    return length + pieces * piece


def margin_left(outer: Metre, inner: Metre) -> Metre:
    """Margin at each end of a centred length.

    References
    ----------
    .. [1] Geometry.
    """
    return (outer - inner) / 2


def rows_that_fit(outer: Metre, margin: Metre, tape_width: FineMetre, pitch: Metre) -> Count:
    """How many rows fit on a board of this height; the whole number below is the answer.

    References
    ----------
    .. [1] Geometry.
    """
    return (outer - 2 * margin - tape_width) / pitch + 1


def gap_under_cover(strip_height: FineMetre, tape_thickness: FineMetre) -> FineMetre:
    """Distance from the tape's face to the inside of the cover.

    References
    ----------
    .. [1] Geometry.
    """
    return strip_height - tape_thickness


def strip_height_for(gap: FineMetre, tape_thickness: FineMetre) -> FineMetre:
    """Height of the strips that keep the cover this far from the tape's face.

    References
    ----------
    .. [1] Geometry.
    """
    return gap + tape_thickness


def between_strips(outer: Metre, thickness: FineMetre) -> Metre:
    """Inner length of a frame, or of a box, from its outer length.

    References
    ----------
    .. [1] Geometry.
    """
    return outer - 2 * thickness


def area(width: Metre, height: Metre) -> SquareMetre:
    """Area of a rectangle.

    References
    ----------
    .. [1] Geometry.
    """
    return width * height


def both_faces(width: Metre, height: Metre) -> SquareMetre:
    """Area of both faces of a sheet; its edges come out of what a tin holds over.

    References
    ----------
    .. [1] Geometry.
    """
    return 2 * width * height


def box_surface(width: Metre, height: Metre, depth: Metre) -> SquareMetre:
    """Outer surface of a box that stands on a board: four walls and the lid.

    References
    ----------
    .. [1] Geometry.
    """
    return width * height + 2 * depth * (width + height)


def diagonal(width: Metre, height: Metre) -> FineMetre:
    """Diagonal of a rectangle: equal both ways when it is square.

    References
    ----------
    .. [1] Geometry.
    """
    # A power of 0.5 is Any to mypy: of a negative float it would be complex.
    return (width**2 + height**2) ** 0.5  # type: ignore[no-any-return]


def route_length(along: Metre, across: Metre, slack: Metre) -> LongMetre:
    """Wire from one point to another, run square to the edges, with slack for both ends.

    References
    ----------
    .. [1] Geometry.
    """
    return along + across + slack


def clearance_hole(screw: FineMetre, movement: FineMetre, play: FineMetre) -> FineMetre:
    """Hole in a cover that lets it expand: screw, movement of the far end, and play.

    References
    ----------
    .. [1] Geometry.
    """
    return screw + movement + play


def cut_length(groups: Count, increment: FineMetre) -> Metre:
    """Length of a row of whole cut increments.

    References
    ----------
    .. [1] Tape is cut at its marked lines only.
    """
    return groups * increment


def least_margin(
    strip: FineMetre,
    offset: FineMetre,
    rails: Count,
    clearance: FineMetre,
    half: FineMetre,
    hole: FineMetre,
) -> Metre:
    """Room beside the rows: the rails of one side, a strip of the rim, and air between them.

    Parameters
    ----------
    strip : FineMetre
        Thickness of the rim's strip. [m]
    offset : FineMetre
        From the rows' ends to the first rail's middle line, and from rail to rail. [m]
    rails : Count
        Rails of one side. [-]
    clearance : FineMetre
        Air between rim and rail. [m]
    half : FineMetre
        What a bar or foil has beyond its middle line; of a wire it lies within the air. [m]
    hole : FineMetre
        What a hole for a feed wire takes beyond the rails, where the board is of metal. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return strip + clearance + offset * rails + half + hole


def box_wall(depth: Metre, lid: FineMetre) -> Metre:
    """Height of a box's walls under a lid that lies on them.

    References
    ----------
    .. [1] Geometry.
    """
    return depth - lid


def box_wall_between(depth: Metre, sheet: FineMetre) -> Metre:
    """Height of a box's walls between its bottom and its lid, both of one sheet.

    References
    ----------
    .. [1] Geometry.
    """
    return depth - 2 * sheet


def handle_depth(hand: FineMetre, bar: FineMetre, over: FineMetre) -> Metre:
    """How far a block stands out for a hand behind its bar.

    References
    ----------
    .. [1] Geometry.
    """
    return hand + bar + over


def handle_room(out: Metre, bar: FineMetre, over: FineMetre) -> FineMetre:
    """Air between the board and a bar that lies as far out as its block allows.

    References
    ----------
    .. [1] Geometry.
    """
    return out - bar - over


def around(width: Metre, height: Metre) -> LongMetre:
    """Length all round a rectangle.

    References
    ----------
    .. [1] Geometry.
    """
    return 2 * (width + height)


def on_three_sides(along: Metre, across: Metre) -> LongMetre:
    """Length along two sides of a rectangle and the one between them.

    References
    ----------
    .. [1] Geometry.
    """
    return 2 * along + across


def with_slack(length: Metre, slack: Metre) -> Metre:
    """A length with something over for both ends.

    References
    ----------
    .. [1] Geometry.
    """
    return length + slack


def rail_distance(offset: FineMetre, order: Count) -> FineMetre:
    """From the ends of the rows to the first or second rail beside them.

    References
    ----------
    .. [1] Plane geometry.
    """
    return offset * order


def jumper_length(offset: FineMetre, rails: Count, slack: Metre) -> Metre:
    """Jumper from a row's end to the farther rail of its side, with both joints.

    References
    ----------
    .. [1] Geometry.
    """
    return offset * rails + slack


def jumper_through(
    apart: FineMetre,
    hole: FineMetre,
    tape_width: FineMetre,
    beside: FineMetre,
    board: FineMetre,
    slack: Metre,
) -> Metre:
    """Jumper from a row's pad through a hole beside the row to a rail on the back.

    Parameters
    ----------
    apart : FineMetre
        Between the two rails, whose middle is the feed point. [m]
    hole : FineMetre
        From a rail to the hole outside it. [m]
    tape_width, beside : FineMetre
        Width of the tape, whose pads lie a quarter of it off its middle; from its edge to the
        hole. [m]
    board : FineMetre
        Thickness of the board. [m]
    slack : Metre
        For both joints. [m]

    References
    ----------
    .. [1] Geometry: square to the edges on the front, through the board, and back to the rail.
    """
    return apart / 2 + hole + tape_width / 4 + beside + board + hole + slack


def less(length: FineMetre, part: FineMetre) -> FineMetre:
    """What is left of a length.

    References
    ----------
    .. [1] Geometry.
    """
    return length - part


def half_of(length: FineMetre) -> FineMetre:
    """Half of a length.

    References
    ----------
    .. [1] Definition of half.
    """
    return length / 2


def all_rows(length: Metre, rows: Count) -> LongMetre:
    """Length of all rows together.

    References
    ----------
    .. [1] Counting.
    """
    return length * rows


def paint_needed(area: SquareMetre, coats: Count, coverage: Coverage) -> Millilitre:
    """Paint for both faces of a board.

    References
    ----------
    .. [1] Geometry; the coverage is the tin's own figure.
    """
    if coverage <= 0:
        raise RangeError("coverage", coverage, "above 0 m²/m³")
    return 2 * area * coats / coverage


def drying(each: Hour, coats: Count) -> Hour:
    """Time for all coats to dry, one after the other.

    References
    ----------
    .. [1] Counting; the time of one coat is the tin's own figure.
    """
    return each * coats
