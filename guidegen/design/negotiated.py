"""A negotiated adapter: what its trigger may ask for, and the light where nothing is agreed."""

from __future__ import annotations

from guidegen.calc import budget, supply
from guidegen.design.discharge import light_at
from guidegen.design.loads import given_power
from guidegen.design.parts import part_of, regulator_of, steps_up, supply_part
from guidegen.design.result import Desk, Finding, Mend
from guidegen.kinds import Ampere, SupplyVolt
from guidegen.spec.part import Part
from guidegen.spec.profiles import SOURCE, TOLERANCE, at_profile, offers

#: What an adapter gives until a profile is agreed, and whenever none is. [V].
FALLBACK = 5.0
#: What a cable carries that is not marked for more. [A].
PLAIN_CABLE = 3.0


def settle(desk: Desk) -> None:
    """Judge the profile, the highest one of the adapter, and the fallback; asked behind wiring."""
    source = desk.fixture.supply
    part = source.negotiated
    if part is None:
        return
    place = desk.fixture.place("supplies.1.profile")
    _offered(desk, part)
    highest = offers(part)[-1][1].si * (1 + TOLERANCE)
    top = desk.given("adapter.highest_profile", SupplyVolt, highest,
                     f"highest profile of the adapter, + 5 %: {SOURCE}")  # fmt: skip
    stage = regulator_of(desk.fixture)
    bears = desk.put(part_of(stage)["input_high"]) if stage else desk["tape.highest_voltage"]
    # A trigger that is turned, or another one, brings any profile to the light.
    desk.limit("profile-highest", bears, top, level="advice", by_heart=True, place=place)
    plain = desk.given("adapter.plain_cable", Ampere, PLAIN_CABLE, SOURCE)
    current = desk.put(supply_part(desk.fixture)["current"])
    desk.find_if(current.si > plain.si, "profile-cable", "advice", place=place, required=plain,
                 found=current)  # fmt: skip
    _fallback(desk, part)


def _offered(desk: Desk, part: Part) -> None:
    """Whether the adapter offers what its trigger asks for."""
    asked = desk["supply.voltage"]
    known = [voltage for _, voltage in offers(part)]
    here = any(abs(voltage.si - asked.si) < 0.5 for voltage in known)
    mends = tuple(Mend({"supplies.1.profile": f"{one.si:g} V"}) for one in known)
    desk.find(Finding("profile-offered", "holds" if here else "stop", None, asked,
                      desk.fixture.place("supplies.1.profile"),
                      {"kept": here, "asked": asked, "adapter": part.label},
                      () if here else mends))  # fmt: skip


def _fallback(desk: Desk, part: Part) -> None:
    """At 5 V the light is dark, weak, or, of a step-up, takes more than the adapter gives."""
    stage = regulator_of(desk.fixture)
    source = desk.given("fallback.voltage", SupplyVolt, FALLBACK,
                        f"until a profile is agreed: {SOURCE}")  # fmt: skip
    gives = desk.given("fallback.most", Ampere, at_profile(part, "5 V")["current"].si,
                       "the adapter's label")  # fmt: skip
    light, starts = light_at(desk, "fallback", source)
    efficiency = desk["tape.share_of_input" if stage is None else "regulator.efficiency"]
    whole = desk.work("fallback.power", supply.input_power, output_power=given_power(desk),
                      efficiency=efficiency)  # fmt: skip
    taken = desk.work("fallback.current", budget.current_of, power=whole, voltage=source)
    over = starts and steps_up(stage) and taken.si > gives.si
    desk.find(Finding("profile-fallback", "advice", gives, taken,
                      desk.fixture.place("supplies.1"),
                      {"kept": not over, "from_memory": not over, "starts": starts, "over": over,
                       "dark": not starts or light.si <= 0, "light": light, "source": source,
                       "asked": desk["supply.voltage"]}))  # fmt: skip
