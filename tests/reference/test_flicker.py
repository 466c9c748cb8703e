"""Flicker, duty and losses of pulses against definitions that are integrated here."""

from __future__ import annotations

import numpy as np
import pytest

from guidegen.calc import pulse
from guidegen.errors import RangeError

TIME = (np.arange(200_000) + 0.5) / 200_000


def measured(light: np.ndarray) -> tuple[float, float]:
    """Percent flicker and flicker index by their IES definitions, from one period of light."""
    above = np.clip(light - light.mean(), 0, None).sum()
    depth = (light.max() - light.min()) / (light.max() + light.min())
    return float(depth), float(above / light.sum())


# IES: percent flicker of a sine of 30 % is 30, of a square between 0.5 and 1 is 33.333, of pulses
# 100; the flicker index of a full sine is 1/π (values that are printed in lighting handbooks).
@pytest.mark.parametrize(
    ("light", "percent"),
    [
        (1 + 0.3 * np.sin(2 * np.pi * TIME), 30.0),
        (np.where(TIME < 0.5, 1.0, 0.5), 33.3333),
        (np.where(TIME < 0.25, 1.0, 0.0), 100.0),
        (np.ones_like(TIME), 0.0),
    ],
)
def test_percent_flicker(light: np.ndarray, percent: float) -> None:
    assert measured(light)[0] * 100 == pytest.approx(percent, abs=1e-3)
    found = pulse.percent_flicker(brightest=light.max(), dimmest=light.min())
    assert found * 100 == pytest.approx(percent, abs=1e-3)


def test_the_measure_of_this_test_knows_a_sine() -> None:
    assert measured(1 + np.sin(2 * np.pi * TIME))[1] == pytest.approx(1 / np.pi, abs=1e-5)


@pytest.mark.parametrize("duty", [0.1, 0.25, 0.5, 0.8, 1.0])
def test_index_and_mean_of_pulses(duty: float) -> None:
    light = np.where(TIME < duty, 1.0, 0.0)
    assert pulse.pulse_index(duty=duty) == pytest.approx(measured(light)[1], abs=1e-5)
    # The mean over a period, of light and of current alike.
    assert pulse.light_at_duty(full=800.0, duty=duty) == pytest.approx(800 * light.mean(), rel=1e-4)
    assert pulse.average_current(peak=3.6, duty=duty) == pytest.approx(3.6 * light.mean(), rel=1e-4)


def test_losses_at_full_duty_by_hand() -> None:
    # 4 A through 15 mΩ: 60 mV and 0.24 W; 12 V at 15 mA: 0.18 W.
    assert pulse.stage_drop(current=4, resistance=0.015) == pytest.approx(0.060)
    loss = pulse.stage_loss(current=4, resistance=0.015, voltage=12, idle_current=0.015)
    assert loss == pytest.approx(0.42)
    assert pulse.behind(full=12, drop=0.06) == pytest.approx(11.94)
    assert pulse.loaded(power=43.2, loss=0.42) == pytest.approx(43.62)


@pytest.mark.parametrize(
    ("law", "inputs"),
    [
        (pulse.percent_flicker, {"brightest": 1, "dimmest": 1.1}),
        (pulse.percent_flicker, {"brightest": 0, "dimmest": 0}),
        (pulse.pulse_index, {"duty": 0}),
        (pulse.average_current, {"peak": 1, "duty": 1.2}),
        (pulse.light_at_duty, {"full": 1, "duty": -0.1}),
    ],
)
def test_what_can_not_be_is_refused(law, inputs) -> None:
    with pytest.raises(RangeError):
        law(**inputs)
