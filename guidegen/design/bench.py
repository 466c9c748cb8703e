"""Numbers of the checks: start voltages, limits and expected readings at the bench."""

from __future__ import annotations

from guidegen.calc import bench, budget, held, loaded, row_drops
from guidegen.design import meter, resistances, tape_law
from guidegen.design.beside import behind, beside
from guidegen.design.electrical import BETTER_FEED
from guidegen.design.model import Model
from guidegen.design.parts import regulator_of, steps_up
from guidegen.design.result import PRACTICE, Desk, Mend, Section
from guidegen.design.sizes import leads
from guidegen.design.solved_panel import INSIDE
from guidegen.design.source import most_current
from guidegen.kinds import (
    Ampere,
    Celsius,
    Count,
    LongMetre,
    MilliOhm,
    MilliVolt,
    Ohm,
    Ratio,
    Volt,
)
from guidegen.spec.model import Fixture
from guidegen.values import Value, band

#: Settings of a bench supply for tests of a part: enough to work, too little to harm.
TEST_LIMIT = 0.5
ROOM_OVER = 1.0
IRON = 350.0
#: Copper 40 K warmer than its table (0.393 % for each kelvin, IEC 60228 annex A, from memory).
WARM_COPPER = 1.16


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what the builder sets and reads."""
    desk = Desk("bench", fixture, before)
    desk.given("bench.limit", Ampere, TEST_LIMIT, "project default")
    desk.given("iron.temperature", Celsius, 273.15 + IRON, PRACTICE)
    factor = desk.given("bench.factor", Ratio, 1.4, "project default")
    rated = desk.work("row.rated_current", bench.row_rated_current,
                      group_current=desk["group.rated_current"],
                      groups=desk["row.groups"])  # fmt: skip
    desk.work("row.sample_limit", bench.limit_over, current=rated,
              factor=desk.given("row.sample_factor", Ratio, 1.5, "project default"))  # fmt: skip
    _sample(desk, rated)
    _loaded(desk)
    own = most_current(desk)
    share = desk.given("bench.share", Ratio, 0.9, "project default: below the own supply")
    most = desk.work("bench.most", bench.limit_over, current=own, factor=share)
    desk.work("bench.limit_full", bench.limit_below, current=desk["input.current"], factor=factor,
              most=most)  # fmt: skip
    margin = desk.given("scan.least_share", Ratio, 0.5, "project default")
    desk.work("scan.least", bench.least_scan, feed=desk["feed.drop"], at=desk["panel.current"],
              current=desk["panel.loaded_current"], share=margin)  # fmt: skip
    desk.given("scan.tolerance", MilliVolt, max(desk["scan.drop"].si, 0.01), "project default")
    if desk.fact("regulator"):
        for name, sign in (("plus", "+"), ("minus", "-")):
            _side_reading(desk, f"side.{name}", sign)
        _hop(desk)
    meter.settle(desk)
    stage = regulator_of(fixture)
    if stage is not None:
        if steps_up(stage):
            desk.work("bench.start", bench.own_voltage, voltage=desk["supply.voltage"])
        else:
            room = desk.given("bench.room", Volt, ROOM_OVER, "project default")
            least = {"full": desk["setting.full"], "dropout": desk["regulator.dropout"],
                     "room": room}  # fmt: skip
            if desk.fact("cut_off_part"):
                desk.work("bench.start", bench.start_through, own=desk["supply.voltage"], **least)
            else:
                desk.work("bench.start", bench.start_voltage, **least)
            if "trimmer.high_output" in desk:
                desk.work("bench.wrong_end", bench.trimmed_too_far, start=desk["bench.start"],
                          output=desk["trimmer.high_output"],
                          dropout=desk["regulator.dropout"])  # fmt: skip
        if desk.fact("current_limit"):
            short = desk.given("bench.short_factor", Ratio, 1.1, "project default")
            desk.work("bench.limit_short", bench.limit_below, current=desk["limit.set"],
                      factor=short, most=most)  # fmt: skip
    desk.given("reading.joined_most", Ohm, 1.0, "project default")
    return desk.section()


def _mean_share(desk: Desk, name: str, of_row: bool) -> Value:
    """Mean of the drops along a line as a share of the greatest one."""
    if name in desk:  # of a rail that bends it follows from the places of its taps
        return desk[name]
    if of_row and desk.fact("opposite_ends"):
        return desk.given(name, Ratio, 8 / 9, "r1 i (L²/2 + Lx − x²): mean 2/3, greatest 3/4")
    return desk.given(name, Ratio, 2 / 3, "mean of a parabola over its greatest value")


def _sample(desk: Desk, rated: Value) -> None:
    """A row alone on the bench is fed at one end, whatever feeds it in the light."""
    lost = desk.work("row.sample_drop", row_drops.row_drop_one_end, row_current=rated,
                     track_resistance=desk["tape.track_resistance"],
                     row_length=desk["row.length"])  # fmt: skip
    none = desk.given("row.sample_none", MilliVolt, 0.0, "clipped to the pads")
    share = _mean_share(desk, "row.sample_share", False)
    mean = desk.work("row.sample_mean", loaded.mean_drop, before=none, stage=none, link=none,
                     pole=none, row=lost, mean_share=share)  # fmt: skip
    tape_law.behind(desk, "row.sample_current", rated, mean, desk["tape.voltage"])


def _loaded(desk: Desk) -> None:
    """Drops with their joints, and the currents that they leave."""
    joint = resistances.joint(desk)
    own = _supply_side(desk, joint)
    # Behind a regulator a lead's drop is no loss of the tape's voltage.
    before = desk.given("lead.no_drop", MilliVolt, 0, "regulated") if desk.fact("regulator") else (
        own)  # fmt: skip
    pole = desk.work("scan.most", loaded.pole_drop, feed=desk["feed.drop"], rail=desk["rail.drop"],
                     jumper=desk["jumper.drop"], mean_share=_mean_share(desk, "rail.mean", False),
                     feed_current=desk["feed.wire_current"], joint=joint,
                     jumper_current=desk["row.side_current"])  # fmt: skip
    stage, link = _stage(desk, joint)
    mean = desk.work("panel.mean_drop", loaded.mean_drop, before=before, stage=stage, link=link,
                     pole=pole, row=desk["row.drop"],
                     mean_share=_mean_share(desk, "row.mean", True))  # fmt: skip
    full, most = desk["setting.full"], desk["panel.current"]
    if tape_law.constant_current(desk.fixture):
        _chips(desk, before, stage, link, joint)
    current = tape_law.behind(desk, "panel.loaded_current", most, mean, full)
    at_load = {
        name: desk.work(name, bench.drop_at, drop=drop, at=most, current=current)
        for name, drop in (("scan.drop", pole), ("leads.loaded_drop", before),
                           ("pulse_width.loaded_drop", stage), ("stage_link.loaded_drop", link))
    }  # fmt: skip
    behind = desk.work("pulse_width.reading", bench.behind_stage, full=full,
                       before=at_load["leads.loaded_drop"],
                       stage=at_load["pulse_width.loaded_drop"],
                       link=at_load["stage_link.loaded_drop"])  # fmt: skip
    desk.work("panel.pad_voltage", bench.at_pads, behind=behind, pole=at_load["scan.drop"])
    _input(desk, current, own)


def _chips(desk: Desk, before: Value, stage: Value, link: Value, joint: Value) -> None:
    """Whether the group that gets least voltage still has enough for its chip."""
    whole = desk.given("rail.whole", Ratio, 1.0, "the farthest row: all of the rails' drop")
    pole = desk.work("chips.pole", loaded.pole_drop, feed=desk["feed.drop"], joint=joint,
                     rail=desk["rail.drop"], jumper=desk["jumper.drop"], mean_share=whole,
                     feed_current=desk["feed.wire_current"],
                     jumper_current=desk["row.side_current"])  # fmt: skip
    least = desk.work("chips.least", held.least_voltage, full=desk["setting.full"], before=before,
                      stage=stage, link=link, pole=pole, row=desk["row.drop"])  # fmt: skip
    feed = BETTER_FEED.get(str(desk.fact("feed")))
    spare = desk.work("chips.spare", held.chip_spare, least=least, needed=desk["tape.holds_from"])
    none = desk.given("chips.none", Volt, 0.0, "what is needed, and no more")
    desk.limit("chips-hold", none, spare, at_most=False, worst=True, level="advice",
               place=desk.fixture.place("rows.1.tape"), full=desk["setting.full"], least=least,
               needed=desk["tape.holds_from"], even=desk["tape.line_regulation"],
               mends=(Mend({"rows.1.fed_from": feed}),) if feed else ())  # fmt: skip


def _own_leads(desk: Desk) -> Value:
    """Leads of the light's own chain, at the panel's current: a bench supply is clipped to them."""
    fixture = desk.fixture
    names = [name for name, stage in zip(("lead.drop", "lead_2.drop"), leads(fixture), strict=False)
             if not any(stage is other for other in fixture.supply.chain)]  # fmt: skip
    none = desk.given("leads.none", MilliVolt, 0.0, "not there")
    first, second = (desk[name] if name in names else none for name in ("lead.drop", "lead_2.drop"))
    drop = desk.work("leads.own_drop", budget.leads_drop, at_battery=none, lead=first,
                     second_lead=second)  # fmt: skip
    return desk.work("leads.usual_drop", bench.drop_at, drop=drop, at=desk["input.highest_current"],
                     current=desk["panel.current"])  # fmt: skip


def _supply_side(desk: Desk, joint: Value) -> Value:
    """All that lies between the connector and the module or the feed, at the panel's current."""
    model: Model = desk.result("circuit")
    links, ends = len(model.wires("link")), len(model.wires("lead"))
    contacts = len(model.by_role("switch")) + len(model.by_role("cut_off"))
    counted = "counted in the model"
    contact = resistances.contact(desk)
    length = desk["link.wire_length"] if links else desk.given(
        "link.no_length", LongMetre, 0.0, "no wires between parts")  # fmt: skip
    side = desk.work(
        "side.drop", loaded.side_drop, current=desk["panel.current"], link=desk["link.resistance"],
        length=length, links=desk.given("side.links", Count, links, counted),
        joints=desk.given("side.joints", Count, 2 * (links + ends), counted), joint=joint,
        contacts=desk.given("side.contacts", Count, contacts, counted), contact=contact,
    )  # fmt: skip
    own = resistances.fuse_drop(desk)
    at_battery = desk.fact("fuse_at_battery") or not desk.fact("fuse")
    fuse = desk.given("fuse.no_drop", MilliVolt, 0.0, "no fuse in the light") if at_battery else (
        desk.work("fuse.drop", bench.drop_at, drop=own, at=desk["fuse.rating"],
                  current=desk["panel.current"]))  # fmt: skip
    return desk.work("side.whole_drop", loaded.supply_side_drop, leads=_own_leads(desk), side=side,
                     fuse=fuse)  # fmt: skip


def _side_reading(desk: Desk, name: str, sign: str) -> None:
    """What a meter shows from the connector to the module on one pole, at the full current."""
    model: Model = desk.result("circuit")
    links, leads = ([wire for wire in model.wires(role) if wire.polarity == sign]
                    for role in ("link", "lead"))  # fmt: skip
    # A switch opens +; the − of a cut-off goes through its board.
    plus = sign == "+"
    counted = "counted in the model"
    none = desk.given(f"{name}_none", MilliVolt, 0.0, "not on this pole")
    no_joint = desk.given(f"{name}_bare", Count, 0, "the copper alone")
    board = desk.given(f"{name}_board", MilliOhm, INSIDE, "project default: copper of a board")
    wires = {"link": desk["link.resistance"], "joint": desk["joint.resistance"],
             "current": desk["panel.current"],
             "contact": desk["contact.resistance"] if plus else board,
             "length": desk["link.wire_length" if "link.wire_length" in desk else "link.no_length"],
             "links": desk.given(f"{name}_links", Count, len(links), counted)}  # fmt: skip
    joints = desk.given(f"{name}_joints", Count, 2 * (len(links) + len(leads)), counted)
    boards = len(model.by_role("cut_off"))
    contacts = desk["side.contacts"] if plus else desk.given(
        f"{name}_boards", Count, boards, counted)  # fmt: skip
    most = desk.work(f"{name}_most", loaded.side_pole_drop, leads=desk["leads.usual_drop"],
                     side=desk.work(f"{name}_side", loaded.side_drop, joints=joints,
                                    contacts=contacts, **wires),
                     fuse=desk["fuse.drop"] if plus and "fuse.drop" in desk else none)  # fmt: skip
    currents = {"at": desk["panel.current"], "current": desk["input.bench_current"]}
    drop = desk.work(f"{name}_drop", bench.drop_at, drop=most, **currents)
    copper = desk.work(f"{name}_copper", loaded.side_drop, joints=no_joint, contacts=no_joint,
                       **wires)  # fmt: skip
    desk.work(f"{name}_least", bench.least_side, leads=desk["leads.usual_drop"], link=copper,
              share=desk["scan.least_share"], **currents)  # fmt: skip
    desk.given(f"{name}_tolerance", MilliVolt, max(drop.si, 0.01), "project default")


def _hop(desk: Desk) -> None:
    """What two neighbouring terminals of the supply side may differ by."""
    model: Model = desk.result("circuit")
    wires = [wire for role in ("link", "lead") for wire in model.wires(role)]
    longest = WARM_COPPER * max((one.per_metre * one.length.si for one in wires), default=0.0)
    current = desk["input.bench_current"]
    if "fuse.no_drop" in desk:
        fuse = desk["fuse.no_drop"]
    else:
        fuse = desk.work("side.hop_fuse", bench.drop_at, drop=desk["fuse.own_drop"],
                         at=desk["fuse.rating"], current=current)  # fmt: skip
    piece = desk.given("side.longest", MilliOhm, longest, "the model's longest wire, 40 K warmer")
    joint = desk.given("joint.most", MilliOhm, band(desk["joint.resistance"])[1],
                       "upper end of the band of joint.resistance")  # fmt: skip
    contact = desk.given("contact.most", MilliOhm, resistances.CONTACT_MOST,
                         "project default: twice the usual one")  # fmt: skip
    desk.work("side.hop_most", loaded.hop_drop, current=current, piece=piece, joint=joint,
              contact=contact, fuse=fuse)  # fmt: skip


def _stage(desk: Desk, joint: Value) -> tuple[Value, Value]:
    """What a pulse-width stage loses, and the wires from a regulator to it."""
    if not desk.fact("pulse_width"):
        none = desk.given("pulse_width.no_drop", MilliVolt, 0.0, "no pulse-width stage")
        return none, none
    stage = desk["pulse_width.drop"]
    if "link.stage_length" not in desk:
        return stage, desk.given("stage_link.no_drop", MilliVolt, 0.0, "no regulator before it")
    return stage, desk.work(
        "stage_link.drop", loaded.link_drop, current=desk["panel.current"], joint=joint,
        resistance_per_metre=desk["feed.resistance"], length=desk["link.stage_length"],
    )  # fmt: skip


def _input(desk: Desk, current: Value, lead: Value) -> None:
    """What the bench supply shows: it stands in for the own supply, at its nominal voltage."""
    if desk.fact("regulator"):
        idle = desk["pulse_width.idle_current"] if desk.fact("pulse_width") else desk.given(
            "pulse_width.no_idle", Ampere, 0.0, "no pulse-width stage")  # fmt: skip
        more = behind(desk, "likely_current")
        if more is not None:
            current = desk.work("output.loaded_current", loaded.with_beside, current=current,
                                beside=more)  # fmt: skip
        power = desk.work("input.bench_power", loaded.regulated_power, current=current, idle=idle,
                          voltage=desk["setting.full"],
                          efficiency=desk["regulator.efficiency"])  # fmt: skip
        current = desk.work("input.light_current", loaded.drawn_through, power=power, drop=lead,
                            voltage=desk["supply.voltage"], at=desk["panel.current"])  # fmt: skip
    other = beside(desk, "likely_current") or desk.given(
        "fan.no_current", Ampere, 0.0, "nothing beside the rows")  # fmt: skip
    desk.work("input.bench_current", loaded.with_beside, current=current, beside=other)
