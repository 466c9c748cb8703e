"""Sums by hand beside what the panel's network gives, from numbers that the guide prints."""

from __future__ import annotations

from guidegen.calc import budget, hand, row_drops
from guidegen.design import tape_law
from guidegen.design.looks import NUMBERS
from guidegen.design.result import Desk, Section
from guidegen.design.solved_panel import WAYS, way
from guidegen.kinds import Ampere, Count, MilliVolt, Ratio
from guidegen.spec.model import Fixture
from guidegen.values import Value, band, redo

#: kT/q at 25 °C. [V].
THERMAL = 0.0257
#: Begins the name of a sum by hand; what follows is the solved value's own name.
BY_HAND = "by_hand."


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """A sum by hand for everything that was solved of one panel."""
    desk = Desk("solved checks", fixture, before)
    desk.given("by_hand.poles", Count, 2, "+ and −")
    desk.given("by_hand.once", Count, 1, "both tracks are in the drop")
    desk.given("by_hand.whole", Ratio, 1.0, "all of the current loses the same")
    desk.given("by_hand.none", MilliVolt, 0.0, "nothing there")
    desk.given("by_hand.thermal", MilliVolt, THERMAL, "kT/q at 25 °C")
    current = desk["network.current"]
    panels = desk.given("by_hand.panels", Count, fixture.panel_count, "counted in the spec")
    desk.work("by_hand.current", budget.shared, current=desk["panel.loaded_current"],
              among=panels)  # fmt: skip
    row = desk.work("by_hand.row_current", budget.shared, current=current,
                    among=desk["row.count"])  # fmt: skip
    _drops(desk, current, row)
    _heat(desk, current)
    _even(desk, current, row)
    _bands(desk, current)
    return desk.section()


def _drops(desk: Desk, current: Value, row: Value) -> None:
    joint, sides, whole = desk["joint.resistance"], desk["feed.sides"], desk["by_hand.whole"]
    desk.work("by_hand.feed_drop", hand.conductor_drop, current=current, ways=sides, joint=joint,
              resistance_per_metre=desk["feed.resistance"],
              length=desk["feed.length"])  # fmt: skip
    before = desk.work("by_hand.before", hand.one_after_the_other,
                       first=desk["leads.loaded_drop"], second=desk["pulse_width.loaded_drop"],
                       third=desk["stage_link.loaded_drop"])  # fmt: skip
    desk.work("by_hand.feed_voltage", hand.left_between, full=desk["setting.full"], before=before,
              pole=desk["network.feed_drop"])  # fmt: skip
    desk.work("by_hand.rail_drop", hand.scaled_drop, drop=desk["rail.drop"], share=whole,
              at=desk["panel.current"], current=desk["panel.loaded_current"])  # fmt: skip
    for place, rail in (("near", desk["by_hand.none"]), ("far", desk["network.rail_drop"])):
        desk.work(f"by_hand.joint_{place}", hand.conductor_drop, current=row, ways=sides,
                  joint=joint, resistance_per_metre=desk["jumper.resistance"],
                  length=desk["jumper.length"])  # fmt: skip
        desk.work(f"by_hand.scan_{place}", hand.one_after_the_other, second=rail,
                  first=desk["network.feed_drop"],
                  third=desk[f"network.joint_{place}"])  # fmt: skip


def _heat(desk: Desk, current: Value) -> None:
    """The current times its mean loss of voltage, conductor by conductor."""
    whole, poles = desk["by_hand.whole"], desk["by_hand.poles"]
    jumper = desk.work("by_hand.joint_mean", hand.mean_of, one=desk["network.joint_near"],
                       other=desk["network.joint_far"])  # fmt: skip
    track = desk.work("by_hand.row_drop", hand.scaled_drop, drop=desk["row.drop"], share=whole,
                      at=desk["panel.current"], current=desk["panel.loaded_current"])  # fmt: skip
    for name, drop, share, times in (
        ("track", track, desk["row.mean"], desk["by_hand.once"]),
        ("jumper", jumper, whole, poles),
        ("rail", desk["network.rail_drop"], desk["rail.mean"], poles),
        ("feed", desk["network.feed_drop"], whole, poles),
    ):
        desk.work(f"by_hand.{name}_loss", hand.heat_of, current=current, drop=drop, share=share,
                  poles=times)  # fmt: skip


def _even(desk: Desk, current: Value, row: Value) -> None:
    """Dimmest over brightest, from the difference of their voltages."""
    group = desk.work("by_hand.group", hand.group_of, current=current, rows=desk["row.count"],
                      groups=desk["row.groups"])  # fmt: skip
    inputs = {"current": group, "ohms": tape_law.slope_resistance(desk),
              "leds": desk["tape.leds_per_group"], "ideality": desk["network.ideality"],
              "thermal": desk["by_hand.thermal"]}  # fmt: skip
    own = len(WAYS[way(desk)])
    desk.work("by_hand.rows", hand.share_left, row=desk["by_hand.none"],
              pole=desk["network.rail_drop"], **inputs)  # fmt: skip
    for name, ends in WAYS.items():
        share = desk.given(f"by_hand.{name}_rails", Ratio, own / len(ends),
                           "rails of this light over those of this feed")  # fmt: skip
        rail = desk.work(f"by_hand.{name}_rail", hand.scaled_drop, drop=desk["network.rail_drop"],
                         at=current, current=current, share=share)  # fmt: skip
        desk.work(f"by_hand.{name}", hand.share_left, row=_along_row(desk, name, row), pole=rail,
                  **inputs)  # fmt: skip
    _warm(desk, current, inputs)


def _warm(desk: Desk, current: Value, inputs: dict[str, Value]) -> None:
    """The same with the drops of warm copper, which are so many times as high."""
    warm = desk["network.warm_track"].si / desk["tape.track_resistance"].si
    share = desk.given(
        "by_hand.warm_share", Ratio, warm, "track of the warm board over that at 20 °C"
    )
    row, rail = (
        desk.work(f"by_hand.warm_{name}", hand.scaled_drop, drop=drop, at=current,
                  current=current, share=share)
        for name, drop in (("row", desk[f"by_hand.{way(desk)}_row"]),
                           ("rail", desk["network.rail_drop"]))
    )  # fmt: skip
    desk.work("by_hand.warm_evenness", hand.share_left, row=row, pole=rail, **inputs)


def _along_row(desk: Desk, name: str, row: Value) -> Value:
    """What the voltage of a row's groups differs by, fed in that way."""
    track = {"row_current": row, "track_resistance": desk["tape.track_resistance"],
             "row_length": desk["row.length"]}  # fmt: skip
    key = f"by_hand.{name}_row"
    if name == "middle":
        longer = desk["row.longer_share"] if "row.longer_share" in desk else desk.given(
            "by_hand.longer", Ratio, 0.5, "fed in the middle")  # fmt: skip
        return desk.work(key, row_drops.row_drop_at_point, longer_share=longer, **track)
    if name == "opposite_ends":
        most = desk.work(f"{key}_most", row_drops.row_drop_opposite_ends, **track)
        least = desk.work(f"{key}_least", row_drops.row_end_drop_opposite_ends, **track)
        return desk.work(key, hand.difference, greatest=most, least=least)
    law = {"one_end": row_drops.row_drop_one_end, "both_ends": row_drops.row_drop_both_ends}[name]
    return desk.work(key, law, **track)


def _bands(desk: Desk, current: Value) -> None:
    """What is printed of the current's band, from its ends and the shares of its parts."""
    source = "end of the likely band of the current"
    low, high = (desk.given(f"by_hand.current_{name}", Ampere, end, source)
                 for name, end in zip(("low", "high"), band(current), strict=True))  # fmt: skip
    desk.work("by_hand.current_within", hand.half_width, low=low, high=high, current=current)
    for number, one in zip(NUMBERS[1:], desk.result("solved bands"), strict=False):
        least, most = (_with(desk, f"by_hand.{name}_{number}", one.part, end)
                       for name, end in zip(("least", "most"), band(one.part), strict=True)
                       )  # fmt: skip
        desk.work(f"by_hand.share_{number}", hand.share_of_square, low=least, high=most,
                  current=desk["panel.loaded_current"],
                  within=desk["network.current_within"])  # fmt: skip
        left = desk.work(f"by_hand.left_within_{number}", hand.width_left,
                         within=desk["network.current_within"],
                         share=desk[f"network.share_{number}"])  # fmt: skip
        desk.work(f"by_hand.left_{number}_high", hand.end_of_band, current=current, within=left)


def _with(desk: Desk, name: str, part: Value, end: float) -> Value:
    """The law of the current once more, with one part at an end of its band."""
    law = desk["panel.loaded_current"]
    source = "current of the panel with all drops, by its law, this part at an end of its band"
    return desk.given(name, Ampere, redo(law, {part: end}, {}), source)
