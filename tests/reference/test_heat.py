"""Heat against textbook examples, a library of correlations, and finite differences."""

import math

import numpy as np
import pytest

from guidegen.calc import air, convection, heat

ht = pytest.importorskip("ht", reason="the library of correlations is not installed")


def test_air_against_incropera_table_a4():
    # Incropera, table A.4, 300 K: ρ 1.1614, kinematic viscosity 15.89e-6, k 26.3e-3, α 22.5e-6,
    # Pr 0.707 (from memory). Its density is that of 1 bar, ours of 1 atm: 1.3 % apart.
    assert air.density(300) == pytest.approx(1.1614 * 1.01325, rel=2e-3)
    assert air.viscosity(300) == pytest.approx(15.89e-6, rel=0.016)
    assert air.diffusivity(300) == pytest.approx(22.5e-6, rel=0.016)
    assert air.conductivity(300) == pytest.approx(26.3e-3, rel=3e-3)
    assert air.prandtl(300) == pytest.approx(0.707, rel=3e-3)


def test_glass_fire_screen():
    # Incropera, example 9.2: 0.71 m high at 505 K in 296 K, air at 400 K: Ra 1.813e9, Nu 147.
    rayleigh = 9.8 * (1 / 400) * 209 * 0.71**3 / (26.4e-6 * 38.3e-6)
    assert rayleigh == pytest.approx(1.813e9, rel=1e-3)
    assert convection.churchill_chu_vertical(rayleigh=rayleigh, prandtl=0.690) == pytest.approx(
        147, abs=0.5
    )


# Çengel, example 9-2: plate 0.6 × 0.6 m, 90 °C in 30 °C; upright 113.4, up 31.8 (a power law
# past its stated end: see below), down 15.87.
def test_plate_in_three_positions():
    upright = convection.churchill_chu_vertical(rayleigh=7.65e8, prandtl=0.7202)
    assert upright == pytest.approx(113.4, rel=0.01)
    assert convection.mcadams_horizontal_down(1.20e7) == pytest.approx(15.87, rel=0.01)
    # Beyond 1e7 the stated law is 0.15 Ra^(1/3): 34.3.
    assert convection.mcadams_horizontal_up(1.20e7) == pytest.approx(34.3, rel=0.01)


@pytest.mark.parametrize(
    ("rayleigh", "nusselt"), [(1e6, 16.55840), (1e8, 61.06517), (5e9, 202.7883)]
)
def test_upright_plate_against_ht(rayleigh, nusselt):
    # ht 1.2.0, Nu_vertical_plate_Churchill; its argument is the Grashof number.
    found = convection.churchill_chu_vertical(rayleigh=rayleigh, prandtl=0.71)
    assert found == pytest.approx(nusselt, rel=1e-6)
    assert found == pytest.approx(ht.Nu_vertical_plate_Churchill(0.71, rayleigh / 0.71), rel=1e-9)


@pytest.mark.parametrize(
    ("rayleigh", "up", "down"),
    [(1e5, 9.60271, 4.80135), (1e6, 17.0763, 8.53815), (1.1e7, 33.3597, 15.5493),
     (1e8, 69.6238, 27.0)],
)  # fmt: skip
def test_level_plate_against_ht(rayleigh, up, down):
    # ht 1.2.0, Nu_horizontal_plate_McAdams.
    assert convection.mcadams_horizontal_up(rayleigh) == pytest.approx(up, rel=1e-5)
    assert convection.mcadams_horizontal_down(rayleigh) == pytest.approx(down, rel=1e-5)
    theirs = ht.Nu_horizontal_plate_McAdams(0.71, rayleigh / 0.71, buoyancy=True)
    assert convection.mcadams_horizontal_up(rayleigh) == pytest.approx(theirs, rel=1e-9)


def test_cylinder_against_ht():
    # ht 1.2.0, Nu_horizontal_cylinder_Churchill_Chu.
    found = convection.churchill_chu_cylinder(rayleigh=1e5, prandtl=0.71)
    assert found == pytest.approx(7.777609, rel=1e-6)


# Hollands, Unny, Raithby and Konicek 1976, their 1.44 form.
@pytest.mark.parametrize(
    ("rayleigh", "angle", "nusselt"),
    [(1e4, 0, 2.39109), (1e5, 0, 3.99436), (1e4, 45, 1.89998), (1e5, 30, 3.84999),
     (1e5, 60, 3.39388), (1700, 0, 1.0), (2400, 45, 1.0)],
)  # fmt: skip
def test_layer_heated_from_below(rayleigh, angle, nusselt):
    found = convection.hollands(rayleigh, math.radians(angle))
    assert found == pytest.approx(nusselt, abs=1e-4)


# ElSherbiny, Raithby and Hollands 1982, largest of three forms, height over gap 40.
@pytest.mark.parametrize(
    ("rayleigh", "nusselt"), [(1e3, 1.0001), (1e4, 1.3034), (1e5, 3.0024), (1e6, 6.0500)]
)
def test_upright_layer(rayleigh, nusselt):
    assert convection.el_sherbiny(rayleigh, 40) == pytest.approx(nusselt, abs=1e-4)


def test_double_pane():
    # Çengel, double-pane example: 0.8 m high, 20 mm gap, Ra 1.05e4: Nu 1.32.
    assert convection.gap_nusselt(10502, 40, 0.0) == pytest.approx(1.32, rel=0.01)


def test_layer_heated_from_above_only_conducts():
    # ISO 15099, 5.3.3: 1 + (vertical − 1) sin 180°.
    assert convection.gap_nusselt(1e5, 20, math.pi / 2) == pytest.approx(1.0, abs=1e-9)


def test_radiation_coefficient():
    # Stefan–Boltzmann, ε 0.9, 60 °C to 20 °C: 6.294 W/(m²·K), 251.77 W/m²; ht.q_rad agrees
    # to its older constant.
    found = heat.radiation_coefficient(emissivity=0.9, surface=333.15, surroundings=293.15)
    assert found == pytest.approx(6.294, abs=5e-4)
    assert found * 40 == pytest.approx(ht.q_rad(0.9, 333.15, 293.15), rel=1e-5)


def test_black_plate_against_cengel():
    # Çengel, example 9-2: 0.36 m² black, 90 °C to 30 °C: 182 W.
    found = heat.radiation_coefficient(emissivity=1, surface=363.15, surroundings=303.15)
    assert found * 60 * 0.36 == pytest.approx(182, abs=1)


def test_upright_board_of_thirty_watts():
    # Energy balance outside this project (Brent's method): 0.6 × 0.4 m, 30 W, both faces, ε 0.9,
    # 25 °C, air at 35 °C: 32.208 °C. Our air is taken at the film: within 0.1 K.
    found = heat.tape_face_temperature(
        heat_flux=30 / 0.24, width=0.6, height=0.4, tilt=0.0, ambient=298.15,
        board_thickness=1e-9, board_conductivity=1.0, front_emissivity=0.9, back_emissivity=0.9,
    )  # fmt: skip
    assert found - 273.15 == pytest.approx(32.208, abs=0.1)


# t/λ: MDF 12 mm at 0.14, acrylic 3 mm at 0.20, aluminium 3 mm at 160 W/mK (EN ISO 10456).
@pytest.mark.parametrize(
    ("thickness", "conductivity", "resistance"),
    [(0.012, 0.14, 0.08571), (0.003, 0.20, 0.015), (0.003, 160, 1.875e-5)],
)
def test_rise_across_a_sheet(thickness, conductivity, resistance):
    found = heat.sheet_rise(heat_flux=100, thickness=thickness, conductivity=conductivity)
    assert found == pytest.approx(100 * resistance, rel=1e-4)


def strip_by_differences(pitch, tape, thickness, conductivity, films, nodes=(120, 48)):
    """Mean under the tape over the mean of the face, by finite volumes over half a pitch."""
    from scipy.sparse import lil_matrix  # slow to load, and this test's alone
    from scipy.sparse.linalg import spsolve

    across, down = nodes
    dx, dy = pitch / 2 / across, thickness / down
    heated = tape / 2 / dx
    matrix, source = lil_matrix((across * down, across * down)), np.zeros(across * down)

    def join(one, two, conductance):
        matrix[one, one] += conductance
        matrix[two, two] += conductance
        matrix[one, two] -= conductance
        matrix[two, one] -= conductance

    for i in range(across):
        for j in range(down):
            node = i * down + j
            if i + 1 < across:
                join(node, node + down, conductivity * dy / dx)
            if j + 1 < down:
                join(node, node + 1, conductivity * dx / dy)
        # Half a cell lies between the node and its face.
        for node, film in ((i * down, films[0]), (i * down + down - 1, films[1])):
            matrix[node, node] += dx / (1 / film + dy / 2 / conductivity)
        front = i * down
        share = min(max(heated - i, 0.0), 1.0)
        flux = share * dx / tape
        # Heat enters at the face itself: split between the film and the half cell below it.
        inward = (2 * conductivity / dy) / (films[0] + 2 * conductivity / dy)
        source[front] += flux * inward
    solved = spsolve(matrix.tocsr(), source).reshape(across, down)[:, 0]
    cover = np.clip(heated - np.arange(across), 0, 1)
    into = 2 * conductivity / dy
    face = (solved * into + cover / tape) / (into + films[0])
    return float(face @ cover / cover.sum() - face.mean())


@pytest.mark.parametrize(
    ("pitch", "printed"), [(0.015, 0.39), (0.030, 1.4), (0.060, 2.2), (0.120, 2.8)]
)
def test_spreading_under_a_row(pitch, printed):
    # MDF 12 mm, tape 10 mm, 10 W/m²K on both faces: 0.39, 1.4, 2.2, 2.8 K for each W/m, from a
    # finite-difference prototype; and finite volumes of this test's own within 0.5 %.
    given = {"pitch": pitch, "tape_width": 0.010, "board_thickness": 0.012,
             "board_conductivity": 0.14}  # fmt: skip
    found = heat.spreading_rise(
        heat_per_metre=1.0, **given, front_coefficient=10, back_coefficient=10
    )
    assert found == pytest.approx(printed, abs=0.05)
    pytest.importorskip("scipy", reason="scipy is not installed")
    direct = strip_by_differences(pitch, 0.010, 0.012, 0.14, (10, 10))
    assert found == pytest.approx(direct, rel=0.005)
