"""The circuit as it stands at a step: what is made, joined, set and powered, as elements.

The points are the model's terminals by their keys. A conductor counts once both its ends are
joined; its own ends are no points, since no probe goes there.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import inf

from guidegen.calc import paths
from guidegen.calc.circuits import Circuit, CutOff, Group, Regulator, Resistor, Source
from guidegen.calc.led_group import GroupLaw
from guidegen.design.solved_panel import INSIDE
from guidegen.design.tape_law import network_law
from guidegen.guide.net import CONNECTOR, FUSE, SWITCH
from guidegen.guide.state import Power, State

#: A meter's range of 10 A with its leads (from memory). [ohm].
SHUNT = 0.05
#: Between two points of one piece of metal. [ohm].
TIE = 1e-4
#: What a regulator's input looks like while it gives nothing: behind an open cut-off nothing else
#: holds its voltage. [ohm].
IDLE = 1e6
#: Groups of a row are put together into so many lumps: their pattern along the row is then lost,
#: and a hundredth of the row's own drop with it.
LUMPS = 8

#: How far along its travel a control stands, from the low end.
TRAVEL = {"low": 0.0, "quarter": 0.25, "middle": 0.5, "three-quarters": 0.75, "high": 1.0}


#: What the values of a control's place begin with; at its high end nothing is turned down.
DIMMED = {"low": "low", "quarter": "quarter", "middle": "half", "three-quarters": "three_quarters"}


class UnknownError(ValueError):
    """Something was not set that a reading depends on; its text is the thing's reference."""


class Netlist:
    """Builds the circuit of one state.

    Parameters
    ----------
    state : State
        The light at this step; its facts hold the design's numbers.
    power : Power or None
        What feeds it; None: the dead circuit, in which neither LEDs nor modules conduct.
    """

    def __init__(self, state: State, power: Power | None) -> None:
        self.state, self.power = state, power
        self.circuit = Circuit()
        self.joint, self.contact = (self.number(f"{n}.resistance") for n in ("joint", "contact"))
        #: What nobody has set, by a point of the part that it stands in.
        self.unknown: dict[str, str] = {}
        self.closed = state.closed(False, power)
        self.ends: dict[str, list[str]] = {}
        for ref in sorted(state.joints, key=lambda ref: (len(ref), ref)):
            joint = state.by_joint[ref]
            self.ends.setdefault(joint.conductor, []).append(joint.terminal)
        self._wires()
        for ref, keys in state.net.terminals.items():
            self._part(ref, keys)
        if power is not None:
            self.circuit.sources.append(
                Source("supply", *power.points, volts=power.volts, limit=power.limit)
            )

    def number(self, name: str) -> float:
        """A number of the design, in SI.

        Raises
        ------
        UnknownError
            If the design has none of this name.
        """
        found = self.state.facts.get(name)
        if isinstance(found, bool) or not isinstance(found, int | float):
            raise UnknownError(name)
        return float(found)

    def resistor(self, a: str, b: str, ohms: float) -> None:
        """Add a resistance between two points."""
        if a != b:
            self.circuit.resistors.append(Resistor(a, b, max(ohms, TIE)))

    def _wires(self) -> None:
        for wire in self.state.model.conductors:
            ends = self.ends.get(wire.ref, [])
            if len(ends) == 2:
                ohms = wire.per_metre * wire.length.si + 2 * self.joint
                self.resistor(ends[0], ends[1], ohms)

    # --- parts -------------------------------------------------------------------------------

    def _part(self, ref: str, keys: list[str]) -> None:
        role, letter = self.state.net.parts[ref].role, ref[0]
        by_role = {
            "rail": self._rail, "row": self._row, "regulator": self._regulator,
            "pulse_width": self._pulse_width, "cut_off": self._cut_off,
            "supply_cut_off": self._cut_off, "control": self._control,
            "fan": self._beside, "pilot_light": self._beside, "pilot_dropper": self._pilot_dropper,
            "dropper": self._dropper, "end_resistor": self._end,
            "thermal_cut_out": self._cold,
        }  # fmt: skip
        if role in by_role:
            try:
                by_role[role](ref, keys)
            except UnknownError as error:
                self.unknown.update(dict.fromkeys(keys, str(error)))
        elif letter == FUSE:
            if self.state.is_fitted(ref):
                self._across(keys, self.number("fuse.own_drop") / self.number("fuse.rating"))
        elif letter == SWITCH:
            if ref in self.closed:
                self._across(keys, self.contact)
        elif letter == CONNECTOR and ref in self.closed:
            for sign in "+-":
                self._across(self._poles(keys, sign), self.contact)

    def _cold(self, ref: str, keys: list[str]) -> None:
        """A thermal cut-out, in its place or on the bench: closed while it is cold."""
        self._across(keys, self.contact)

    def _across(self, keys: list[str], ohms: float) -> None:
        for a, b in pairwise(keys):
            self.resistor(a, b, ohms)

    def _poles(self, keys: Iterable[str], sign: str) -> list[str]:
        return [key for key in keys if self.state.net.polarity[key] == sign]

    def _rail(self, ref: str, keys: list[str]) -> None:
        """A rail from tap to tap."""
        line = self.state.net.parts[ref].line
        places = {key: self.state.model.terminal(key).at for key in keys}
        fars = {key: paths.along(line, at) if line and at else 0.0 for key, at in places.items()}
        per_metre = self.number("rail.resistance")
        for one, other in pairwise(sorted(keys, key=lambda key: fars[key])):
            self.resistor(one, other, per_metre * (fars[other] - fars[one]))

    def _row(self, ref: str, keys: list[str]) -> None:
        """A row's tracks from pad to pad, and between them its groups in some lumps."""
        length, groups = self.number("row.length"), self.number("row.groups")
        per_metre = self.number("tape.track_resistance")
        lumps = int(min(groups, LUMPS)) if self.power is not None else 0
        middles = [((i + 0.5) / lumps * length, f"{ref}~{i + 1}") for i in range(lumps)]
        for sign in "+-":
            places = [(self._along(key, length), key) for key in self._poles(keys, sign)]
            places += [(at, f"{name}{sign}") for at, name in middles]
            places.sort(key=lambda place: place[0])
            for (one, a), (other, b) in pairwise(places):
                self.resistor(a, b, per_metre * (other - one))
        if middles:
            law = self._group()
        for _, name in middles:
            self.circuit.groups.append(Group(f"{name}+", f"{name}-", law, groups / lumps))

    def _group(self) -> GroupLaw:
        """The law of the panel's network: Shockley's, also far below the rated voltage."""
        return network_law(self.number, bool(self.state.facts.get("constant_current")))

    def _along(self, key: str, length: float) -> float:
        side = key.split(":")[1][0]
        return {"L": 0.0, "R": length}[side] if side in "LR" else self.number("row.feed_point")

    def _regulator(self, ref: str, keys: list[str]) -> None:
        """A module with its divider; on the dead circuit its divider alone conducts."""
        names = {key.split(":")[1]: key for key in keys}
        out, minus, tap = names["OUT+"], names["OUT-"], f"{ref}~tap"
        self._divider(ref, (out, minus, tap), names)
        if self.power is None:
            return
        self.resistor(names["IN-"], minus, INSIDE)
        self.resistor(names["IN+"], names["IN-"], IDLE)
        # Of the passing-on stage only what it loses counts: its threshold, not its efficiency.
        self.circuit.regulators.append(
            Regulator(ref, names["IN+"], names["IN-"], out, minus, tap,
                      self.number("regulator.reference"), self.number("regulator.dropout"),
                      self.number("regulator.efficiency"), self._limit(ref),
                      bool(self.state.facts.get("step_up")))
        )  # fmt: skip

    def _divider(self, ref: str, ends: tuple[str, str, str], names: dict[str, str]) -> None:
        """Trimmer in the upper leg and fixed resistor in the lower one, with the control's pads."""
        out, minus, tap = ends
        facts = self.state.facts
        fixed = self.number("regulator.fixed_resistor")
        pads = names.get("VR1", f"{ref}~1"), names.get("VR2", f"{ref}~2")
        if facts.get("replaces_trimmer"):
            self._across([out, pads[0]], INSIDE)
            self._across([pads[1], tap], INSIDE)
            self.resistor(tap, minus, fixed)
            return
        trimmer = self._trimmer(ref)
        if facts.get("control_upper"):
            self.resistor(out, pads[0], trimmer)
            self._across([pads[1], tap], INSIDE)
            self.resistor(tap, minus, fixed)
        elif facts.get("control_lower"):
            self.resistor(out, tap, trimmer)
            self._across([tap, pads[0]], INSIDE)
            self._across([pads[1], minus], INSIDE)
        else:
            self.resistor(out, tap, trimmer)
            self.resistor(tap, minus, fixed)

    def _trimmer(self, ref: str) -> float:
        stands = self.state.positions.get(f"{ref}.trimmer", "")
        if self.power is None:
            # Whatever it is, no claim on the dead circuit hangs on it.
            stands = stands or "design"
        if stands not in ("low", "design"):
            raise UnknownError(f"{ref}.trimmer")
        return self.number("trimmer.setting") if stands == "design" else 0.0

    def _limit(self, ref: str) -> float:
        if "limit.set" not in self.state.facts:
            return inf
        stands = self.state.positions.get(f"{ref}.limit", "")
        # As it comes, the limit stands at the module's own current.
        named = {"low": "regulator.limit_low", "design": "limit.set"}
        return self.number(named[stands]) if stands in named else inf

    def _pulse_width(self, ref: str, keys: list[str]) -> None:
        """At full duty a resistance in the pole that it opens; the other pole goes through."""
        names = {key.split(":")[1]: key for key in keys}
        switched = self.state.net.switched
        for sign in "+-":
            a, b = names[f"IN{sign}"], names[f"OUT{sign}"]
            if sign != switched:
                self.resistor(a, b, INSIDE)
            elif self.power is not None and self._full():
                self.resistor(a, b, self.number("pulse_width.resistance") - INSIDE)
        if self.power is not None:
            idle = self.number("setting.full") / self.number("pulse_width.idle_current")
            self.resistor(names["IN+"], names["IN-"], idle)

    def _full(self) -> bool:
        controls = (ref for ref, part in self.state.net.parts.items() if part.role == "control")
        return all(self.state.positions.get(ref) == "high" for ref in controls)

    def _cut_off(self, ref: str, keys: list[str]) -> None:
        names = {key.split(":")[1]: key for key in keys}
        if self.power is None:
            return
        self.resistor(names["IN-"], names["OUT-"], INSIDE)
        self.circuit.cut_offs.append(
            CutOff(ref, names["IN+"], names["IN-"], names["OUT+"],
                   self.number("cut_off.trips_at"), self.contact)
        )  # fmt: skip

    def _control(self, ref: str, keys: list[str]) -> None:
        """The track between the outer lugs, the wiper at one of its ends or between them."""
        lugs = {key.split(":")[1]: key for key in keys}
        track = self.number("control.track")
        live = next((key for key in keys if self.state.model.terminal(key).mark == "live"), "")
        other = next(key for name, key in lugs.items() if name in "13" and key != live)
        live = live or lugs["1"]
        share = self._share(ref)
        self.resistor(live, lugs["2"], share * track)
        self.resistor(lugs["2"], other, (1 - share) * track)
        for part in self.state.model.by_role("across_resistor"):
            self._across(self.ends.get(part.ref, []), self.number("control.across"))

    def _share(self, ref: str) -> float:
        """Part of the track between live lug and wiper: least where its own leg asks for it."""
        stands = TRAVEL.get(self.state.positions.get(ref, ""))
        if stands is None:
            if self.power is None:
                return 0.5
            raise UnknownError(ref)
        return 1 - stands if self.state.facts.get("control_lower") else stands

    def _end(self, ref: str, keys: list[str]) -> None:
        """A resistor with one free leg, the other one joined."""
        self._across([*keys, *self.ends.get(ref, [])], self.number("control.end"))

    def _beside(self, ref: str, keys: list[str]) -> None:
        """A fan, a pilot light: what it looks like at its usual voltage.

        Where its current does not go with its voltage, and a control turns that, what it looks
        like at the output where the control stands.
        """
        role = self.state.net.parts[ref].role
        if self.power is None and role == "pilot_light":
            return  # an LED is dark for an ohmmeter
        turned = {self.state.positions.get(part.ref, "")
                  for part in self.state.model.by_role("control")}  # fmt: skip
        names = (f"dimmed.{DIMMED[one]}_{role}_resistance" for one in turned if one in DIMMED)
        own = f"{role}.likely_resistance"
        self._across(keys, self.number(next((n for n in names if n in self.state.facts), own)))

    def _pilot_dropper(self, ref: str, keys: list[str]) -> None:
        self._across(keys, self.number("pilot_light.dropper"))

    def _dropper(self, ref: str, keys: list[str]) -> None:
        self._across(keys, self.number("fan.dropper"))
