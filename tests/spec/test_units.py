"""The grammar of written quantities."""

import math

import pytest

from guidegen import kinds
from guidegen.kinds import kind_of
from guidegen.measures import Coverage, measure_of
from guidegen.spec.repairs import guess
from guidegen.units import UnitsError, read, read_span, registry

K = kinds


def parsed(text: str, kind: object) -> tuple[float, float, str]:
    found = read(text, measure_of(kind_of(kind)))
    return found.si, found.spread, found.source


ACCEPTED = [
    ("300 mm", K.Metre, 0.3),
    ("30 cm", K.Metre, 0.3),
    ("0.3 m", K.Metre, 0.3),
    ("12 in", K.Metre, 0.3048),
    ("1 ft", K.Metre, 0.3048),
    ("5 ft 3 in", K.Metre, 1.6002),
    ("5 ft 3 1/2 in", K.Metre, 1.6129),
    ("3 1/2 in", K.Metre, 0.0889),
    ("1/4 in", K.Metre, 0.00635),
    ("300\u00a0mm", K.Metre, 0.3),
    ("300\u202fmm", K.Metre, 0.3),
    ("300mm", K.Metre, 0.3),
    ("0.75 mm²", K.ConductorArea, 0.75e-6),
    ("0.75 mm2", K.ConductorArea, 0.75e-6),
    ("24V", K.Volt, 24.0),
    ("500 mV", K.Volt, 0.5),
    ("3.15 A", K.AmpereRating, 3.15),
    ("250 mA", K.AmpereRating, 0.25),
    ("65 W", K.WattRating, 65.0),
    ("9.6 W/m", K.WattPerMetre, 9.6),
    ("4.7 kohm", K.OhmRating, 4700.0),
    ("4.7 kΩ", K.OhmRating, 4700.0),
    ("4.7 k\u2126", K.OhmRating, 4700.0),
    ("1 Mohm", K.OhmRating, 1e6),
    ("100 mohm", K.OhmRating, 0.1),
    ("160 mohm/m", K.OhmPerMetre, 0.16),
    ("0.16 Ω/m", K.OhmPerMetre, 0.16),
    ("850 lm/m", K.LumenPerMetre, 850.0),
    ("20 Ah", K.AmpereHour, 20.0),
    ("2500 mAh", K.AmpereHour, 2.5),
    ("-5 °C", K.Celsius, 268.15),
    ("−5 °C", K.Celsius, 268.15),
    ("25 degC", K.Celsius, 298.15),
    ("77 °F", K.Celsius, 298.15),
    ("2000 lx", K.Lux, 2000.0),
    ("45 °", K.Degree, math.pi / 4),
    ("45 deg", K.Degree, math.pi / 4),
    ("45°", K.Degree, math.pi / 4),
    ("3 kHz", K.Hertz, 3000.0),
    ("1/60 s", K.Second, 1 / 60),
    ("90 min", K.Hour, 1.5),
    ("2 h", K.Hour, 2.0),
    ("4000 K", K.Kelvin, 4000.0),
    ("20 %", K.Percent, 0.2),
    ("12", K.Count, 12.0),
    ("1.5", K.Ratio, 1.5),
    ("750 kg/m³", K.KilogramPerCubicMetre, 750.0),
    ("750 kg/m3", K.KilogramPerCubicMetre, 750.0),
    ("0.12 W/(m K)", K.WattPerMetreKelvin, 0.12),
    ("0.12 W/(m·K)", K.WattPerMetreKelvin, 0.12),
    ("70e-6 /K", K.PerKelvin, 70e-6),
    ("10 m²/l", Coverage, 10_000.0),
]


@pytest.mark.parametrize(("text", "kind", "si"), ACCEPTED)
def test_accepted_spellings(text: str, kind: object, si: float) -> None:
    assert parsed(text, kind) == (pytest.approx(si, rel=1e-11), 0.0, "")


@pytest.mark.parametrize(
    ("text", "kind", "si", "spread", "source"),
    [
        ("24 V ± 2 %", K.Volt, 24.0, 0.48, ""),
        ("24 V ± 0.5 V", K.Volt, 24.0, 0.5, ""),
        ("24 V +/- 500 mV", K.Volt, 24.0, 0.5, ""),
        ("24 V±2%", K.Volt, 24.0, 0.48, ""),
        ("9.6 W/m ± 10 % (label)", K.WattPerMetre, 9.6, 0.96, "label"),
        ("0.12 W/(m K) (from memory)", K.WattPerMetreKelvin, 0.12, 0.0, "from memory"),
        ("20 °C ± 5 K", K.Celsius, 293.15, 5.0, ""),
        ("20 °C ± 5 °C", K.Celsius, 293.15, 5.0, ""),  # a difference, not 5 °C above freezing
        ("70 % ± 5 %", K.Percent, 0.7, 0.05, ""),  # points, as a data sheet means it
        ("10 kohm ± 20 %", K.OhmRating, 1e4, 2e3, ""),
    ],
)
def test_tolerance_and_source(
    text: str, kind: object, si: float, spread: float, source: str
) -> None:
    assert parsed(text, kind) == (pytest.approx(si), pytest.approx(spread), source)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        # What a general unit parser takes, and takes wrongly.
        ("1,5 mm", K.Metre), ("10–20 mm", K.Metre), ("1.2.3 V", K.Volt), ("1e400 V", K.Volt),
        ("inf V", K.Volt), ("nan V", K.Volt), ("24 V 2 A", K.Volt), ("10 ± 1 mm", K.Metre),
        ("1½ in", K.Metre), ("2**3 V", K.Volt), ("9**9**9 m", K.Metre), ("5 ft 3", K.Metre),
        ("3 1/2 mm", K.Metre), ("1/0 in", K.Metre), ("-5 mm", K.Metre), ("25 C", K.Celsius),
        ("12 v", K.Volt), ("5 a", K.AmpereRating), ("1 k", K.OhmRating), ("1 fc", K.Metre),
        ("0.75 mm", K.ConductorArea), ("41 AWG", K.ConductorArea), ("0 AWG AWG", K.ConductorArea),
        ("3.5", K.Count), ("12 pieces", K.Count), ("1e3", K.Count), ("", K.Metre),
        ("24 V ± 2", K.Volt), ("24 V ± 100 %", K.Volt), ("20 °C ± 5 %", K.Celsius),
        ("5 mOhm", K.OhmRating), ("1 000 mm", K.Metre), ("٣ mm", K.Metre), ("1_000 mm", K.Metre),
        ("1" * 200 + " mm", K.Metre), ("0x10 mm", K.Metre), (".5 mm", K.Metre), ("5. mm", K.Metre),
    ],
)  # fmt: skip
def test_refused(text: str, kind: object) -> None:
    with pytest.raises(UnitsError):
        parsed(text, kind)


@pytest.mark.parametrize(
    ("text", "kind", "repaired"),
    [
        ("0,5 m", K.Metre, "0.5 m"),
        (".5 m", K.Metre, "0.5 m"),
        ("3½ in", K.Metre, "3 1/2 in"),
        ("½ in", K.Metre, "1/2 in"),
        ("12 v", K.Volt, "12 V"),
        ("12 volts", K.Volt, "12 V"),
        ("5 V DC", K.Volt, "5 V"),
        ("4k7", K.OhmRating, "4.7 kohm"),
        ("4R7", K.OhmRating, "4.7 ohm"),
        ("10 KOHM", K.OhmRating, "10 kohm"),
        ("0.75 mm", K.ConductorArea, "0.75 mm²"),
        ("AWG 18", K.ConductorArea, "18 AWG"),
        ("25 C", K.Celsius, "25 °C"),
        ("45 degrees", K.Degree, "45 °"),
        ("3 inches", K.Metre, "3 in"),
        ("24 V ± 2", K.Volt, "24 V ± 2 %"),
        ("2 hours", K.Hour, "2 h"),
        # No guess is sound: thousands or decimals, mega or milli, two values.
        ("1,000 m", K.Metre, ""),
        ("1.234,5 mm", K.Metre, ""),
        ("5 MOHM", K.OhmRating, ""),
        ("24 V 2 A", K.Volt, ""),
        ("1.2.3 V", K.Volt, ""),
        ("12", K.Volt, ""),
    ],
)
def test_nearest_spelling(text: str, kind: object, repaired: str) -> None:
    measure = measure_of(kind_of(kind))
    assert guess(text, measure, lambda words: read(words, measure)) == repaired


def test_a_range_is_guessed_where_a_span_is_read() -> None:
    measure = measure_of(kind_of(K.Volt))
    span = lambda text: read_span(text, measure)  # noqa: E731 - the parser under test
    assert guess("7.5–11.8 V", measure, span) == "7.5 V to 11.8 V"
    assert guess("7.5 to 11.8 V", measure, span) == "7.5 V to 11.8 V"


def test_span_keeps_both_tolerances() -> None:
    low, high = read_span("7.5 V ± 0.3 V to 11.8 V ± 0.2 V", measure_of(kind_of(K.Volt)))
    assert (low.si, low.spread, high.si, high.spread) == (7.5, 0.3, 11.8, 0.2)


def test_one_value_is_both_ends() -> None:
    low, high = read_span("12 V ± 1 %", measure_of(kind_of(K.Volt)))
    assert low is high


def test_a_span_runs_upward() -> None:
    with pytest.raises(UnitsError, match="runs downward"):
        read_span("11.8 V to 7.5 V", measure_of(kind_of(K.Volt)))


def test_equal_lengths_are_equal_numbers() -> None:
    written = ("304.8 mm", "30.48 cm", "0.3048 m", "12 in", "1 ft")
    assert len({parsed(text, K.Metre)[0] for text in written}) == 1


def test_registry_knows_every_unit_of_the_kinds() -> None:
    for name, kind in vars(kinds).items():
        if hasattr(kind, "__metadata__"):
            assert registry().Quantity(1.0, kind_of(kind).si) is not None, name
