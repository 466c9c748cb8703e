"""The figures of flat conductors that rails are made of: bars and self-adhesive foil."""

from __future__ import annotations

from guidegen import kinds
from guidegen.spec.figures import PartKind, Series, Word, figure
from guidegen.spec.quantities import Quantity


def rail_kinds() -> dict[str, PartKind]:
    """Kinds of flat conductors."""
    flat = {
        "resistivity": figure(kinds.OhmMetre,
                              ("0.01 ohm mm²/m", "0.2 ohm mm²/m", "0.017241 ohm mm²/m"),
                              "Resistivity at 20 °C",
                              default="0.017241 ohm mm²/m (IEC 60028, 100 % IACS)"),
        "coefficient": figure(kinds.PerKelvin, ("500e-6 /K", "5000e-6 /K", "3930e-6 /K"),
                              "Rise of the resistance by a kelvin, at 20 °C",
                              default="3930e-6 /K (IEC 60028, from memory)"),
        "temperature": figure(kinds.Celsius, ("40 °C", "150 °C", "80 °C"),
                              "Highest temperature, by what it lies on and what covers it",
                              default="80 °C (from memory)"),
        "current": figure(kinds.AmpereRating, ("0.1 A", "500 A", "20 A"),
                          "Lasting current by its data sheet, in place of the estimate",
                          needed=False),
    }  # fmt: skip
    metal = {"metal": Word(("copper", "brass"), "Metal; both take soft solder")}
    length = Quantity(kinds.Metre, "10 mm", "10 m", "1000 mm")
    return {
        "busbar": PartKind(
            "a bar that conducts",
            {"width": figure(kinds.FineMetre, ("3 mm", "60 mm", "10 mm"), "Width"),
             "thickness": figure(kinds.ThinMetre, ("0.3 mm", "10 mm", "2 mm"), "Thickness"),
             **flat},
            metal,
            {"lengths": Series(length, "Lengths in which it is sold")},
        ),
        "foil": PartKind(
            "a foil that conducts",
            {"width": figure(kinds.FineMetre, ("2 mm", "100 mm", "10 mm"), "Width on the roll"),
             "thickness": figure(kinds.ThinMetre, ("0.01 mm", "0.3 mm", "0.035 mm"),
                                 "Thickness of the metal, adhesive apart"),
             **flat},
            metal,
        ),
    }  # fmt: skip
