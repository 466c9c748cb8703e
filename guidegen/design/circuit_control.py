"""The control network of the circuit: leads from the module to the control, its resistors."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.circuit_chain import PADS
from guidegen.design.growing import Wiring
from guidegen.design.model import owner
from guidegen.design.parts import regulator_of
from guidegen.design.result import Desk
from guidegen.spec.part import Part as CataloguePart

#: From a pad of the module to the free leg of a resistor that stands on it. [m].
FREE_LEG = 0.012


def control(wiring: Wiring) -> None:
    """Two leads from the module to the control; wiper tied to the unused lug; resistors."""
    desk = wiring.desk
    stage = regulator_of(desk.fixture)
    assert stage is not None
    assert stage.control is not None
    carries, idle = _lugs(desk, stage.control.raises)
    ref, lugs = potentiometer(wiring, stage.control.part, carries)
    pads = control_pads(wiring)
    start = pads[0]
    if "control.end" in desk:
        # At the module: where both leads touch each other, or both lugs, it still counts.
        module = owner(start)
        end = wiring.part("R", "end_resistor", None, module, side="back",
                          key="resistor-quarter-watt", rating=str(desk["control.end"]))  # fmt: skip
        x, y = next(one.at for one in wiring.terminals if one.key == start and one.at)
        wiring.join(end, start)
        start = wiring.terminal(end, "free", "", (x, y + FREE_LEG))
    wiring.wire("control_lead", start, lugs[carries], "a")
    wiring.wire("control_lead", pads[1], lugs["2"], "b")
    # With the wiper tied to the unused lug, a wiper that lifts leaves the whole track in circuit.
    wiring.wire("wiper_tie", lugs["2"], lugs[idle], "b")
    if "control.across" in desk:
        across = wiring.part("R", "across_resistor", None, ref, side="back",
                             key="resistor-quarter-watt",
                             rating=str(desk["control.across"]))  # fmt: skip
        wiring.join(across, lugs["1"])
        wiring.join(across, lugs["3"])


def potentiometer(wiring: Wiring, part: CataloguePart, live: str) -> tuple[str, dict[str, str]]:
    """Enter the control in its wall, and its three lugs.

    Parameters
    ----------
    wiring : Wiring
        Takes them.
    part : Part
        Of the catalogue.
    live : str
        Name of the lug, beside the wiper, that carries a lead and moves the light.

    Returns
    -------
    tuple
        Its reference, and the lugs' keys by their names.
    """
    solid = places.in_box(wiring.desk, "control")
    # Its lugs look into the box: the shaft passes through the left wall.
    x, (_, y, _) = solid.high[0], solid.middle
    ref = wiring.part("R", "control", part, wiring.home(solid), side="back", solid=solid)
    lugs = {
        name: wiring.terminal(ref, name, "", (x, y + up), mark="live" if name == live else "")
        for name, up in (("1", 0.005), ("2", 0.0), ("3", -0.005))
    }
    return ref, lugs


def _lugs(desk: Desk, raises: str) -> tuple[str, str]:
    """(lug with the lead, lug tied to the wiper).

    Turned clockwise, the wiper moves from lug 1 to lug 3, seen from the shaft. More resistance
    means more voltage in the upper leg, and less in the lower one.
    """
    from_one = (raises == "clockwise") == bool(desk.fact("control_upper"))
    return ("1", "3") if from_one else ("3", "1")


def control_pads(wiring: Wiring) -> tuple[str, str]:
    """The module's two pads that the control is wired to."""
    regulator = next(part.ref for part in wiring.parts if part.role == "regulator")
    return f"{regulator}:{PADS[0]}", f"{regulator}:{PADS[1]}"
