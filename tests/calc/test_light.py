"""Light: sums, symmetry, the field, and guards."""

import math

import numpy as np
import pytest

from guidegen.calc import light
from guidegen.errors import GuidegenError, RangeError

FIELD = {"luminance": 3000.0, "width": 0.36, "height": 0.21, "distance": 0.7,
         "angle": math.radians(45), "field_width": 0.42, "field_height": 0.30}  # fmt: skip


def test_two_sides_give_twice_one():
    one = light.field_centre(**FIELD, sides=("left",))
    assert light.field_centre(**FIELD, sides=("left", "right")) == pytest.approx(2 * one)


def test_a_pair_is_more_even_than_one():
    one = light.field_evenness(**FIELD, sides=("left",))
    pair = light.field_evenness(**FIELD, sides=("left", "right"))
    assert 0 < one < pair < 1


def test_evenness_does_not_hang_on_luminance():
    brighter = {**FIELD, "luminance": 9000.0}
    assert light.field_evenness(**FIELD, sides=("left", "right")) == pytest.approx(
        light.field_evenness(**brighter, sides=("left", "right"))
    )


def test_a_tiny_field_is_even():
    tiny = {**FIELD, "field_width": 1e-4, "field_height": 1e-4}
    assert light.field_evenness(**tiny, sides=("left",)) == pytest.approx(1, abs=1e-3)


def test_evenness_on_a_finer_grid():
    panels = tuple(
        light.placed(3000.0, 0.36, 0.21, 0.7, FIELD["angle"], side) for side in ("left", "right")
    )
    x, y = np.meshgrid(np.linspace(-0.21, 0.21, 101), np.linspace(-0.15, 0.15, 101))
    found = light.field_illuminance(panels, np.column_stack([x.ravel(), y.ravel()]))
    weight = np.ones(101)
    weight[[0, -1]] = 0.5
    mean = found @ np.outer(weight, weight).ravel() / weight.sum() ** 2
    coarse = light.field_evenness(**FIELD, sides=("left", "right"))
    assert coarse == pytest.approx(found.min() / mean, rel=1e-3)


def test_light_is_mirrored():
    points = np.array([[0.1, 0.05]])
    left = light.placed(1.0, 0.3, 0.2, 0.7, 0.6, "left")
    right = light.placed(1.0, 0.3, 0.2, 0.7, 0.6, "right")
    mirrored = light.field_illuminance((right,), points * [[-1, 1]])
    assert light.field_illuminance((left,), points) == pytest.approx(mirrored)


def test_no_light_comes_from_the_back():
    panel = light.placed(1.0, 0.3, 0.2, 0.7, 0.0, "front")
    turned = light.LitPanel(1.0, 0.3, 0.2, panel.centre, panel.up, panel.across)
    assert light.field_illuminance((turned,), np.zeros((1, 2)))[0] == 0


def test_the_front_panel_is_the_closed_form():
    found = light.field_centre(**FIELD, sides=("front",))
    closed = light.centre_illuminance(luminance=3000.0, width=0.36, height=0.21, distance=0.7)
    assert found == pytest.approx(closed, rel=1e-6)


def test_panel_fills_the_sky():
    # Limit: an endless panel gives π L.
    found = light.centre_illuminance(luminance=100, width=1e6, height=1e6, distance=1)
    assert found == pytest.approx(math.pi * 100, rel=1e-4)


def test_flux_through_a_cover():
    found = light.emitted_flux(flux_per_metre=900, length=3.6, ratio=0.5, transmittance=0.7)
    assert found == pytest.approx(1134)


def test_a_wider_gap_hides_the_rows():
    found = [light.cover_ripple(gap=g, pitch=0.015) for g in (0.005, 0.01, 0.02, 0.04)]
    assert found == sorted(found, reverse=True)
    assert light.cover_ripple(gap=1e-5, pitch=1.0) == pytest.approx(2, rel=1e-3)
    assert light.cover_ripple(gap=5.0, pitch=0.001) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: light.placed(1, 1, 1, 1, math.pi / 2, "left"), "angle in degrees = 90 is outside"),
        (lambda: light.placed(1, 1, 1, 0, 0.1, "left"), "distance = 0 is outside"),
        (lambda: light.cover_ripple(gap=0, pitch=1), "gap = 0 is outside"),
        (lambda: light.cover_ripple(gap=1, pitch=0), "pitch = 0 is outside"),
        (lambda: light.panel_luminance(flux=1, area=0), "area = 0 is outside"),
        (lambda: light.centre_illuminance(luminance=1, width=1, height=1, distance=0), "distance"),
        (lambda: light.centre_illuminance(luminance=1, width=0, height=1, distance=1), "width = 0"),
        (lambda: light.centre_illuminance(luminance=1, width=1, height=0, distance=1), "height"),
        (lambda: light.emitted_flux(flux_per_metre=1, length=1, ratio=1, transmittance=70),
         "transmittance = 70 is outside 0 to 1"),
        (lambda: light.shutter_time(aperture=4, illuminance=0, sensitivity=100, constant=250),
         "illuminance = 0 is outside"),
        (lambda: light.exposure_illuminance(aperture=4, shutter=0, sensitivity=1, constant=250),
         "shutter = 0 is outside"),
    ],
)  # fmt: skip
def test_guards(call, words):
    with pytest.raises(RangeError, match=words):
        call()


def test_unknown_side():
    with pytest.raises(GuidegenError, match=r"unknown side 'lefft'.*Did you mean 'left'"):
        light.field_centre(**FIELD, sides=("lefft",))
