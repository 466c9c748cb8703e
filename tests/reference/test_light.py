"""Light against closed forms of Lambertian sources and against ISO 2720."""

import math

import numpy as np
import pytest

from guidegen.calc import light


# Lambertian rectangle on its axis, 1000 cd/m²: closed form, checked by numerical integration.
@pytest.mark.parametrize(
    ("width", "height", "distance", "value"),
    [(0.6, 0.3, 1.0, 167.573045), (1.0, 1.0, 0.5, 1740.839503)],
)
def test_rectangle_on_its_axis(width, height, distance, value):
    found = light.centre_illuminance(luminance=1000, width=width, height=height, distance=distance)
    assert found == pytest.approx(value, rel=1e-8)


# The same 0.6 × 0.3 m rectangle at 1 m, off its axis: corners added and subtracted.
@pytest.mark.parametrize(
    ("point", "value"),
    [((0.0, 0.0), 167.573045), ((0.3, 0.15), 139.713186), ((0.5, 0.0), 114.519384),
     ((0.8, 0.4), 57.325346)],
)  # fmt: skip
def test_rectangle_off_its_axis(point, value):
    panel = light.placed(1000, 0.6, 0.3, 1.0, 0.0, "front")
    found = light.field_illuminance((panel,), np.array([point]))
    assert found[0] == pytest.approx(value, rel=1e-6)


def contour(corners, point):
    """Illuminance of a Lambertian polygon of 1 cd/m² by Lambert's contour formula.

    Lambert, Photometria, 1760: half the sum of each edge's angle times the cosine between its
    plane's normal and the receiver's. The polygon lies wholly above the receiver.
    """
    rays = [np.subtract(corner, point) for corner in corners]
    total = 0.0
    for first, second in zip(rays, rays[1:] + rays[:1], strict=True):
        normal = np.cross(first, second)
        size = np.linalg.norm(normal)
        angle = math.atan2(size, float(first @ second))
        total += angle * normal[2] / size
    return abs(total) / 2


@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
@pytest.mark.parametrize("point", [(0.0, 0.0), (0.21, 0.15), (-0.21, 0.15), (0.1, -0.15)])
def test_leaning_panels_against_the_contour_formula(side, point):
    panel = light.placed(1.0, 0.36, 0.21, 0.7, math.radians(45), side)
    centre, across, up = (np.array(v) for v in (panel.centre, panel.across, panel.up))
    corners = [
        centre + x * across * panel.width / 2 + y * up * panel.height / 2
        for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    found = light.field_illuminance((panel,), np.array([point]))
    assert found[0] == pytest.approx(contour(corners, (*point, 0.0)), rel=1e-6)


def test_two_lamps_at_forty_five_degrees():
    # Two of 1000 cd at 1 m, 45° each side, aimed: 1414.2136 lx (sum of I cosθ/d²). A small
    # Lambertian panel of 1 cm² stands for a lamp within (0.01/1)².
    found = light.field_centre(
        luminance=1000 / 1e-4, width=0.01, height=0.01, distance=1.0, angle=math.radians(45),
        field_width=0.1, field_height=0.1, sides=("left", "right"),
    )  # fmt: skip
    assert found == pytest.approx(1414.2136, rel=1e-4)


def test_lambertian_flux_gives_its_intensity():
    # Φ = π I0: 1000 lm give 318.309886 cd on the axis, 79.577 lx at 2 m.
    luminance = light.panel_luminance(flux=1000, area=1e-4)
    assert luminance * 1e-4 == pytest.approx(318.309886, rel=1e-8)
    far = light.centre_illuminance(luminance=luminance, width=0.01, height=0.01, distance=2)
    assert far == pytest.approx(79.577, rel=1e-4)


def test_far_field_error_of_a_square():
    # A square seen from five sides away: 0.986851 of the inverse-square value, at ten 0.996678.
    for sides, ratio in ((5, 0.986851), (10, 0.996678)):
        found = light.centre_illuminance(luminance=1, width=1, height=1, distance=sides)
        assert found * sides**2 == pytest.approx(ratio, abs=1e-6)


# ISO 2720: N²/t = E S/C, C 250 for a flat receptor, 340 for a hemispherical one.
@pytest.mark.parametrize(
    ("aperture", "shutter", "sensitivity", "constant", "value"),
    [(2 * math.sqrt(2), 1 / 50, 100, 250, 1000), (4, 1 / 50, 800, 250, 250),
     (4 * math.sqrt(2), 1 / 64, 400, 250, 1280), (16, 1 / 125, 100, 250, 80000),
     (4, 1 / 60, 100, 340, 3264), (2.8, 1 / 50, 100, 250, 980)],
)  # fmt: skip
def test_exposure_against_iso_2720(aperture, shutter, sensitivity, constant, value):
    exposure = {"aperture": aperture, "sensitivity": sensitivity, "constant": constant}
    assert light.exposure_illuminance(**exposure, shutter=shutter) == pytest.approx(value)
    assert light.shutter_time(**exposure, illuminance=value) == pytest.approx(shutter)


# First Fourier term of equal Lambertian lines, 2z·K1(z): per cent by height over pitch, agrees
# with a direct sum within 1 % (printed digits).
@pytest.mark.parametrize(
    ("height", "ripple", "digits"),
    [(0.5, 21, 0.5), (0.75, 5.3, 0.06), (1, 1.24, 0.005), (1.5, 0.06, 0.005)],
)
def test_ripple_at_the_cover(height, ripple, digits):
    assert light.cover_ripple(gap=height, pitch=1.0) * 100 == pytest.approx(ripple, abs=digits)


def test_ripple_against_the_bessel_function():
    special = pytest.importorskip("scipy.special", reason="scipy is not installed")
    for ratio in (0.02, 0.2, 0.5, 1.0, 2.0):
        z = 2 * math.pi * ratio
        found = light.cover_ripple(gap=ratio, pitch=1.0)
        assert found == pytest.approx(2 * z * special.k1(z), rel=1e-9)


def test_ripple_against_a_direct_sum_of_lines():
    # Lambertian line: E ∝ h²/(h² + x²)^(3/2). Brightest over a line, darkest midway between two.
    lines = np.arange(-20000, 20001)
    above, between = (float(np.sum((1 + (lines + s) ** 2) ** -1.5)) for s in (0.0, 0.5))
    direct = (above - between) / (above + between)
    assert light.cover_ripple(gap=1.0, pitch=1.0) == pytest.approx(direct, rel=0.01)


def test_evenness_at_nine_points_against_the_contour_formula():
    """A panel of 0.6 × 0.3 m, 1 m in front of a field of 0.5 × 0.4 m: corners least, plain mean."""
    corners = [(x, y, 1.0) for x, y in ((-0.3, -0.15), (0.3, -0.15), (0.3, 0.15), (-0.3, 0.15))]
    lux = [abs(contour(corners, (x, y, 0.0))) for x in (-0.25, 0, 0.25) for y in (-0.2, 0, 0.2)]
    found = light.nine_point_evenness(
        luminance=1000, width=0.6, height=0.3, distance=1.0, angle=0.0, field_width=0.5,
        field_height=0.4, sides=("front",))  # fmt: skip
    assert found == pytest.approx(min(lux) / (sum(lux) / 9), rel=1e-6)
    whole = light.field_evenness(
        luminance=1000, width=0.6, height=0.3, distance=1.0, angle=0.0, field_width=0.5,
        field_height=0.4, sides=("front",))  # fmt: skip
    # The corners weigh more among nine points than over the whole field.
    assert whole < found


def test_the_greatest_of_nine_points_against_the_contour_formula():
    """One light on the left at 45°: the points nearest to it are brighter than the middle."""
    at = {"luminance": 1000, "width": 0.6, "height": 0.3, "distance": 1.0, "field_width": 0.5,
          "field_height": 0.4}  # fmt: skip
    corners = [(x, y, 1.0) for x, y in ((-0.3, -0.15), (0.3, -0.15), (0.3, 0.15), (-0.3, 0.15))]
    front = 1000 * abs(contour(corners, (0.0, 0.0, 0.0)))
    assert light.nine_point_greatest(**at, angle=0.0, sides=("front",)) == pytest.approx(
        front, rel=1e-6)  # fmt: skip
    aside = light.nine_point_greatest(**at, angle=math.radians(45), sides=("left",))
    assert aside > 1.1 * light.field_centre(**at, angle=math.radians(45), sides=("left",))
