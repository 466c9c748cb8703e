"""A piece of tape: its readings made by ngspice and by quadrature, its figures found again."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

from guidegen.calc.sample import Piece, fitted, flux_of
from guidegen.errors import RangeError
from tests.reference.ladder_decks import NGSPICE, SPICE_VOLT

#: A tape of 12 V and 25 mm: what a group draws there, and one of its LEDs holds.
AMPS, FORWARD, LEDS, IDEALITY = 0.0189, 2.79, 3, 2.0
GROUPS, TRACK = 20, 0.16 * 0.025
VOLTS = [8.5, 9.0, 10.0, 11.0, 12.0]


def spice(tmp_path: Path, volts: list[float]) -> list[float]:
    """Current of the piece at each voltage; the deck is written from the law's rated point."""
    # 27 °C in ngspice and 25 °C in the fit: the same scale through another ideality.
    factor = LEDS * IDEALITY * 1.380649e-23 / 1.602176634e-19 * 298.15 / SPICE_VOLT
    saturation = AMPS / np.expm1(LEDS * FORWARD / (factor * SPICE_VOLT))
    ohms = (12 - LEDS * FORWARD) / AMPS
    lines = ["* tape", "V1 p0 0 0", f".model LED D(IS={saturation:.15g} N={factor:.15g})"]
    for k in range(1, GROUPS + 1):
        piece = TRACK / 2 if k == 1 else TRACK
        before = ("p0", "0") if k == 1 else (f"p{k - 1}", f"n{k - 1}")
        lines += [f"RP{k} {before[0]} p{k} {piece}", f"RN{k} {before[1]} n{k} {piece}",
                  f"D{k} p{k} x{k} LED", f"R{k} x{k} n{k} {ohms:.15g}"]  # fmt: skip
    control = [".options reltol=1e-8 gmin=1e-18 abstol=1e-15", ".control", "set numdgt=10"]
    for volt in volts:
        control += [f"alter V1 {volt}", "op", "print i(V1)"]
    file = tmp_path / "tape.cir"
    file.write_text("\n".join([*lines, *control, ".endc", ".end"]), encoding="utf-8")
    run = subprocess.run([NGSPICE or "", "-b", str(file)], capture_output=True, text=True,
                         timeout=60, check=False)  # fmt: skip
    found = [-float(text) for text in re.findall(r"^i\(v1\) = (\S+)\s*$", run.stdout, re.M | re.I)]
    assert len(found) == len(volts), run.stdout + run.stderr
    return found


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_figures_of_a_tape_are_found_again(tmp_path: Path) -> None:
    """Label 6 % too low in current and 0.1 V off in the forward voltage."""
    amps = spice(tmp_path, VOLTS)
    piece = Piece(GROUPS, TRACK, 12.0, LEDS)
    label = (0.94 * AMPS, FORWARD + 0.1)
    fit = fitted(piece, np.array(VOLTS), np.array(amps), label, 0.005)
    assert fit.amps == pytest.approx(AMPS, rel=1e-3)
    assert fit.forward == pytest.approx(FORWARD, rel=1e-3)
    assert fit.off < 2e-3
    # One reading: the label's forward voltage is kept.
    one = fitted(piece, np.array(VOLTS[-1:]), np.array(amps[-1:]), label, 0.005)
    assert (one.forward, one.amps) == (label[1], pytest.approx(AMPS, rel=2e-3))


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_bands_hold_what_a_wrong_meter_finds(tmp_path: Path) -> None:
    """500 meters, each with its own error of 1 % in volts and in amps: 95 % stay in the band."""
    piece, label = Piece(GROUPS, TRACK, 12.0, LEDS), (AMPS, FORWARD)
    volts, amps = np.array(VOLTS), np.array(spice(tmp_path, VOLTS))
    fit = fitted(piece, volts, amps, label, 0.01)
    chance = np.random.default_rng(5)
    found = []
    for volt, amp in 1 + 0.01 * chance.uniform(-1, 1, (60, 2)):
        one = fitted(piece, volts * volt, amps * amp, label, 0.01)
        found.append((one.amps, one.forward))
    off = np.abs(np.array(found) - (AMPS, FORWARD)) / fit.spread
    assert (off < 1.2).mean(axis=0) == pytest.approx(1, abs=0.05)
    # Nor is the band so wide that it says nothing.
    assert (off.max(axis=0) > 0.5).all()


def test_readings_of_another_law_are_far_off() -> None:
    """A tape with current regulators: the same current from 9 V on."""
    piece = Piece(GROUPS, TRACK, 12.0, LEDS)
    volts = np.array([9.0, 10.0, 11.0, 12.0])
    fit = fitted(piece, volts, np.full(4, GROUPS * AMPS), (AMPS, FORWARD), 0.005)
    assert fit.off > 0.1


def test_currents_that_no_such_tape_draws() -> None:
    piece = Piece(GROUPS, TRACK, 12.0, LEDS)
    with pytest.raises(RangeError):
        fitted(piece, np.array([12.0]), np.array([4 * GROUPS * AMPS]), (AMPS, FORWARD), 0.005)


@pytest.mark.parametrize(("distance", "length"), [(1.0, 1.0), (0.3, 0.5), (2.0, 0.1)])
def test_light_of_a_line_by_quadrature(distance: float, length: float) -> None:
    """scipy's quadrature of a Lambertian line on the plane below its middle."""
    flux = 900.0
    lux, _ = quad(lambda x: flux / np.pi * distance**2 / (x**2 + distance**2) ** 2,
                  -length / 2, length / 2)  # fmt: skip
    assert flux_of(illuminance=lux, distance=distance, length=length) == pytest.approx(flux)
