"""Facts of the finished circuit, for the conditions of steps, cautions and faults."""

from __future__ import annotations

from guidegen.design.ferrules import FERRULE, shared
from guidegen.design.growing import BOLT, SOLDER
from guidegen.design.model import Model, owner
from guidegen.design.parts import first_stage, part_of
from guidegen.design.rail_lines import rails
from guidegen.design.result import Desk
from guidegen.design.source import stores_or_starts
from guidegen.spec.stages import ConnectorStage

#: Parts that the feed can begin at.
FEEDERS = ("pulse_width", "regulator", "thermal_cut_out", "cut_off", "switch", "fuse", "junction",
           "connector")  # fmt: skip


def _connector_word(desk: Desk, word: str) -> str:
    stage = first_stage(desk.fixture, ConnectorStage)
    return part_of(stage).words.get(word, "") if stage else ""


def _fed_from(model: Model, role: str) -> bool:
    """Whether a feed wire begins at a part of this role."""
    refs = {part.ref for part in model.by_role(role)}
    return any(owner(wire.start) in refs for wire in model.wires("feed"))


def _bare_crossings(desk: Desk, model: Model) -> bool:
    """Whether bare jumpers reach over a rail of the other pole."""
    crossing = any(place.second for place in rails(desk))
    return crossing and any(wire.bare for wire in model.wires("jumper"))


def _strong(desk: Desk) -> bool:
    """Whether a short can burn skin: a battery, or more than 8 A or 100 VA (project default)."""
    if stores_or_starts(desk):
        return True
    amps = desk["adapter.highest_current"].si
    return bool(amps > 8 or amps * desk["supply.voltage"].si > 100)


def _ferrules(model: Model, *roles: str) -> float:
    """Ends of conductors of these roles that get a ferrule, as the schedule says."""
    ends = [end for role in roles for wire in model.wires(role)
            for end in (wire.start_treatment, wire.end_treatment)]  # fmt: skip
    return float(ends.count(FERRULE))


def _twins(model: Model) -> float:
    """Ferrules that take two wires."""
    return len(shared(model.conductors)) / 2


def enter_facts(desk: Desk, model: Model) -> None:
    """Enter what the model shows: counts, what is bare, where the feed begins."""
    solder = sum(joint.kind == SOLDER for joint in model.joints)
    desk.set(
        count__row_joints=float(sum(len(model.wires("jumper")) * [2])),
        count__solder_joints=float(solder),
        count__supply_ferrules=_ferrules(model, "lead", "link"),
        count__stage_ferrules=_ferrules(model, "stage_link", "feed"),
        count__feed_ferrules=_ferrules(model, "feed"),
        count__feed_twins=_twins(model),
        count__fan_ferrules=_ferrules(model, "fan_wire"),
        count__pilot_ferrules=_ferrules(model, "pilot_wire"),
        count__conductors=float(len(model.conductors)),
        count__jumpers=float(len(model.wires("jumper"))),
        count__rails=float(len(model.by_role("rail"))),
        bare_rails=any(part.bare for part in model.by_role("rail")),
        bare_jumpers=any(wire.bare for wire in model.wires("jumper")),
        bare_crossings=_bare_crossings(desk, model),
        second_rail=any(place.second for place in rails(desk)),
        across_resistor=bool(model.by_role("across_resistor")),
        end_resistor=bool(model.by_role("end_resistor")),
        lead=bool(model.wires("lead")),
        second_lead="lead_2.drop" in desk,
        supply_lead=bool(model.wires("supply_lead")),
        battery_wires=bool(model.wires("battery_wire") or model.wires("supply_lead")),
        exposed_contacts=_connector_word(desk, "exposed") == "pin",
        plus_on_pin=_connector_word(desk, "positive") == "centre",
        plus_on_sleeve=_connector_word(desk, "positive") == "sleeve",
        keyed_connector=bool(model.by_role("connector")),
        switch_part=bool(model.by_role("switch")),
        cut_off_part=bool(model.by_role("cut_off")),
        supply_cut_off=bool(model.by_role("supply_cut_off")),
        strong_supply=_strong(desk),
        **{f"feed_from_{role}": _fed_from(model, role) for role in FEEDERS},
        feed_cores_share="feed.core_current" in desk,
        feed_twins=_twins(model) > 0,
        link=bool(model.wires("link")),
        connector_in_wall=any(part.on for part in model.by_role("connector")),
        fuse_bolted=any(joint.kind == BOLT for joint in model.joints),
        fuse_at_battery=any(stage.kind == "fuse" for stage in desk.fixture.supply.chain),
    )
