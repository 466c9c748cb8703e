"""Cutting plans for all copies, mass, counts that times are made of."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import lru_cache

from guidegen.calc import making, tapes
from guidegen.calc.cutting import (
    BarPiece,
    BarPlan,
    BarStock,
    CuttingError,
    Piece,
    SheetPlan,
    SheetStock,
    bar_plan,
    sheet_plan,
    tape_plan,
)
from guidegen.design import panels
from guidegen.design.model import Model, Part
from guidegen.design.result import Desk, Finding, Halt, Mend, Section
from guidegen.design.volumes import taken
from guidegen.kinds import Count, FineMetre, Hour, Kilogram, Metre, Ratio
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Given, Value, given, renamed, work

LOOSE_PARTS_MASS = 0.4
#: Pieces whose sawing takes time, by what they are usually cut from.
SHEET_ROLES = ("board", "wall", "lid", "bottom", "piece", "mount_layer", "mount_pocket")
BAR_ROLES = ("border", "post", "mount_block", "handle_block", "handle_bar")
#: Until glue may be loaded. [h] (common practice, no source).
GLUE_HOURS = 4.0
#: Above this two people lift a light; project default. [kg].
LIFTED_ALONE = 10.0
#: A strip thinner than this can't be snapped off (common practice, no source).
LEAST_SNAP = 0.015
#: The standard's tables end here; a longer board is laid out to the same tolerance.
LONGEST_2768 = 4.0


@dataclass(frozen=True)
class SheetWork:
    """All sheets of one material and thickness."""

    part: CataloguePart
    thickness: Value
    pieces: tuple[Piece, ...]
    plan: SheetPlan


@dataclass(frozen=True)
class BarWork:
    """All bars of one section, or all reels of tape."""

    part: CataloguePart
    pieces: tuple[BarPiece, ...]
    plan: BarPlan


@dataclass(frozen=True)
class Cutting:
    """What is cut from what, for all copies together."""

    sheets: tuple[SheetWork, ...]
    bars: tuple[BarWork, ...]
    reels: BarWork | None


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle sheets, bars and reels.

    Raises
    ------
    Halt
        If a row is longer than every reel.
    """
    desk = Desk("making", fixture, before)
    model: Model = desk.result("circuit")
    copies = desk.put(fixture.making.copies)
    desk.put(fixture.making.kerf)
    made = [part for part in model.parts if part.made and part.key]
    sheets = _sheets(desk, made, int(copies.si))
    bars = _bars(desk, made, int(copies.si))
    reels = _reels(desk, int(copies.si))
    _mass(desk, made)
    _counts(desk, model)
    desk.set(count__copies=copies.si, several_copies=copies.si > 1)
    return desk.section(Cutting(tuple(sheets), tuple(bars), reels))


def _sheets(desk: Desk, made: list[Part], copies: int) -> list[SheetWork]:
    groups: dict[tuple[str, float], list[Part]] = defaultdict(list)
    homes: dict[str, CataloguePart] = {}
    for part in made:
        home = part.stock
        if home is not None and home.kind == "sheet":
            homes[home.key] = home
            groups[home.key, part.size[2].si].append(part)
    works = []
    for (key, thickness), parts in groups.items():
        pieces = _merged(parts, copies, homes[key])
        plan = _sheet_plan(desk, homes[key], pieces)
        if plan is not None:
            thick = next(p.size[2] for p in parts if p.size[2].si == thickness)
            works.append(SheetWork(homes[key], thick, pieces, plan))
    return works


def _merged(parts: list[Part], copies: int, home: CataloguePart) -> tuple[Piece, ...]:
    """Equal pieces as one, labelled by their references."""
    turns = home.words.get("grain") != "yes"
    sizes: dict[tuple[float, float], list[str]] = defaultdict(list)
    for part in parts:
        sizes[part.size[0].si, part.size[1].si].append(part.ref)
    return tuple(
        Piece("/".join(refs), length, width, len(refs) * copies, turns)
        for (length, width), refs in sizes.items()
    )


def _stock(desk: Desk, home: CataloguePart) -> list[SheetStock]:
    """Sheets on the shelf or in the shop; grain runs along the length, and so do pieces with it."""
    sheets = _sizes(desk, home)
    if home.words.get("grain") != "yes":
        return sheets
    return [replace(sheet, width=max(sheet.width, sheet.height),
                    height=min(sheet.width, sheet.height)) for sheet in sheets]  # fmt: skip


def _sizes(desk: Desk, home: CataloguePart) -> list[SheetStock]:
    own = [item for item in desk.fixture.making.stock if item.part.key == home.key and item.width]
    if own:
        return [
            SheetStock(f"{item.width} × {item.length}", item.width.si, item.length.si,
                       item.price.si if item.price else item.width.si * item.length.si,
                       int(item.on_hand.si) if item.on_hand else None)
            for item in own if item.width and item.length
        ]  # fmt: skip
    return [SheetStock(f"{w} × {h}", w.si, h.si, w.si * h.si) for w, h in home.sizes]


# A mend that is tried seldom changes what is sawn.
@lru_cache(maxsize=256)
def _planned(
    pieces: tuple[Piece, ...], stock: tuple[SheetStock, ...], kerf: float, min_strip: float
) -> SheetPlan:
    return sheet_plan(pieces, stock, kerf, min_strip=min_strip)


def _sheet_plan(desk: Desk, home: CataloguePart, pieces: tuple[Piece, ...]) -> SheetPlan | None:
    snapped = home.words.get("cut") == "score and snap"
    try:
        return _planned(pieces, tuple(_stock(desk, home)),
                        0.0 if snapped else desk["making.kerf"].si,
                        LEAST_SNAP if snapped else 0.0)  # fmt: skip
    except CuttingError as trouble:
        desk.find(Finding("no-sheet", "stop", place=desk.fixture.place("making.stock"),
                          names={"why": str(trouble), "sheet": home.label}))  # fmt: skip
        return None


def _bars(desk: Desk, made: list[Part], copies: int) -> list[BarWork]:
    groups: dict[str, list[Part]] = defaultdict(list)
    homes: dict[str, CataloguePart] = {}
    for part in made:
        home = part.stock
        if home is not None and home.kind in ("bar", "busbar"):
            homes[home.key] = home
            groups[home.key].append(part)
    works = []
    for key, parts in groups.items():
        lengths: dict[float, list[str]] = defaultdict(list)
        for part in parts:
            lengths[part.size[0].si].append(part.ref)
        pieces = tuple(BarPiece("/".join(refs), length, len(refs) * copies)
                       for length, refs in lengths.items())  # fmt: skip
        stock = _bar_stock(desk, homes[key])
        try:
            works.append(
                BarWork(homes[key], pieces, bar_plan(pieces, stock, desk["making.kerf"].si))
            )
        except CuttingError as trouble:
            desk.find(Finding("no-bar", "stop", place=desk.fixture.place("making.stock"),
                              names={"why": str(trouble), "bar": homes[key].label}))  # fmt: skip
    return works


def _bar_stock(desk: Desk, home: CataloguePart) -> list[BarStock]:
    own = [item for item in desk.fixture.making.stock if item.part.key == home.key and item.length]
    if own:
        return [BarStock(str(item.length), item.length.si,
                         item.price.si if item.price else item.length.si,
                         int(item.on_hand.si) if item.on_hand else None)
                for item in own if item.length]  # fmt: skip
    return [BarStock(str(length), length.si, length.si) for length in home.lengths]


def _reels(desk: Desk, copies: int) -> BarWork:
    """Rows from reels: a reel gives whole rows only, and no joints are made."""
    tape = desk.fixture.rows.tape
    row, rows = desk["row.length"], panels.all_rows(desk)
    reel = desk.put(renamed(_own_reel(desk, tape.key, row) or tape["reel"], "tape.reel"))
    piece = BarPiece("E", row.si, int(rows.si) * copies)
    if row.si > reel.si:
        # Rows are not joined: without a longer reel there is nothing to build.
        desk.limit("row-reel", reel, row, mends=(Mend({"rows.1.length": str(reel)}),))
        raise Halt(desk.section())
    plan = tape_plan(row.si, int(rows.si), reel.si, copies)
    a_reel = desk.work("tape.rows_a_reel", tapes.rows_a_reel, reel=reel, row=row)
    needed = desk.work(
        "tape.rows_needed", tapes.rows_needed, rows=rows, copies=desk["making.copies"]
    )
    reels = desk.work("tape.reels", tapes.reels, rows=needed, a_reel=a_reel)
    spare = desk.work("tape.spare_rows", tapes.spare_rows, reels=reels, a_reel=a_reel, rows=needed)
    one = desk.given("tape.least_spare", Count, 1.0, "project default")
    desk.limit("tape-spare", one, spare, at_most=False, level="advice", reels=reels, rows=needed,
               place=desk.fixture.place("making.copies"))  # fmt: skip
    return BarWork(tape, (piece,), plan)


def _own_reel(desk: Desk, key: str, row: Value) -> Given | None:
    """Length of the reels on the shelf, as far as a row comes out of one."""
    own = [item.length for item in desk.fixture.making.stock if item.part.key == key]
    lengths = [length for length in own if length is not None]
    return next((length for length in lengths if length.si >= row.si), next(iter(lengths), None))


def _mass(desk: Desk, made: list[Part]) -> None:
    """Wood, plastic and metal by volume; the bought parts as one estimate."""
    masses: dict[str, Value] = {
        "bought": desk.given("parts.mass", Kilogram, LOOSE_PARTS_MASS,
                             "from memory: electrical parts and screws", 0.2)
    }  # fmt: skip
    for part in made:
        home = part.stock
        density = home.get("density") if home else None
        if home is None or density is None or part.role in ("row", "rail"):
            continue
        masses[part.ref] = _piece_mass(part, density)
    heavy = desk.work("body.mass", tapes.total_mass, **masses)
    longest = max(desk["board.width"].si, desk["board.height"].si)
    desk.set(heavy=heavy.si > 2.0, long=longest > 1.2)
    desk.set(two_lift=longest > 1.2 or heavy.si > LIFTED_ALONE)
    if desk.fact("handles"):
        factor = desk.given("handle.test_factor", Ratio, 3.0, "project default")
        desk.work("handle.pull_load", making.pull_load, mass=heavy, factor=factor)


def _piece_mass(part: Part, density: Value) -> Value:
    """Of the piece as it is drawn: a round bar, or a block less its holes."""
    name = f"mass.{part.ref}"
    if part.solid is not None and part.solid.shape == "cylinder":
        return work(name, making.rod_mass, length=part.size[0], diameter=part.size[1],
                    density=density)  # fmt: skip
    holes = given(f"holes.{part.ref}", making.CubicCentimetre, taken(part), "its holes")
    length, width, thickness = part.size
    return work(name, making.piece_mass, length=length, width=width, thickness=thickness,
                holes=holes, density=density)  # fmt: skip


def _at_battery(model: Model) -> set[str]:
    """References of the conductors on the battery's side of the connector."""
    return {wire.ref for role in ("battery_wire", "supply_lead") for wire in model.wires(role)}


def _counts(desk: Desk, model: Model) -> None:
    length = min(desk["board.width"].si, LONGEST_2768)
    tolerance = making.tolerance_2768(length=length, tolerance_class="c")
    desk.given("size.tolerance", FineMetre, tolerance, "ISO 2768-1, class c")
    # The standard's steps that pieces of a light fall into.
    for name, most in (("small", 0.12), ("medium", 0.4), ("large", 1.0)):
        desk.given(f"size.{name}", Metre, most, "ISO 2768-1, class c")
        desk.given(f"size.tolerance_{name}", FineMetre,
                   making.tolerance_2768(length=most, tolerance_class="c"),
                   "ISO 2768-1, class c")  # fmt: skip
    desk.set(long_pieces=desk["board.width"].si > 1.0)
    desk.given("row.tolerance", FineMetre, 0.001, "project default")
    desk.given("glue.hours", Hour, GLUE_HOURS, "common practice, no source: see the bottle")
    # On metal the clips of rails are glued, and bars are where no screw holds them.
    glued = any(part.cures for part in model.parts if part.role in ("rail_clip", "rail_strip"))
    desk.given("rail.glue_hours", Hour, GLUE_HOURS if glued else 0.0,
               "common practice, no source: see the bottle")  # fmt: skip
    desk.set(rails_glued=glued)
    desk.given("burn_in.hours", Hour, 2.0, "project default")
    roles = [part.role for part in model.parts]
    border = desk.fixture.body.border
    desk.set(
        rim_of_sheet=border is not None and border.bar is None,
        count__sheet_pieces=float(sum(role in SHEET_ROLES for role in roles)),
        count__bar_pieces=float(sum(role in BAR_ROLES for role in roles)),
        count__solder_grams=max(2.0, 0.1 * float(sum(j.kind == "solder" for j in model.joints))),
        count__border=float(roles.count("border")),
        count__supply_wires=float(len(model.wires("lead")) + len(model.wires("link"))),
        count__battery_wires=float(len(_at_battery(model))),
        count__battery_lugs=float(sum(j.kind in ("pole", "bolt") for j in model.joints)),
        count__battery_screws=float(
            sum(j.kind == "screw" and j.conductor in _at_battery(model) for j in model.joints)
        ),
    )
