"""What the way from the supply loses at full, and what a cut-off at its end sees when it opens."""

from __future__ import annotations

from guidegen.calc import bench, cut_off, discharge, loaded
from guidegen.calc.ladder import MINUS
from guidegen.design.discharge import curve_error, curve_of
from guidegen.design.fault_path import Hop, path
from guidegen.design.model import Model
from guidegen.design.parts import first_stage, supply_part
from guidegen.design.result import Desk, Mend, Section
from guidegen.design.solved_panel import INSIDE
from guidegen.design.source import short_current
from guidegen.kinds import Count, MilliOhm, MilliVolt, Percent
from guidegen.spec.model import Fixture
from guidegen.spec.stages import CutOffStage
from guidegen.values import Value, band

#: Nearly empty cells come back by this share of their nominal voltage, and how far they differ.
COMES_BACK = {"li-ion": (0.05, 0.03), "lifepo4": (0.025, 0.015), "lead-acid": (0.06, 0.04)}
COMES_BACK_SOURCE = "from memory: nearly empty cells, some minutes after their load is gone"
#: With this much charge a battery is as good as full: the light must start on it.
STARTS_AT = 0.9
COUNTED = "counted in the model"
#: A hop, and the pole that it lies on.
Place = tuple[int, Hop]


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the drops up to the regulator and to the cut-off, and where that may close again."""
    desk = Desk("supply way", fixture, before)
    model: Model = desk.result("circuit")
    # An adapter has no cut-off of its own, whatever the chain says.
    opens = desk.fact("battery") and "cut_off.trips_at" in desk
    ahead: list[Place] = []
    if opens:
        ahead = _places(model, "supply_cut_off") or _places(model, "cut_off")
        _closing(desk, ahead)
    if desk.fact("regulator"):
        # What lies behind a closed cut-off gets no less than its voltage, less what is lost there.
        behind = [place for place in _places(model, "regulator") if place not in ahead]
        desk.work("way.regulator_input", loaded.left_at, drop=_drop(desk, "way.regulator", behind),
                  voltage=desk["cut_off.trips_at" if opens else "supply.lowest"])  # fmt: skip
    return desk.section()


def _drop(desk: Desk, name: str, hops: list[Place]) -> Value:
    """What these hops lose together, where the supply is at its lowest."""
    model: Model = desk.result("circuit")
    per_metre = {wire.ref: wire.per_metre * wire.length.si for wire in model.conductors}
    wires = [hop for _, hop in hops if hop.wire]
    parts = [(pole, hop.role) for pole, hop in hops if not hop.wire]
    boards = sum(pole == MINUS and "cut_off" in one for pole, one in parts)
    fuses = sum(one == "fuse" for _, one in parts)
    ohms = sum(per_metre[hop.ref] for hop in wires) + boards * INSIDE
    none = "no fuse on the way"
    current = desk["input.highest_current"]
    return desk.work(
        f"{name}_drop", loaded.way_drop, current=current,
        copper=desk.given(f"{name}_copper", MilliOhm, ohms, "the model's wires on the way"),
        joints=desk.given(f"{name}_joints", Count, 2 * len(wires), COUNTED),
        joint=desk["joint.resistance"],
        contacts=desk.given(f"{name}_contacts", Count, len(parts) - boards - fuses, COUNTED),
        contact=desk["contact.resistance"],
        fuse=desk.work(f"{name}_fuse", bench.drop_at, drop=desk["fuse.own_drop"],
                       at=desk["fuse.rating"], current=current) if fuses
        else desk.given(f"{name}_fuse", MilliVolt, 0.0, none),
    )  # fmt: skip


def _places(model: Model, role: str) -> list[Place]:
    """Hops of both poles up to the input of the first part of a role."""
    refs = [part.ref for part in model.by_role(role)][:1]
    return [(pole, hop) for ref in refs for pole, sign in enumerate("+-")
            for hop in path(model, sign, f"{ref}:IN{sign}")]  # fmt: skip


def _closing(desk: Desk, before: list[Place]) -> None:
    """Between what its input rises to by itself, and what a full battery has at rest."""
    drop = _drop(desk, "way.cut_off", before) if before else desk.given(
        "way.cut_off_none", MilliVolt, 0.0, "it is inside the battery")  # fmt: skip
    middle, spread = COMES_BACK[supply_part(desk.fixture).words["chemistry"]]
    share = desk.given("cut_off.comes_back", Percent, middle, COMES_BACK_SOURCE, spread)
    recovers = desk.work("cut_off.recovery", cut_off.recovery, share=share,
                         current=desk["input.highest_current"], voltage=desk["supply.voltage"],
                         short=short_current(desk))  # fmt: skip
    rise = desk.work("cut_off.rise", cut_off.rise, drop=drop, recovers=recovers)
    least = desk.work("cut_off.least_closing", cut_off.least_closing,
                      opens=desk["cut_off.trips_at"], rise=rise)  # fmt: skip
    starts = desk.given("cut_off.starts_at", Percent, STARTS_AT, "project default")
    most = desk.work("cut_off.most_closing", discharge.curve_voltage, charge=starts,
                     error=curve_error(desk), curve=curve_of(desk))  # fmt: skip
    stage = first_stage(desk.fixture, CutOffStage)
    desk.limit("cut-off-closes", most, least, level="advice", by_heart=True,
               place=stage.place if stage else None, opens=desk["cut_off.trips_at"], rise=rise,
               mends=_lower(desk, least, most))  # fmt: skip


def _lower(desk: Desk, least: Value, most: Value) -> tuple[Mend, ...]:
    """A cut-off that opens as much lower as its closing voltage is too high, in whole 0.1 V."""
    trips = desk["cut_off.trips_at"]
    stage = first_stage(desk.fixture, CutOffStage)
    if stage is None or least.si <= most.si:
        return ()
    spread = band(trips)[1] - trips.si
    lower = int((trips.si - (least.si - most.si)) * 10) / 10
    return (Mend({f"{stage.path}.trips_at": f"{lower:.4g} V ± {spread:.2g} V"}),)
