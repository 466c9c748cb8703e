"""The figures of each kind of part: one table for the catalogue, own parts and the schema."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from guidegen import kinds
from guidegen.spec.body_sheets import body_kinds
from guidegen.spec.figures import Figure, PartKind, Series, Table, Word
from guidegen.spec.figures import figure as _figure
from guidegen.spec.quantities import Quantity
from guidegen.spec.rail_sheets import rail_kinds
from guidegen.spec.source_sheets import source_kinds


def _panel(hole: str, panel: str, behind: str, body: str) -> dict[str, Figure]:
    """What a part that sits in a wall needs of it; typical figures where its data sheet is mute."""
    figures = {
        "hole": (("2 mm", "60 mm", "12 mm"), "Hole in the wall: its diameter, or its width", hole),
        "panel": (("0.5 mm", "30 mm", "3 mm"), "Thickest wall that it clamps", panel),
        "behind": (("1 mm", "200 mm", "25 mm"), "Depth behind the wall, its lugs included", behind),
        "body": (("2 mm", "100 mm", "16 mm"), "Widest size behind the wall", body),
    }
    found = {
        name: _figure(kinds.FineMetre, limits, text,
                      default=f"{default} (common practice, from memory)")
        for name, (limits, text, default) in figures.items()
    }  # fmt: skip
    length = ("2 mm", "100 mm", "19 mm")
    text = "Length of the hole, where it is not round"
    return {**found, "hole_length": _figure(kinds.FineMetre, length, text, needed=False)}


_WATTS = ("0.05 W", "2000 W", "60 W")
_AMPS = ("10 mA", "200 A", "5 A")
_VOLTS = ("1 V", "60 V", "12 V")
# A part may be rated above what this project allows in use; above 150 V a rating is hardly one
# for direct current.
_RATED = ("1 V", "150 V", "32 V")
_OHMS = ("1 ohm", "10 Mohm", "10 kohm")
_INSULATION = ("40 °C", "250 °C", "70 °C")


_EFFICIENCY = Table(
    {"efficiency": Quantity(kinds.Percent, "20 %", "99 %", "94 %"),
     "input": Quantity(kinds.Volt, *_VOLTS),
     "output": Quantity(kinds.Volt, "0.5 V", "60 V", "12 V"),
     "load": Quantity(kinds.Percent, "0 %", "120 %", "50 %")},
    "Efficiency at an input voltage, an output voltage and a share of the usable current; these"
    " points replace the figure 'efficiency', whose ± holds for each of them",
    ("94 % at 19 V to 12 V, 50 %",), replaces="efficiency",
)  # fmt: skip


_CURRENTS = Table(
    {"current": Quantity(kinds.Ampere, "0.1 mA", "5 A", "50 mA"),
     "voltage": Quantity(kinds.Volt, *_VOLTS)},
    "Current at several voltages; without them it goes with the voltage",
    ("50 mA at 7 V", "120 mA at 13.2 V"), least=2, rises=True,
)  # fmt: skip


@cache
def part_kinds() -> Mapping[str, PartKind]:
    """All kinds of parts."""
    return _electrical() | rail_kinds() | _control() | body_kinds()


def _tape() -> PartKind:
    return PartKind(
        "an LED tape",
        {
            "voltage": _figure(kinds.VoltRating, _VOLTS, "Voltage on the label"),
            "highest_voltage": _figure(
                kinds.Volt, ("1 V", "60 V", "12.6 V"), "Highest voltage it may get",
                default="105 % (common practice, from memory)", of="voltage"),
            "power": _figure(
                kinds.WattPerMetre, ("0.5 W/m", "60 W/m", "9.6 W/m ± 10 %"), "Power per metre"),
            "increment": _figure(kinds.FineMetre, ("2 mm", "500 mm", "25 mm"), "Cut increment"),
            "leds_per_group": _figure(kinds.Count, ("1", "24", "3"), "LEDs in one group"),
            "forward_voltage": _figure(
                kinds.Volt, ("1.5 V", "4 V", "2.85 V ± 4 %"), "Forward voltage of one LED"),
            "chip_dropout": _figure(
                kinds.Volt, ("0.1 V", "5 V", "1.5 V ± 20 %"),
                "Of a constant-current tape: voltage that the chip of a group needs to hold the"
                " current; a tape with resistors has none", needed=False),
            "line_regulation": _figure(
                kinds.PerVolt, ("0.05 %/V", "2 %/V", "0.5 %/V"),
                "Of a constant-current tape: by how much the current grows with the voltage",
                needed=False),
            "flux": _figure(
                kinds.LumenPerMetre, ("10 lm/m", "6000 lm/m", "850 lm/m ± 15 %"),
                "Luminous flux per metre at the label's voltage"),
            "rendering": _figure(kinds.Count, ("50", "100", "95"), "Colour rendering index"),
            "colour_temperature": _figure(
                kinds.Kelvin, ("1500 K", "20000 K", "4000 K"), "Colour temperature",
                needed=False),
            "track_resistance": _figure(
                kinds.OhmPerMetre, ("1 mohm/m", "2 ohm/m", "160 mohm/m ± 20 %"),
                "Resistance of one track, per metre"),
            "width": _figure(kinds.FineMetre, ("2 mm", "50 mm", "8 mm"), "Width of the tape"),
            "thickness": _figure(
                kinds.FineMetre, ("0.1 mm", "20 mm", "1.6 mm"), "Thickness over the LEDs",
                default="1.6 mm ± 0.4 mm (common practice, from memory)"),
            "reel": _figure(kinds.Metre, ("0.1 m", "100 m", "5 m"), "Length on a reel"),
        },
    )  # fmt: skip


def _electrical() -> dict[str, PartKind]:
    rated = {
        "voltage": _figure(kinds.VoltRating, _RATED, "Rated voltage for direct current"),
        "current": _figure(kinds.AmpereRating, _AMPS, "Rated current"),
    }
    return source_kinds() | {
        "tape": _tape(),
        "connector": PartKind(
            "a connector", {**rated, **_panel("8 mm", "4 mm", "25 mm", "14 mm")},
            {
                "exposed": Word(("shrouded", "pin"), "Whether live metal can be touched"),
                "positive": Word(("centre", "sleeve", "marked"), "The contact that carries +",
                                 needed=False),
            }),
        "conductor": PartKind(
            "a conductor",
            {"cores": _figure(kinds.Count, ("1", "12", "2"), "Number of cores"),
             "temperature": _figure(kinds.Celsius, _INSULATION, "Highest temperature"),
             "coil": _figure(kinds.LongMetre, ("0.5 m", "500 m", "10 m"), "Length in a coil",
                             needed=False)},
            {"build": Word(("bare solid", "flexible class 5", "solid insulated"), "Build"),
             "insulation": Word((), "Insulation, or none")},
            {"areas": Series(
                Quantity(kinds.ConductorArea, "0.01 mm²", "120 mm²", "0.75 mm²"),
                "Sizes in which it is sold", needed=False)},
        ),
        "fuse": PartKind(
            "a fuse",
            {"voltage": _figure(kinds.VoltRating, _RATED, "Rated voltage for direct current"),
             "breaking": _figure(kinds.AmpereRating, ("1 A", "100000 A", "35 A"),
                                 "Breaking capacity"),
             "carries": _figure(kinds.Ratio, ("1", "2", "1.5"),
                                "Times its rating that it carries for an hour or more"),
             "opens": _figure(kinds.Ratio, ("1", "5", "2.1"),
                              "Times its rating by which it must open")},
            {"series": Word(("IEC 60127", "blade", "bolt"), "Series of ratings"),
             "ratings": Word((), "Where the ratings and gates come from")},
            tables={"gates": Table(
                {"time": Quantity(kinds.Second, "0.001 s", "10000 s", "0.5 s"),
                 "multiple": Quantity(kinds.Ratio, "1", "100", "3.5")},
                "Longest time until it opens, at a multiple of its rating; one of an hour at the"
                " figure 'opens' where there is none", ("0.5 s at 3.5",))},
        ),
        "switch": PartKind(
            "a switch", {**rated, **_panel("12.2 mm", "5 mm", "35 mm", "20 mm")}),
        "fan": PartKind(
            "a fan",
            {"voltage": _figure(kinds.VoltRating, _VOLTS, "Rated voltage"),
             "lowest_voltage": _figure(kinds.Volt, _VOLTS, "Voltage from which it starts"),
             "highest_voltage": _figure(kinds.Volt, _VOLTS, "Highest voltage it may get"),
             "current": _figure(kinds.AmpereRating, ("5 mA", "5 A", "0.1 A"),
                                "Current at its rated voltage"),
             "width": _figure(kinds.FineMetre, ("10 mm", "200 mm", "40 mm"), "Side of its frame"),
             "depth": _figure(kinds.FineMetre, ("3 mm", "60 mm", "10 mm"), "Depth"),
             "hole": _figure(kinds.FineMetre, ("8 mm", "190 mm", "38 mm"),
                             "Opening in the wall for its blades"),
             "hole_pitch": _figure(kinds.FineMetre, ("8 mm", "190 mm", "32 mm"),
                                   "From screw hole to screw hole")},
            tables={"current_points": _CURRENTS}),
        "pilot_light": PartKind(
            "a pilot light",
            {"voltage": _figure(kinds.VoltRating, _VOLTS, "Rated voltage"),
             "lowest_voltage": _figure(kinds.Volt, _VOLTS, "Voltage from which it is seen"),
             "highest_voltage": _figure(kinds.Volt, _VOLTS, "Highest voltage it may get"),
             "current": _figure(kinds.Ampere, ("0.5 mA", "0.5 A", "15 mA"),
                                "Current at its rated voltage"),
             **_panel("8 mm", "6 mm", "25 mm", "11 mm")},
            tables={"current_points": _CURRENTS}),
        "cut_off": PartKind(
            "a cut-off",
            {**rated, "trips_at": _figure(kinds.Volt, _VOLTS, "Voltage at which it trips")}),
        "thermal_cut_out": PartKind(
            "a thermal cut-out",
            {**rated,
             "opens_at": _figure(kinds.Celsius, ("30 °C", "150 °C", "60 °C ± 3 °C"),
                                 "Temperature at which it opens"),
             "closes_at": _figure(kinds.Celsius, ("0 °C", "140 °C", "45 °C ± 8 °C"),
                                  "Temperature at which it closes again, by itself"),
             "width": _figure(kinds.Metre, ("3 mm", "100 mm", "26 mm"), "Width, its ears included"),
             "height": _figure(kinds.Metre, ("3 mm", "100 mm", "16 mm"), "Height"),
             "depth": _figure(kinds.Metre, ("1 mm", "60 mm", "20 mm"), "Depth, its lugs included"),
             }),
    }  # fmt: skip


def _regulator() -> PartKind:
    limit = ("10 mA", "100 A", "0.2 A")
    return PartKind(
        "a regulator",
        {
            "input_low": _figure(kinds.VoltRating, _VOLTS, "Lowest input voltage"),
            "input_high": _figure(kinds.VoltRating, _VOLTS, "Highest input voltage"),
            "output_low": _figure(kinds.VoltRating, ("0.5 V", "60 V", "1.25 V"),
                                  "Lowest output voltage", needed=False),
            "output_high": _figure(kinds.VoltRating, _VOLTS, "Highest output voltage"),
            "current": _figure(kinds.AmpereRating, _AMPS, "Usable lasting current"),
            "dropout": _figure(kinds.Volt, ("10 mV", "10 V", "1.5 V"),
                               "Dropout voltage; of a step-up stage what it loses while it only"
                               " passes its input through"),
            "efficiency": _figure(kinds.Percent, ("20 %", "99 %", "92 % ± 3 %"), "Efficiency"),
            "reference": _figure(kinds.Volt, ("100 mV", "10 V", "1.23 V ± 2 %"),
                                 "Reference voltage of the feedback divider"),
            "fixed_resistor": _figure(kinds.OhmRating, _OHMS,
                                      "The divider's resistor that is not the trimmer"),
            "trimmer": _figure(kinds.OhmRating, _OHMS, "Whole resistance of the trimmer"),
            "trimmer_turns": _figure(kinds.Count, ("1", "50", "25"), "Turns of the trimmer"),
            "limit_low": _figure(kinds.Ampere, limit, "Lowest current limit", needed=False),
            "limit_high": _figure(kinds.Ampere, limit, "Highest current limit", needed=False),
            "idle_current": _figure(kinds.Ampere, ("1 mA", "1 A", "20 mA"), "Idle current",
                                    default="20 mA ± 10 mA (from memory)"),
            "width": _figure(kinds.Metre, ("5 mm", "500 mm", "45 mm"), "Width"),
            "height": _figure(kinds.Metre, ("5 mm", "500 mm", "65 mm"), "Height"),
            "depth": _figure(kinds.Metre, ("2 mm", "200 mm", "25 mm"), "Depth"),
            "highest_ambient": _figure(kinds.Celsius, ("20 °C", "125 °C", "50 °C"),
                                       "Highest temperature of the air around it"),
        },
        {
            "topology": Word(("step-down", "step-up"), "Topology"),
            "current_at": Word(("output", "input"),
                               "Where its current is rated; many step-up modules are rated at"
                               " their input", needed=False),
            "trimmer_leg": Word(("upper", "lower"), "Leg of the divider with the trimmer"),
            "raises": Word(("clockwise", "anticlockwise"), "Turn that raises the output"),
        },
        tables={"efficiency_points": _EFFICIENCY},
    )  # fmt: skip


def _pulse_width() -> PartKind:
    return PartKind(
        "a pulse-width stage",
        {
            "voltage_low": _figure(kinds.VoltRating, _VOLTS, "Lowest supply voltage"),
            "voltage": _figure(kinds.VoltRating, _RATED, "Highest supply voltage"),
            "current": _figure(kinds.AmpereRating, _AMPS, "Highest lasting current"),
            "frequency": _figure(kinds.Hertz, ("10 Hz", "200 kHz", "20 kHz ± 25 %"),
                                 "Pulses a second"),
            "highest_duty": _figure(kinds.Percent, ("50 %", "100 %", "100 %"),
                                    "Share of the time that it is on at the high end"),
            "resistance": _figure(kinds.MilliOhm, ("0.1 mohm", "1 ohm", "15 mohm ± 50 %"),
                                  "Resistance from input to output while it is on"),
            "idle_current": _figure(kinds.Ampere, ("1 mA", "1 A", "15 mA"), "Idle current",
                                    default="15 mA ± 10 mA (from memory)"),
            "track": _figure(kinds.OhmRating, _OHMS, "Track of the control that it is made for"),
            "track_voltage": _figure(kinds.Volt, ("0.5 V", "15 V", "5 V ± 10 %"),
                                     "Voltage across that track"),
            "width": _figure(kinds.Metre, ("5 mm", "500 mm", "40 mm"), "Width"),
            "height": _figure(kinds.Metre, ("5 mm", "500 mm", "55 mm"), "Height"),
            "depth": _figure(kinds.Metre, ("2 mm", "200 mm", "20 mm"), "Depth"),
            "highest_ambient": _figure(kinds.Celsius, ("20 °C", "125 °C", "50 °C"),
                                       "Highest temperature of the air around it"),
        },
        {
            "switches": Word(("negative", "positive"), "Pole that it opens between pulses"),
            "raises": Word(("clockwise", "anticlockwise"),
                           "Turn that makes more light, lugs 1, 2, 3 at its pads in their order"),
        },
    )  # fmt: skip


def _control() -> dict[str, PartKind]:
    ohms = Quantity(kinds.OhmRating, *_OHMS)
    return {
        "regulator": _regulator(),
        "pulse_width": _pulse_width(),
        "potentiometer": PartKind(
            "a potentiometer",
            {"tolerance": _figure(kinds.Percent, ("1 %", "30 %", "20 %"),
                                  "Tolerance of the track"),
             "power": _figure(kinds.Watt, ("0.01 W", "5 W", "0.1 W"), "Rated power"),
             **_panel("7.5 mm", "3.5 mm", "22 mm", "18 mm"),
             "shaft": _figure(kinds.FineMetre, ("2 mm", "10 mm", "6 mm"), "Diameter of the shaft",
                              default="6 mm (common practice, from memory)")},
            {"law": Word(("linear", "logarithmic"), "Law of the track", default="linear")},
            {"tracks": Series(ohms, "Tracks in which it is sold")},
        ),
        "resistor": PartKind(
            "a resistor",
            {"tolerance": _figure(kinds.Percent, ("0.1 %", "20 %", "1 %"), "Tolerance"),
             "power": _figure(kinds.Watt, ("0.05 W", "50 W", "0.25 W"), "Rated power")},
            {"series": Word(("E12", "E24", "E96"), "Series of preferred values")},
        ),
    }  # fmt: skip
