"""The figures of what a body is made of and held by: sheets, bars, films, inserts, hardware."""

from __future__ import annotations

from guidegen import kinds
from guidegen.measures import Coverage
from guidegen.spec.figures import PartKind, Series, Word, figure
from guidegen.spec.quantities import Quantity

_ROLES = ("fuse_holder", "screw", "machine_screw", "standoff", "clip", "sleeve", "knob", "foot",
          "washer", "grommet", "cable_tie", "insulation", "plate", "junction", "guard",
          "pad", "adhesive")  # fmt: skip


def body_kinds() -> dict[str, PartKind]:
    """Kinds of parts of the body, and what holds it together."""
    length = Quantity(kinds.Metre, "10 mm", "10 m", "1200 mm")
    thickness = Quantity(kinds.FineMetre, "0.5 mm", "50 mm", "6 mm")
    density = figure(kinds.KilogramPerCubicMetre, ("100 kg/m³", "9000 kg/m³", "750 kg/m³"),
                      "Density")  # fmt: skip
    conducting = Word(("yes", "no"), "Whether it conducts")
    sheet = {
        "conductivity": figure(kinds.WattPerMetreKelvin,
                                ("0.01 W/(m K)", "400 W/(m K)", "0.12 W/(m K)"),
                                "Thermal conductivity"),
        "density": density,
        "emissivity": figure(kinds.Ratio, ("0.02", "1", "0.9"), "Emissivity"),
        "transmittance": figure(kinds.Percent, ("1 %", "100 %", "70 % ± 5 %"),
                                 "Transmittance of a clear or diffusing sheet", needed=False),
        "highest_temperature": figure(kinds.Celsius, ("40 °C", "300 °C", "70 °C"),
                                       "Highest lasting temperature"),
        "expansion": figure(kinds.PerKelvin, ("1e-6 /K", "200e-6 /K", "70e-6 /K"),
                             "Thermal expansion"),
    }  # fmt: skip
    section = {
        "width": figure(kinds.FineMetre, ("3 mm", "200 mm", "25 mm"), "Width of the section"),
        "thickness": figure(kinds.FineMetre, ("0.5 mm", "100 mm", "12 mm"),
                             "Thickness of the section"),
        "density": density,
    }  # fmt: skip
    return {
        "sheet": PartKind(
            "a sheet", sheet,
            {"material": Word(("mdf", "plywood", "acrylic", "aluminium"), "Material"),
             "grain": Word(("yes", "no"), "Whether its direction counts", default="no"),
             "conducting": conducting},
            {"thicknesses": Series(thickness, "Thicknesses in which it is sold"),
             "sizes": Series(length, "Sizes in which it is sold", pairs=True)},
        ),
        "bar": PartKind(
            "a bar", section,
            {"material": Word(("softwood", "hardwood", "aluminium", "laminate"), "Material"),
             "section": Word(("rectangle", "round"), "Section; a round one is as wide as thick",
                             default="rectangle"),
             "conducting": conducting},
            {"lengths": Series(length, "Lengths in which it is sold")},
        ),
        "insert": PartKind(
            "a threaded insert",
            {"hole": figure(kinds.FineMetre, ("2 mm", "40 mm", "8 mm"), "Hole it goes into"),
             "length": figure(kinds.FineMetre, ("3 mm", "60 mm", "12 mm"),
                               "Length, its plate included"),
             "plate": figure(kinds.FineMetre, ("4 mm", "100 mm", "19 mm"),
                              "Of a nut that lies between layers, diameter or side of its plate",
                              needed=False),
             "plate_thickness": figure(kinds.FineMetre, ("0.5 mm", "30 mm", "1.5 mm"),
                                        "Thickness of that plate", needed=False)},
            {"thread": Word((), "Thread"),
             "plate_shape": Word(("round", "square"), "Shape of that plate", default="round"),
             "prongs": Word(("yes", "no"), "Whether prongs keep it from turning", default="no")},
        ),
        "coat": PartKind(
            "a coat of paint",
            {"coats": figure(kinds.Count, ("1", "6", "2"), "Number of coats"),
             "drying": figure(kinds.Hour, ("0.1 h", "100 h", "4 h"), "Drying time a coat"),
             "coverage": figure(Coverage, ("1 m²/l", "40 m²/l", "10 m²/l ± 20 %"),
                                 "Area that a litre covers once")},
            {"binder": Word(("water", "solvent", "drying oil"), "What it dries from",
                            default="water")},
        ),
        "film": PartKind(
            "a film",
            {"width": figure(kinds.FineMetre, ("5 mm", "1000 mm", "50 mm"), "Width on the roll"),
             "emissivity": sheet["emissivity"],
             "highest_temperature": sheet["highest_temperature"]},
            {"conducting": conducting,
             "rating": Word((), "What a substitute must reach")},
        ),
        "hardware": PartKind(
            "a piece of hardware",
            {name: figure(kinds.FineMetre, ("0.2 mm", "500 mm", "16 mm"), text, needed=False)
             for name, text in (("length", "Length"), ("diameter", "Diameter of the thread"),
                                ("head", "Diameter of the head"), ("hole", "Hole it goes into"),
                                ("width", "Width"), ("height", "Height"), ("depth", "Depth"),
                                ("stud", "Diameter of its studs"),
                                ("panel", "Thickest wall that it clamps"),
                                ("behind", "Depth behind the wall, its lugs included"),
                                ("body", "Widest size behind the wall"))}
            | {"pack": figure(kinds.Count, ("1", "1000", "100"), "Pieces in a pack", needed=False),
               "roll": figure(kinds.LongMetre, ("0.5 m", "100 m", "10 m"), "Length on a roll",
                              needed=False),
               "temperature": figure(kinds.Celsius, ("40 °C", "300 °C", "80 °C"),
                                     "Warmest place that it bears", needed=False)},
            {"rating": Word((), "What a substitute must reach"),
             "role": Word(_ROLES, "What it is used as")},
        ),
        "consumable": PartKind("a consumable", {}, {
            "rating": Word((), "What a substitute must reach"),
            "unit": Word((), "What it is counted in", needed=False)}),
    }  # fmt: skip
