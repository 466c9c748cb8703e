"""The figures of what the current comes from: adapters, batteries, banks and sockets."""

from __future__ import annotations

from guidegen import kinds
from guidegen.spec.figures import Figure, PartKind, Table, Word, figure
from guidegen.spec.quantities import Quantity

_WATTS = ("0.05 W", "2000 W", "60 W")
_AMPS = ("10 mA", "200 A", "5 A")
_VOLTS = ("1 V", "60 V", "12 V")
#: How lead-acid batteries give less the faster they are drawn; others hardly do.
_PEUKERT = {
    "rated_time": figure(kinds.Hour, ("1 h", "120 h", "20 h"),
                          "Time of discharge that the capacity is rated for, of lead-acid",
                          default="20 h (common practice, from memory)"),
    "peukert": figure(kinds.Ratio, ("1", "1.6", "1.2"), "Peukert's exponent, of lead-acid",
                       default="1.2 ± 0.1 (from memory)"),
}  # fmt: skip


_CURVE = Table(
    {"voltage": Quantity(kinds.Volt, *_VOLTS), "charge": Quantity(kinds.Percent, "0 %", "100 %",
                                                                  "60 %")},
    "Discharge curve: voltage at the charge that is left; a curve of the chemistry, from memory,"
    " where there is none",
    ("13.0 V ± 0.1 V at 60 %", "12.4 V ± 0.1 V at 10 %"), least=2, rises=True,
)  # fmt: skip


def source_kinds() -> dict[str, PartKind]:
    """Kinds of supplies."""
    return {
        "adapter": PartKind(
            "an adapter",
            {
                "voltage": figure(kinds.VoltRating, _VOLTS, "Voltage on the label"),
                "power": figure(kinds.WattRating, _WATTS, "Power on the label"),
                "current": figure(kinds.AmpereRating, _AMPS, "Current on the label"),
                "highest_current": figure(
                    kinds.AmpereRating, _AMPS, "What it can give before it shuts off",
                    default="125 % (from memory)", of="current"),
            },
            {
                "overload": Word(("shuts off", "limits the current", "unknown"),
                                 "What it does at overload", default="unknown"),
                "plug": Word((), "Key of the connector that fits its plug", needed=False),
            },
        ),
        "battery": PartKind(
            "a battery",
            {
                "voltage": figure(kinds.VoltRating, _VOLTS, "Nominal voltage"),
                "full_voltage": figure(kinds.Volt, _VOLTS, "Voltage when full"),
                "empty_voltage": figure(kinds.Volt, _VOLTS, "Voltage when empty"),
                "capacity": figure(kinds.AmpereHour, ("0.5 Ah", "1000 Ah", "20 Ah"), "Capacity"),
                "usable": figure(kinds.Percent, ("10 %", "100 %", "90 %"),
                                  "Part of the capacity that may be used"),
                "highest_current": figure(kinds.AmpereRating, _AMPS, "Highest lasting current"),
                "short_circuit_current": figure(
                    kinds.AmpereRating, ("1 A", "20000 A", "500 A"), "Current into a short"),
                "pole": _pole("6 mm"),
                **_PEUKERT,
            },
            {"chemistry": Word(("li-ion", "lifepo4", "lead-acid"), "Chemistry")},
            tables={"curve": _CURVE},
        ),
        "bank": _bank(),
        "negotiated": PartKind(
            "a negotiated adapter",
            words={"plug": Word((), "Key of the connector that fits the plug of its trigger",
                                needed=False),
                   "trigger": Word((), "What asks for the profile", default="trigger cable")},
            tables={"profiles": Table(
                {"current": Quantity(kinds.AmpereRating, *_AMPS),
                 "voltage": Quantity(kinds.VoltRating, "5 V", "20 V", "20 V")},
                "Current at each voltage on its label",
                ("3 A at 5 V", "3.25 A at 20 V"), needed=True)},
        ),
        "vehicle": _vehicle(),
    }  # fmt: skip


def _pole(default: str) -> Figure:
    return figure(kinds.FineMetre, ("2 mm", "20 mm", "6 mm"), "Bolt of a pole, for its lug",
                  default=f"{default} (common practice, from memory)")  # fmt: skip


def _vehicle() -> PartKind:
    memory = "(ISO 16750-2, 12 V system, from memory)"
    return PartKind(
        "a vehicle's socket",
        {
            "voltage": figure(kinds.VoltRating, _VOLTS, "Nominal voltage"),
            "lowest_voltage": figure(kinds.Volt, _VOLTS, "Lowest voltage while it can be used",
                                      default=f"10.5 V {memory}"),
            "highest_voltage": figure(kinds.Volt, _VOLTS, "Highest voltage while it charges",
                                       default=f"16 V {memory}"),
            "cranking": figure(kinds.Volt, _VOLTS, "Lowest voltage while the engine starts",
                                default=f"6 V {memory}"),
            "jump_start": figure(kinds.Volt, _VOLTS, "Voltage for a minute while another vehicle"
                                  " starts it", default=f"24 V {memory}"),
            "load_dump": figure(kinds.Volt, _VOLTS, "Peak when its battery comes off while it"
                                 " charges", default=f"35 V {memory}"),
            "fuse": figure(kinds.AmpereRating, ("1 A", "30 A", "10 A"),
                            "Fuse of the socket, or of the plug where that is smaller"),
            "short_circuit_current": figure(
                kinds.AmpereRating, ("10 A", "20000 A", "500 A"), "Current into a short",
                default="500 A ± 50 % (from memory)"),
            "capacity": figure(kinds.AmpereHour, ("5 Ah", "1000 Ah", "50 Ah"),
                                "Capacity of the vehicle's battery",
                                default="45 Ah ± 30 % (from memory)"),
        },
        {"plug": Word((), "Key of the connector that fits its plug", needed=False)},
    )  # fmt: skip


def _bank() -> PartKind:
    return PartKind(
        "a battery bank",
        {
            "voltage": figure(kinds.VoltRating, _VOLTS, "Nominal voltage"),
            "empty_voltage": figure(kinds.Volt, _VOLTS, "Voltage when empty"),
            "rest": figure(kinds.Volt, _VOLTS, "Voltage at rest when full"),
            "absorption": figure(kinds.Volt, _VOLTS, "Voltage to which it is charged"),
            "equalising": figure(kinds.Volt, _VOLTS, "Voltage while it is equalised",
                                  needed=False),
            "capacity": figure(kinds.AmpereHour, ("5 Ah", "5000 Ah", "100 Ah"), "Capacity"),
            "usable": figure(kinds.Percent, ("10 %", "100 %", "50 %"),
                              "Part of the capacity that may be used"),
            "highest_current": figure(kinds.AmpereRating, ("1 A", "2000 A", "100 A"),
                                       "Highest lasting current"),
            "short_circuit_current": figure(
                kinds.AmpereRating, ("100 A", "50000 A", "3000 A"), "Current into a short"),
            "pole": _pole("8 mm"),
            **_PEUKERT,
        },
        {"chemistry": Word(("lead-acid",), "Chemistry", default="lead-acid")},
        tables={"curve": _CURVE},
    )  # fmt: skip
