"""Conductors against the standards' own figures."""

import pytest

from guidegen.calc import drops, flats, tables, wire
from guidegen.errors import RangeError
from guidegen.spec.parts import catalogue

MM2 = 1e-6

# ASTM B258 diameters and areas, resistance by ρ = 1.7241e-8 Ω·m; agrees with the copper wire
# tables of NBS Handbook 100 to their four digits, which is the tolerance.
AWG = """4,5.1894,21.1506,0.8152 6,4.1154,13.3018,1.2961 8,3.2636,8.3656,2.0609
10,2.5882,5.2612,3.2770 12,2.0525,3.3088,5.2107 14,1.6277,2.0809,8.2853 16,1.2908,1.3087,13.174
18,1.0237,0.82305,20.948 20,0.8118,0.51762,33.308 22,0.6438,0.32553,52.962
24,0.5106,0.20473,84.213 26,0.4049,0.12876,133.90 28,0.3211,0.08098,212.92
30,0.2546,0.05093,338.55"""


@pytest.mark.parametrize("line", AWG.split())
def test_awg_against_astm_b258(line):
    gauge, diameter, area, resistance = (float(text) for text in line.split(","))
    assert wire.awg_diameter(gauge=gauge) * 1e3 == pytest.approx(diameter, rel=5e-4)
    assert wire.awg_area(gauge=gauge) / MM2 == pytest.approx(area, rel=5e-4)
    found = wire.resistance_per_metre(area=area * MM2, build="bare solid")
    assert found * 1e3 == pytest.approx(resistance, rel=5e-4)


def test_awg_ends_are_exact():
    # ASTM B258: 4/0 is 0.4600 in, 36 AWG 0.0050 in, both by definition.
    assert wire.awg_diameter(gauge=-3) == pytest.approx(0.4600 * 0.0254, rel=1e-9)
    assert wire.awg_diameter(gauge=36) == pytest.approx(0.0050 * 0.0254, rel=1e-9)


# IEC 60228 tables 1 and 3, plain copper, 20 °C.
@pytest.mark.parametrize(
    ("area", "solid", "flexible"),
    [(0.5, 36.0, 39.0), (0.75, 24.5, 26.0), (1, 18.1, 19.5), (1.5, 12.1, 13.3),
     (2.5, 7.41, 7.98), (4, 4.61, 4.95), (6, 3.08, 3.30), (10, 1.83, 1.91),
     (16, 1.15, 1.21)],
)  # fmt: skip
def test_metric_resistance_against_iec_60228(area, solid, flexible):
    for build, value in (("bare solid", solid), ("solid insulated", solid),
                         ("flexible class 5", flexible)):  # fmt: skip
        found = wire.resistance_per_metre(area=area * MM2, build=build)
        assert found * 1e3 == pytest.approx(value, rel=1e-12)


# DIN VDE 0295, class 5, plain copper.
@pytest.mark.parametrize(("area", "value"), [(0.14, 138), (0.22, 99), (0.25, 79), (0.34, 56)])
def test_small_sizes_against_din_vde_0295(area, value):
    found = wire.resistance_per_metre(area=area * MM2, build="flexible class 5")
    assert found * 1e3 == pytest.approx(value, rel=1e-12)


def test_stranded_awg_against_the_building_code():
    # NFPA 70 chapter 9 table 8 at 75 °C, Ω/kft (from memory), 7 strands 18 to 8 AWG; 0.5 %.
    printed = {18: 7.95, 16: 4.99, 14: 3.14, 12: 1.98, 10: 1.24, 8: 0.778}
    for gauge, value in printed.items():
        cold = wire.resistance_per_metre(area=wire.awg_area(gauge=gauge), build="flexible class 5")
        hot = drops.copper_resistance_at(
            resistance_20=cold, temperature_coefficient=0.00393, temperature=348.15
        )
        assert hot * 304.8 == pytest.approx(value, rel=6e-3)


def test_copper_when_warm():
    # 50 Ω at 20 °C to 100 °C: 65.72 Ω, common textbook exercise (common practice, no source).
    found = drops.copper_resistance_at(
        resistance_20=50, temperature_coefficient=0.00393, temperature=373.15
    )
    assert found == pytest.approx(65.72, abs=0.01)


def test_drop_of_a_lead():
    # IEC 60228, 1.0 mm² class 5: 24 V, 5 A, 3 m one way: 0.585 V; at 60 °C × 1.1572 = 0.677 V.
    per_metre = wire.resistance_per_metre(area=1.0 * MM2, build="flexible class 5")
    drop = drops.lead_drop(current=5, resistance_per_metre=per_metre, length=3)
    assert drop == pytest.approx(0.585, abs=1e-9)
    assert drops.drop_share(drop=drop, voltage=24) == pytest.approx(0.0244, abs=5e-5)
    assert drops.wire_loss(
        current=5, resistance=2 * drops.wire_resistance(resistance_per_metre=per_metre, length=3)
    ) == pytest.approx(2.925, abs=1e-9)
    hot = drops.copper_resistance_at(
        resistance_20=per_metre, temperature_coefficient=0.00393, temperature=333.15
    )
    assert drops.lead_drop(current=5, resistance_per_metre=hot, length=3) == pytest.approx(
        0.677, abs=5e-4
    )


# 33 CFR 183.425 table 5, ambient 30 °C: 60, 75, 80, 90, 105, 125, 200 °C.
BOAT = """18,10,10,15,20,20,25,25 16,15,15,20,25,25,30,35 14,20,20,25,30,35,40,45
12,25,25,35,40,45,50,55 10,40,40,50,55,60,70,70 8,55,65,70,70,80,90,100
6,80,95,100,100,120,125,135 4,105,125,130,135,160,170,180"""
COLUMNS = (60, 75, 80, 90, 105, 125, 200)


@pytest.mark.parametrize("line", BOAT.split())
def test_ampacity_against_33_cfr_183(line):
    gauge, *amperes = (float(text) for text in line.split(","))
    for column, value in zip(COLUMNS, amperes, strict=True):
        found = wire.ampacity(
            area=wire.awg_area(gauge=gauge),
            insulation_temperature=column + 273.15,
            ambient=303.15,
        )
        assert found == pytest.approx(value, rel=1e-9)


# 33 CFR 183.425: factors at 50 °C for the columns 60 to 125 °C, printed to two digits; it cuts
# 0.856 down to 0.85.
@pytest.mark.parametrize(
    ("column", "factor"),
    [(60, 0.58), (75, 0.75), (80, 0.78), (90, 0.82), (105, 0.85), (125, 0.89)],
)
def test_ampacity_in_hot_air_against_33_cfr_183(column, factor):
    given = {"area": wire.awg_area(gauge=12), "insulation_temperature": column + 273.15}
    ratio = wire.ampacity(**given, ambient=323.15) / wire.ampacity(**given, ambient=303.15)
    assert ratio == pytest.approx(factor, abs=0.007)


# NFPA 70 (2011) 310.15(B), ambient factors for 60/75/90 °C insulation at the band tops.
@pytest.mark.parametrize(
    ("ambient", "factors"),
    [(35, (0.91, 0.94, 0.96)), (40, (0.82, 0.88, 0.91)), (45, (0.71, 0.82, 0.87)),
     (50, (0.58, 0.75, 0.82)), (55, (0.41, 0.67, 0.76))],
)  # fmt: skip
def test_ambient_factors_against_the_building_code(ambient, factors):
    for column, factor in zip((60, 75, 90), factors, strict=True):
        given = {"area": wire.awg_area(gauge=10), "insulation_temperature": column + 273.15}
        ratio = wire.ampacity(**given, ambient=ambient + 273.15) / wire.ampacity(
            **given, ambient=303.15
        )
        assert ratio == pytest.approx(factor, abs=0.0055)


def test_building_wire_table_against_iec_60364_5_52():
    # PVC 70 °C, 30 °C: methods B2 and C, three loaded, as quoted in an equipment manual.
    assert list(tables.building_ampacities("B2", 3).values()) == [15, 20, 27, 34, 46]
    assert list(tables.building_ampacities("C", 3).values()) == [17.5, 24, 32, 41, 57]
    assert tables.building_ampacities("C", 2) == {1.5 * MM2: 19.5}


def test_below_the_table_an_estimate_stays_below_a_finer_rule():
    # Chassis wiring in the old handbooks lets 16 AWG carry 22 A and 18 AWG 16 A (from memory):
    # an ampacity for good must stay under that, and above power transmission's cmil/700.
    for gauge, least in ((20, 1.5), (22, 0.92), (24, 0.58)):
        found = wire.ampacity(
            area=wire.awg_area(gauge=gauge), insulation_temperature=343.15, ambient=303.15
        )
        assert least < found < 11


def test_no_ampacity_beyond_the_table():
    with pytest.raises(RangeError, match=r"area in mm² = 25 is outside up to 21.15 mm²"):
        wire.ampacity(area=25 * MM2, insulation_temperature=343.15, ambient=303.15)


# --- flat conductors ----------------------------------------------------------------------------
# DIN 43671, from memory: current of bare copper bars that stand free on edge in air of 35 °C, at
# 65 °C. One that lies flat on a board gives off heat from half of its surface, or a little more.
BARS = {(12, 2): 108, (15, 2): 128, (15, 3): 162, (20, 2): 162, (20, 3): 204, (20, 5): 274}


@pytest.mark.parametrize(("size", "free"), BARS.items())
def test_a_bar_on_a_board_carries_less_than_a_free_one(size, free):
    """Half the surface at the same coefficient would be 0.71 of it; without radiation, and below
    the board, it is about half: on the safe side, and no worse than 0.4."""
    found = flats.flat_ampacity(width=size[0] / 1e3, thickness=size[1] / 1e3, resistivity=1.7241e-8,
                                coefficient=0.00393, temperature=338.15,
                                ambient=308.15)  # fmt: skip
    assert 0.4 * free < found < 0.71 * free


def test_foil_carries_less_than_a_trace_of_a_printed_board():
    """IPC-2221, outer traces, from memory: I = 0.048 ΔT^0.44 A^0.725, A in square mils.

    A trace has the board's other face to give off heat; foil of 10 mm x 0.035 mm, 50 K over air.
    """
    square_mils = 10 * 0.035 / 0.0254**2
    trace = 0.048 * 50**0.44 * square_mils**0.725
    found = flats.flat_ampacity(width=0.01, thickness=35e-6, resistivity=1.7241e-8,
                                coefficient=0.00393, temperature=353.15,
                                ambient=303.15)  # fmt: skip
    assert 0.2 * trace < found < trace


def test_resistance_of_copper_by_its_standard():
    """IEC 60028: a metre of 1 mm² has 1/58 Ω at 20 °C."""
    found = flats.flat_resistance(resistivity=1.7241e-8, area=1e-6)
    assert found == pytest.approx(1 / 58, rel=1e-4)


def test_resistivities_of_the_catalogue():
    """Copper by IEC 60028; CuZn37 15 to 16 MS/m by handbooks (from memory)."""
    ranges = {"copper": (1 / 58.01e6, 1 / 57.99e6), "brass": (1 / 16e6, 1 / 15e6)}
    parts = [*catalogue("busbar"), *catalogue("foil")]
    assert {part.words["metal"] for part in parts} == set(ranges)
    for part in parts:
        low, high = ranges[part.words["metal"]]
        assert low <= part["resistivity"].si <= high, part.key


def test_warm_air_leaves_a_bar_nothing():
    with pytest.raises(RangeError):
        flats.flat_ampacity(width=0.01, thickness=0.002, resistivity=1.7241e-8,
                            coefficient=0.00393, temperature=313.15, ambient=313.15)  # fmt: skip


# Overall diameter of insulated cores, least and greatest in mm: EN 50525-2-31, H05V-K up to 1 mm²,
# H07V-K above, from memory.
OVERALL = {0.5: (2.1, 2.5), 0.75: (2.2, 2.7), 1.0: (2.4, 2.8), 1.5: (2.8, 3.4), 2.5: (3.4, 4.1),
           4.0: (3.9, 4.8), 6.0: (4.4, 5.3)}  # fmt: skip


@pytest.mark.parametrize("area", OVERALL)
def test_a_sleeve_slips_over_the_thickest_core_and_grips_the_thinnest(area):
    least, most = OVERALL[area]
    bore = wire.sleeve_bore(area * MM2, True) * 1e3
    assert bore > most
    assert bore / 2 <= least  # 2 to 1


def test_a_sleeve_for_bare_wire_grips_it():
    for area in (0.5, 0.75, 1.5):
        bore = wire.sleeve_bore(area * MM2, False)
        assert bore / 2 <= wire.round_diameter(area * MM2) < bore
