"""Heat: the balance closes, limits are exact, and positions are in the right order."""

import math
from itertools import pairwise

import pytest

from guidegen.calc import convection, heat, warm_box
from guidegen.errors import RangeError

BOARD = {
    "heat_flux": 300.0, "width": 0.36, "height": 0.21, "tilt": 0.0, "ambient": 303.15,
    "board_thickness": 0.009, "board_conductivity": 0.14, "front_emissivity": 0.9,
    "back_emissivity": 0.9,
}  # fmt: skip
COVERED = {**BOARD, "cover_gap": 0.02, "cover_thickness": 0.003, "cover_conductivity": 0.2}
TILTS = [-90, -60, -30, 0, 20, 45, 60, 75, 90]


def state(**given):
    return heat.panel_temperatures(heat.Panel(**given))


@pytest.mark.parametrize("tilt", TILTS)
@pytest.mark.parametrize("base", [BOARD, COVERED], ids=["open", "covered"])
@pytest.mark.parametrize("flux", [1.0, 30.0, 300.0, 900.0])
def test_the_balance_closes(tilt, base, flux):
    found = state(**{**base, "tilt": math.radians(tilt), "heat_flux": flux})
    residual = heat.heat_balance(
        heat_flux=flux, front_flux=found.front_flux, back_flux=found.back_flux
    )
    assert abs(residual) < 1e-7 * flux
    # Fourier's law through the board ties the two faces.
    rise = heat.sheet_rise(heat_flux=found.back_flux, thickness=0.009, conductivity=0.14)
    assert found.tape_face - found.board_back == pytest.approx(rise, abs=1e-9)
    assert found.tape_face > found.board_back > BOARD["ambient"]


def test_the_heat_that_crosses_the_gap_leaves_the_cover():
    found = state(**COVERED)
    inner = found.cover_outer + found.front_flux * 0.003 / 0.2
    mean, rise = (found.tape_face + inner) / 2, found.tape_face - inner
    from guidegen.calc import air  # beside its one use: the gap's own check

    drive = air.rayleigh(0.02, rise, mean)
    convected = convection.gap_nusselt(drive, 0.21 / 0.02, 0.0) * air.conductivity(mean) / 0.02
    radiated = heat.radiation_coefficient(
        emissivity=1 / (1 / 0.9 + 1 / 0.9 - 1), surface=found.tape_face, surroundings=inner
    )
    assert found.front_flux == pytest.approx((convected + radiated) * rise, rel=1e-6)


def test_no_heat_no_rise():
    found = state(**{**COVERED, "heat_flux": 0.0})
    assert found.tape_face == found.board_back == found.cover_outer == BOARD["ambient"]


def test_a_board_without_resistance_has_equal_faces():
    found = state(**{**BOARD, "board_thickness": 0.0})
    assert found.tape_face == found.board_back
    assert found.front_flux == pytest.approx(found.back_flux)


def test_radiation_alone():
    # Convection switched off: ambient and σ fix the temperature of a thin board.
    found = state(**{**BOARD, "board_thickness": 0.0, "film_factor": 1e-12})
    alone = (303.15**4 + 150 / (0.9 * 5.670374419e-8)) ** 0.25
    assert found.tape_face == pytest.approx(alone, abs=1e-6)


def test_a_cover_makes_it_hotter():
    assert state(**COVERED).tape_face > state(**BOARD).tape_face


def test_more_convection_makes_it_cooler():
    found = [heat.tape_face_temperature(**COVERED, film_factor=f) for f in (0.8, 1.0, 1.2)]
    assert found == sorted(found, reverse=True)


def test_the_light_that_faces_down_is_the_hottest_open_one():
    # An aluminium board: both faces alike, only position counts.
    thin = {**BOARD, "board_thickness": 0.002, "board_conductivity": 160.0}
    found = {t: state(**{**thin, "tilt": math.radians(t)}).front_flux for t in (-90, 0, 90)}
    assert found[90] < found[0]
    assert found[90] < found[-90]


@pytest.mark.parametrize("tilt", [30, 60, 90])
def test_the_face_that_looks_up_gives_more_heat(tilt):
    thin = {**BOARD, "board_thickness": 0.0}
    down = state(**{**thin, "tilt": math.radians(tilt)})
    up = state(**{**thin, "tilt": math.radians(-tilt)})
    assert down.back_flux >= down.front_flux
    assert up.front_flux == pytest.approx(down.back_flux)
    if tilt == 90:
        assert down.back_flux > 1.1 * down.front_flux


def test_a_gap_heated_from_above_by_its_lean():
    upright = convection.el_sherbiny(1e5, 20)
    for lean in (0, 30, 60):
        found = convection.gap_nusselt(1e5, 20, math.radians(lean))
        assert found - 1 == pytest.approx((upright - 1) * math.cos(math.radians(lean)))


@pytest.mark.parametrize("base", [BOARD, COVERED], ids=["open", "covered"])
def test_temperature_hardly_jumps_from_one_lean_to_the_next(base):
    found = [state(**{**base, "tilt": math.radians(t)}).tape_face for t in range(-90, 91, 2)]
    steps = [abs(b - a) for a, b in pairwise(found)]
    assert max(steps) < 1.0


def test_films_give_the_fluxes_back():
    found = state(**COVERED)
    front = heat.front_film(**COVERED) * (found.tape_face - 303.15)
    back = heat.back_film(**COVERED) * (found.board_back - 303.15)
    assert front + back == pytest.approx(300)


def test_wrappers_name_the_right_faces():
    found = state(**COVERED)
    assert heat.tape_face_temperature(**COVERED) == found.tape_face
    assert heat.board_back_temperature(**COVERED) == found.board_back
    assert heat.cover_temperature(**COVERED) == found.cover_outer


def test_spreading_ends_when_the_tape_fills_the_pitch():
    given = {"heat_per_metre": 7.0, "board_thickness": 0.009, "board_conductivity": 0.14,
             "front_coefficient": 9.0, "back_coefficient": 9.0}  # fmt: skip
    assert heat.spreading_rise(pitch=0.01, tape_width=0.01, **given) == 0
    wide = [heat.spreading_rise(pitch=p, tape_width=0.01, **given) for p in (0.015, 0.03, 0.06)]
    assert wide == sorted(wide)
    metal = heat.spreading_rise(
        pitch=0.06, tape_width=0.01, **{**given, "board_conductivity": 160.0}
    )
    assert metal < 0.5


def test_a_warmer_box_for_more_loss_and_less_area():
    box = {"height": 0.1, "wall_thickness": 0.006, "wall_conductivity": 0.14, "emissivity": 0.9,
           "ambient": 303.15}  # fmt: skip
    small = warm_box.box_temperature(loss=3.0, area=0.03, **box)
    assert warm_box.box_temperature(loss=3.0, area=0.06, **box) < small
    assert warm_box.box_temperature(loss=6.0, area=0.03, **box) > small
    assert warm_box.box_temperature(loss=0.0, area=0.03, **box) == 303.15
    # 100 W/m² through wall and two films of 3 to 12 W/m²K each: 25 to 75 K.
    assert 25 < small - 303.15 < 75


@pytest.mark.parametrize("loss", [1.0, 3.0, 8.0])
def test_the_outside_of_a_box_gives_off_what_is_made_in_it(loss):
    """The flux of Stefan and Boltzmann and of Churchill and Chu 1975 (9), by their formulas."""
    box = {"height": 0.1, "wall_thickness": 0.006, "wall_conductivity": 0.14, "emissivity": 0.9,
           "ambient": 303.15}  # fmt: skip
    inside = warm_box.box_temperature(loss=loss, area=0.05, **box)
    outer = warm_box.box_wall_temperature(inside=inside, **box)
    # Air at 310 K to 330 K from handbook tables: viscosity 1.7e-5 m²/s, conductivity 0.0274
    # W/(m K), Prandtl number 0.705; the films scatter by more than these change.
    rise, film = outer - 303.15, (outer + 303.15) / 2
    rayleigh = 9.81 / film * rise * 0.1**3 / 1.72e-5**2 * 0.705
    nusselt = 0.825 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.492 / 0.705) ** (9 / 16)) ** (8 / 27)
    convected = nusselt**2 * 0.0274 / 0.1 * rise
    radiated = 0.9 * 5.670374e-8 * (outer**4 - 303.15**4)
    assert convected + radiated == pytest.approx(loss / 0.05, rel=0.02)
    # Through 6 mm of MDF by Fourier's law, and a film inside: the air is warmer than the wall.
    assert inside - outer > loss / 0.05 * 0.006 / 0.14
    assert warm_box.box_wall_temperature(inside=303.15, **box) == 303.15
    with pytest.raises(RangeError, match="inside"):
        warm_box.box_wall_temperature(inside=300.0, **box)


def test_heat_is_power_less_light():
    left = heat.heat_left(power=36.0, light_share=0.25)
    assert left == 27
    assert heat.heat_flux(heat=left, area=0.0756) == pytest.approx(357.14, abs=0.01)
    assert heat.heat_per_metre(heat=left, tape_length=3.6) == 7.5


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: state(**{**BOARD, "width": 0}), "width = 0 is outside above 0"),
        (lambda: state(**{**BOARD, "heat_flux": -1}), "heat_flux = -1 is outside 0 and more"),
        (lambda: state(**{**BOARD, "back_emissivity": 1.2}), "back_emissivity = 1.2 is outside"),
        (lambda: heat.front_film(**{**BOARD, "heat_flux": 0.0}), "heat_flux = 0 is outside above"),
        (lambda: heat.heat_left(power=1, light_share=1), "light_share = 1 is outside"),
        (lambda: heat.heat_flux(heat=1, area=0), "area = 0 is outside"),
        (lambda: heat.heat_per_metre(heat=1, tape_length=0), "tape_length = 0 is outside"),
        (lambda: heat.sheet_rise(heat_flux=1, thickness=1, conductivity=0), "conductivity = 0"),
        (lambda: convection.mcadams_horizontal_up(9e3), "rayleigh = 9000 is outside 1e4 to 1e11"),
        (lambda: convection.mcadams_horizontal_down(9e4), "rayleigh = 90000 is outside 1e5"),
        (lambda: convection.churchill_chu_vertical(rayleigh=-1, prandtl=0.7), "rayleigh = -1 is"),
        (lambda: convection.hollands(1e4, 1.2), "angle in degrees = 68.75"),
    ],
)
def test_guards(call, words):
    with pytest.raises(RangeError, match=words):
        call()
