"""What hangs beside the rows, judged: its voltage, its start, its resistor's heat, its wires."""

from __future__ import annotations

from guidegen.calc import budget, window, wire
from guidegen.calc import fan as calc
from guidegen.design.beside import (
    RESISTOR,
    WIRE,
    Kind,
    all_beside,
    current_at,
    is_behind,
    voltage_at,
)
from guidegen.design.parts import regulator_of, steps_up
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.kinds import ConductorArea, Ratio, Volt
from guidegen.spec.auxiliaries import FED_AFTER, Beside
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import CutOffStage, RegulatorStage
from guidegen.values import Value, band

#: Of its wires: a thin one is enough for its current. [m²].
AREA = 0.5e-6


def judge_beside(desk: Desk) -> None:
    """Judge each at the ends of what feeds it; asked behind control and wiring."""
    here = all_beside(desk.fixture)
    if any(is_behind(wish) for _, wish, _ in here):
        _ends_of_output(desk)
    for number, (kind, wish, part) in enumerate(here, 1):
        path = f"auxiliaries.{number}"
        _voltages(desk, kind, wish, part, path)
        if desk.fact(kind.dropper):
            _heat(desk, kind, wish, part, path)
        _wires(desk, kind, wish, path)


def _ends_of_output(desk: Desk) -> None:
    """Least and greatest voltage that the regulator gives in use, by its settled control."""
    desk.given("output.setting_lowest", Volt,
               band(desk["control.low_output" if desk.fact("control") else "setting.full"])[0],
               "lower end of the lowest setting")  # fmt: skip
    low = desk["output.setting_lowest"]
    if steps_up(regulator_of(desk.fixture)):
        desk.work("output.lowest", window.raised_output, setting=low,
                  passed=desk.work("output.passed_lowest", budget.passed_through,
                                   voltage=desk["supply.lowest"],
                                   drop=desk["regulator.dropout"]))  # fmt: skip
    else:
        desk.work("output.lowest", window.held_output, setting=low,
                  room=desk["regulator.highest_possible"])  # fmt: skip
    top = _greatest(desk)
    if desk.fact("control") and band(desk["control.high_output"])[1] > top.si:
        desk.given("output.control_highest", Volt, band(desk["control.high_output"])[1],
                   "upper end of the band of control.high_output")  # fmt: skip


def _greatest(desk: Desk) -> Value:
    names = ("output.control_highest", "output.highest", "output.full_highest")
    return next(desk[name] for name in names if name in desk)


def fed_before(desk: Desk) -> tuple[Mend, ...]:
    """To feed by the supply itself what hangs on the regulator's output, one mend for each."""
    return tuple(mend for number, (_, wish, _) in enumerate(all_beside(desk.fixture), 1)
                 if is_behind(wish) for mend in _before(desk, f"auxiliaries.{number}"))  # fmt: skip


def _before(desk: Desk, path: str) -> tuple[Mend, ...]:
    """To feed it by the supply itself, behind a cut-off where there is one."""
    kinds = [stage.kind for stage in desk.fixture.chain]
    ahead = kinds[: kinds.index(RegulatorStage.kind)]
    order = (CutOffStage.kind, *FED_AFTER)
    stage = next((kind for kind in order if kind in ahead), None)
    return (Mend({f"{path}.fed_after": stage, f"{path}.dropper": "auto"}),) if stage else ()


def _voltages(desk: Desk, kind: Kind, wish: Beside, part: Part, path: str) -> None:
    """What it gets at the most and at the least, and where the control breaks."""
    name, place = kind.name, desk.fixture.place(path)
    ours = is_behind(wish)
    auto = Mend({f"{path}.dropper": "auto"})
    mends = (auto, *_before(desk, path)) if ours else (auto,)
    highest = desk[f"{name}.at_highest"]
    if ours and "output.control_highest" in desk:
        highest = voltage_at(desk, kind, part, f"{name}.at_control_highest", _greatest(desk))
    desk.limit(kind.too_high, desk[f"{name}.highest_voltage"], highest, place=place, mends=mends,
               behind=ours, output=_greatest(desk) if ours else desk["supply.highest"])  # fmt: skip
    lowest = desk["output.lowest" if ours else "supply.lowest"]
    desk.limit(kind.too_low, desk.put(part["lowest_voltage"]),
               voltage_at(desk, kind, part, f"{name}.at_lowest", lowest),
               at_most=False, level="advice", place=place, mends=mends, behind=ours,
               output=lowest)  # fmt: skip
    if ours and desk.fact("control"):
        _broken(desk, kind, part, path)


def _broken(desk: Desk, kind: Kind, part: Part, path: str) -> None:
    """A broken part of the control raises the output, and what hangs on it gets that as well."""
    name, guarded = kind.name, bool(desk.fact("limit_guards")) and "limit.tape_voltage" in desk
    output = desk["limit.tape_voltage" if guarded else "control.worst_fault_output"]
    at_fault = voltage_at(desk, kind, part, f"{name}.at_fault", output)
    most = desk[f"{name}.highest_voltage"]
    desk.find_if(at_fault.si > most.si, "beside-fault", "advice", required=most, found=at_fault,
                 place=desk.fixture.place(path), mends=_before(desk, path),
                 names={"module": name, "output": output, "guarded": guarded})  # fmt: skip


def _heat(desk: Desk, kind: Kind, wish: Beside, part: Part, path: str) -> None:
    name = kind.name
    current = desk[f"{name}.most_current"]
    if is_behind(wish) and "output.control_highest" in desk:
        current = current_at(desk, kind, part, f"{name}.control_current",
                             f"{name}.at_control_highest", _greatest(desk))  # fmt: skip
    power = desk.work(f"{name}.dropper_power", calc.dropper_power, current=current,
                      dropper=desk[f"{name}.dropper"])  # fmt: skip
    share = desk.given(f"{name}.dropper_share", Ratio, 0.5, PRACTICE)
    rated = desk.put(catalogue_part(RESISTOR).named(kind.dropper)["power"])
    half = desk.work(f"{name}.dropper_most", calc.share_of_rating, rated=rated, share=share)
    desk.limit(kind.heat, half, power, worst=True, place=desk.fixture.place(path))


def _wires(desk: Desk, kind: Kind, wish: Beside, path: str) -> None:
    """Its wires: short, thin, and behind the light's own fuse or the regulator's limit."""
    part = catalogue_part(WIRE).named(kind.wire)
    size = desk.given(f"{kind.wire}.size", ConductorArea, AREA, "project default")
    carries = desk.work(f"{kind.wire}.ampacity", wire.ampacity, area=size,
                        insulation_temperature=desk.put(part["temperature"]),
                        ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
    held = is_behind(wish) and not steps_up(regulator_of(desk.fixture))
    if held:
        guard = "limit.set" if "limit.set" in desk else "regulator.current"
    else:
        guard = "fuse.opens_at"
    if guard in desk:
        desk.limit(kind.wires, carries, desk[guard], level="advice", size=size, held=held,
                   place=desk.fixture.place(path))  # fmt: skip
