"""The network of rows and rails against closed forms, published decks and ngspice."""

from dataclasses import replace

import numpy as np
import pytest

from guidegen.calc import ladder_across, ladder_band, ladder_loop, ladder_steps
from guidegen.calc.ladder import MINUS, PLUS, Feed, Ladders, Link, Rail, total_current
from guidegen.calc.ladder_solve import FORMS, solve
from guidegen.calc.led_group import GroupLaw, wright_omega
from tests.reference import ladder_decks
from tests.reference.ladder_decks import FEEDS, NGSPICE, SPICE_VOLT, Numbers

HUGE = 1e6


# --- the group's law -----------------------------------------------------------------------


# Lambert's W by mpmath with 30 digits, substituted back; thermal voltage 0.02585 V exactly.
@pytest.mark.parametrize(
    ("volts", "saturation", "n", "ohms", "current"),
    [
        (0.7, 1e-14, 1, 10, 2.3344695036e-3),
        (3.0, 1e-18, 3, 5, 18.7997030497e-3),
        (3.2, 1e-18, 3, 5, 45.1951325966e-3),
        (12, 1e-18, 9, 165, 19.8166045300e-3),
        (24, 1e-18, 21, 155, 22.9077647042e-3),
        (24, 1e-18, 21, 500, 8.21483023142e-3),
        (100, 1e-12, 1, 10, 9.92264170282),
    ],
)
def test_a_group_against_the_exact_current(volts, saturation, n, ohms, current):
    found, slope = GroupLaw(n * 0.02585, ohms, saturation).at(volts)
    assert float(found) == pytest.approx(current, rel=1e-10)
    # The slope is the derivative: Shockley's law and Ohm's, differentiated.
    inner = (current + saturation) / (n * 0.02585)
    assert float(slope) == pytest.approx(inner / (1 + inner * ohms), rel=1e-9)


def test_a_group_the_wrong_way_round_leaks_its_saturation_current():
    assert float(GroupLaw(0.02585, 10, 1e-12).at(-5.0)[0]) == pytest.approx(-1e-12, rel=1e-6)


def test_omega_against_scipy():
    from scipy.special import wrightomega

    x = np.concatenate([np.linspace(-690, 60, 150_001), np.logspace(2, 6, 1000)])
    assert np.abs(wright_omega(x) / wrightomega(x) - 1).max() < 1e-14


@pytest.mark.parametrize("groups", [300, 70_000])
def test_a_rough_current_leads_to_the_same_one(groups):
    """What is wrong by d is found within a square, as a tangent has it; far off, none the worse.

    To y of a logarithm `ln y` its tangent at `y(1 + d)` adds no more than d²/2/(1 − d)² of y.
    """
    law, volts = GroupLaw(0.2327, 165.0, 1e-18), np.linspace(2.0, 30.0, groups)
    exact, slope = law.at(volts)
    for off in (0.0, 1e-3, 0.03, -0.03, 0.1, -0.09, 0.4, 5.0, -0.99, -3.0):
        found, slopes = law.at(volts, exact * (1 + off))
        # From farther off one step of Algorithm 917 comes first, or a start of its own.
        left = 0.04 * 0.5**4 if abs(off) > 0.1 else abs(off)
        assert np.abs(found / exact - 1).max() <= 0.62 * left**2 + 1e-13, off
        assert np.abs(slopes / slope - 1).max() <= 1.12 * left + 1e-13, off


def test_a_usual_group_behind_a_resistance():
    """As if the resistance were in the group: Kirchhoff's voltage law."""
    law, alike = GroupLaw(0.2327, 165.0, 1e-18), GroupLaw(0.2327, 205.0, 1e-18)
    for volts in (0.5, 6.0, 9.0, 12.0, 30.0):
        current, slope = law.roughly(volts, 40.0)
        assert current == pytest.approx(float(alike.at(volts)[0]), rel=0.01, abs=1e-15)
        assert slope == pytest.approx(float(law.at(volts - 40 * current)[1]), rel=0.01)


def test_groups_each_their_own_are_those_of_each_alone():
    ohms, volts = np.array([[[100.0, 200]], [[150, 250]]]), np.array([[[11.0]], [[12.0]]])
    current, slope = GroupLaw(0.2327, ohms, 1e-18).at(volts)
    for case, station in np.ndindex(2, 2):
        law = GroupLaw(0.2327, ohms[case, 0, station], 1e-18)
        alone = [float(one) for one in law.at(volts[case, 0, 0])]
        assert [current[case, 0, station], slope[case, 0, station]] == pytest.approx(alone)


def test_the_law_goes_through_the_rated_point():
    law = GroupLaw.rated(12.0, 0.02, 3, 2.85)
    assert float(law.at(12.0)[0]) == pytest.approx(0.02, rel=1e-12)
    # What is left of 12 V over the resistor.
    assert law.ohms == pytest.approx((12 - 3 * 2.85) / 0.02)


# --- published rows ---------------------------------------------------------------------------


def row(volts, leds, series, groups, tracks, feeds):
    """One row of diodes IS 1e-18, N 3, RS 5; `feeds` are pole, group and resistance.

    With one feed a pole its resistance is shared out among source, feed and link.
    """
    shares = (0.2, 0.3, 0.5) if len(feeds) == 2 else (1e-7, 1e-7, 1.0)
    ohms = {pole: each for pole, _, each in feeds}
    law = GroupLaw(3 * leds * SPICE_VOLT, series + 5 * leds, 1e-18)
    rails = tuple(Rail(pole, np.zeros(0), (Feed(0, 1 / (shares[1] * each)),))
                  for pole, _, each in feeds)  # fmt: skip
    links = tuple(Link(pole, k, number, np.array([1 / (shares[2] * each)]))
                  for number, (pole, k, each) in enumerate(feeds))  # fmt: skip
    source = (1 / (shares[0] * ohms[PLUS]), 1 / (shares[0] * ohms[MINUS]))
    return Ladders(1, 1, groups, law, 1.0, (1 / tracks[0], 1 / tracks[1]), links, rails,
                   np.arange(1), 1, volts, source)  # fmt: skip


def test_a_row_fed_at_one_end_against_a_published_deck():
    """ngspice 39, tolerances of 1e-9; the deck has no lead but the two feeds of 0.1 Ω."""
    net = row(12, 3, 150, 10, (0.05, 0.05), [(PLUS, 0, 0.1), (MINUS, 0, 0.1)])
    found = solve(net)
    plus = [11.980738525, 11.972086300, 11.964407697, 11.957698378, 11.951954552,
            11.947172976, 11.943350950, 11.940486316, 11.938577458, 11.937623298]  # fmt: skip
    assert found.rows[0, 0, :, PLUS] == pytest.approx(plus, abs=4e-9)
    assert found.rows[0, 0, :, MINUS] == pytest.approx(12 - np.array(plus), abs=4e-9)
    assert total_current(net, found)[0] == pytest.approx(0.1926147476, abs=1e-8)
    assert found.currents[0, 0, [0, 9]] == pytest.approx([19.570248e-3, 19.083195e-3], abs=1e-9)


def test_a_row_fed_at_opposite_ends_against_a_published_deck():
    net = row(24, 7, 120, 8, (0.08, 0.08), [(PLUS, 0, 0.15), (MINUS, 7, 0.15)])
    found = solve(net)
    plus = np.array([23.973363072, 23.960938040, 23.950289592, 23.941414567, 23.934311386,
                     23.928980050, 23.925422136, 23.923640807])  # fmt: skip
    assert found.rows[0, 0, :, PLUS] == pytest.approx(plus, abs=4e-9)
    assert found.rows[0, 0, :, MINUS] == pytest.approx(24 - plus[::-1], abs=4e-9)
    assert total_current(net, found)[0] == pytest.approx(0.1775795187, abs=1e-8)


def test_a_row_fed_unequally_at_both_ends_against_a_published_deck():
    feeds = [(PLUS, 0, 0.1), (MINUS, 0, 0.1), (PLUS, 11, 0.25), (MINUS, 11, 0.25)]
    # Both ends share the source, which has 1e-8 of the feeds' resistance here and none there.
    net = row(24, 6, 270, 12, (0.06, 0.04), feeds)
    found = solve(net)
    at = [0, 6, 11]
    assert found.rows[0, 0, at, PLUS] == pytest.approx(
        [23.985221268, 23.959082528, 23.972632743], abs=2e-8)  # fmt: skip
    assert found.rows[0, 0, at, MINUS] == pytest.approx(
        [0.015309893738, 0.034010507515, 0.026039353372], abs=2e-8)  # fmt: skip
    assert found.currents[0, 0, at] == pytest.approx(
        [21.535307e-3, 21.395920e-3, 21.462813e-3], abs=1e-9)  # fmt: skip


# --- closed forms -----------------------------------------------------------------------------


class Straight:
    """A current in proportion to the voltage above a threshold."""

    def __init__(self, conductance, threshold=0.0):
        self.conductance, self.threshold = conductance, threshold

    def cut(self, cases, of):
        return self

    def roughly(self, volts, ohms):
        conductance = self.conductance / (1 + self.conductance * ohms)
        return conductance * (volts - self.threshold), self.conductance

    def at(self, volts, near=None):
        across = np.asarray(volts) - self.threshold
        return self.conductance * across, np.full(across.shape, self.conductance)


def test_a_resistive_ladder_against_its_closed_form():
    """N = 20, series 0.05 Ω, shunt 40 Ω, 1 V: V(n) = cosh((N − n + ½)θ)/cosh((N + ½)θ)."""
    groups, theta = 20, 2 * np.arcsinh(np.sqrt(0.05 / 40) / 2)
    # Half of each step in either pole; half of the first one in its link, the rest before it.
    links = tuple(Link(pole, 0, pole, np.array([1 / 0.0125])) for pole in (PLUS, MINUS))
    rails = tuple(Rail(pole, np.zeros(0), (Feed(0, 1 / 0.01),)) for pole in (PLUS, MINUS))
    net = Ladders(1, 1, groups, Straight(1 / 40), 1.0, (1 / 0.025, 1 / 0.025), links, rails,
                  np.arange(1), 1, 1.0, (1 / 0.0025, 1 / 0.0025))  # fmt: skip
    found = solve(net)
    across = found.rows[0, 0, :, PLUS] - found.rows[0, 0, :, MINUS]
    n = np.arange(1, groups + 1)
    wanted = np.cosh((groups - n + 0.5) * theta) / np.cosh((groups + 0.5) * theta)
    assert across == pytest.approx(wanted, abs=2e-8)
    assert across[[0, 9, 19]] == pytest.approx([0.97870689, 0.83941821, 0.78485010], abs=2e-8)
    assert 1 / total_current(net, found)[0] == pytest.approx(2.34817746, rel=1e-7)


def test_a_long_row_against_the_closed_forms_of_an_even_tape():
    """Current g(V − V_T) a metre: cosh forms for one end, both ends and opposite ends."""
    g, threshold, volts, track, length, groups = 1 / 13, 16.2, 24.0, 0.06, 5.0, 2000
    step = track * length / groups
    stations = groups - 1
    for feeds, checks in (
        ([(PLUS, 0), (MINUS, 0)], {"last": 23.179112, "total": 2.788713}),
        ([(PLUS, 0), (MINUS, 0), (PLUS, stations), (MINUS, stations)],
         {"middle": 23.780285, "total": 2.943609}),
        ([(PLUS, 0), (MINUS, stations)],
         {"middle": 23.374170, "last": 23.582114, "total": 2.785905}),
    ):  # fmt: skip
        rails = tuple(Rail(pole, np.zeros(0), (Feed(0, HUGE),)) for pole, _ in feeds)
        links = tuple(Link(pole, k, number, np.array([2 / step]))
                      for number, (pole, k) in enumerate(feeds))  # fmt: skip
        net = Ladders(1, 1, groups, Straight(g * length / groups, threshold), 1.0,
                      (1 / step, 1 / step), links, rails, np.arange(1), 1, volts,
                      (HUGE, HUGE))  # fmt: skip
        found = solve(net)
        across = found.rows[0, 0, :, PLUS] - found.rows[0, 0, :, MINUS]
        seen = {"last": across[-1], "middle": across[groups // 2],
                "total": total_current(net, found)[0]}  # fmt: skip
        # The outermost group sits half an increment from the end: 2,000 groups are the even tape
        # within a quarter of a millivolt.
        for name, wanted in checks.items():
            assert seen[name] == pytest.approx(wanted, abs=3e-4), (feeds, name)


# --- both paths, Kirchhoff, hard networks ------------------------------------------------


PARTS = ("rows", "rails", "ends", "currents")


@pytest.mark.parametrize("feed", FEEDS)
@pytest.mark.parametrize(("rows", "groups"), [(1, 1), (1, 7), (12, 25), (24, 100)])
def test_all_forms_agree(rows, groups, feed):
    net = Numbers(rows, groups, feed).net()
    assert ladder_across.suits(net)
    assert ladder_loop.suits(net) == (feed == "one end" or (groups == 1 and feed != "both ends"))
    band = ladder_band.solve(net)
    for suits, form in FORMS:
        if suits(net):
            found = ladder_steps.solve(form(net))
            for name in PARTS:
                off = np.abs(getattr(found, name) - getattr(band, name)).max()
                assert off < 1e-12, (form, name)


def test_the_unequal_and_the_uneven():
    """Rows, tracks and feeds of different resistances; tracks whose ratio varies by the way."""
    rng, sound = np.random.default_rng(3), Numbers(7, 9, "both ends").net()
    links = tuple(replace(link, conductance=1 / rng.uniform(0.01, 1, 7)) for link in sound.links)
    rails = tuple(replace(rail, feeds=(Feed(2, 1 / rng.uniform(0.01, 0.1)),))
                  for rail in sound.rails)  # fmt: skip
    ways = rng.uniform(0.02, 0.09, (7, 8)), rng.uniform(0.5, 2, (7, 1))
    even = replace(sound, links=links, rails=rails, tracks=(1 / ways[0], ways[1] / ways[0]))
    assert ladder_across.suits(even)
    across, band = ladder_steps.solve(ladder_across.Across(even)), ladder_band.solve(even)
    for name in PARTS:
        assert np.abs(getattr(across, name) - getattr(band, name)).max() < 1e-12
    uneven = replace(even, tracks=(1 / ways[0], 1 / rng.uniform(0.02, 0.09, (7, 8))))
    assert not ladder_across.suits(uneven)


@pytest.mark.parametrize("swapped", [False, True])
def test_the_uneven_fed_at_one_place(swapped):
    """Every part its own, links inside the rows, taps without a row, several cases."""
    rng, sound = np.random.default_rng(4), Numbers(7, 9, "one end").net()

    def ohms(*shape):
        return rng.uniform(0.01, 0.2, shape)

    links = [Link(pole, 3, pole ^ swapped, 1 / ohms(7)) for pole in (PLUS, MINUS)]
    rails = [Rail(pole, 1 / ohms(2, 8), (Feed(2, 1 / ohms(2)),)) for pole in (PLUS, MINUS)]
    if swapped:
        links, rails = links[::-1], rails[::-1]
    groups = rng.integers(0, 3, (7, 9)).astype(float)
    net = replace(
        sound, cases=2, groups=groups, tracks=(1 / ohms(7, 8), 1 / ohms(2, 7, 8)),
        links=tuple(links), rails=tuple(rails), tap_of_row=np.array([0, 1, 3, 4, 5, 6, 8]), taps=9,
        volts=np.array([12.0, 9.0]), source=(1 / ohms(2), 1 / ohms(2)), shunts=ohms(7, 9) * 1e-3,
    )  # fmt: skip
    assert ladder_loop.suits(net)
    loop, band = ladder_steps.solve(ladder_loop.Loop(net)), ladder_band.solve(net)
    for name in PARTS:
        if name == "currents":
            continue
        assert np.abs(getattr(loop, name) - getattr(band, name)).max() < 1e-12
    torn = replace(net, rails=(replace(rails[0], feeds=(Feed(3, 20.0),)), rails[1]))
    assert not ladder_loop.suits(torn)
    assert not ladder_loop.suits(replace(net, links=(replace(links[0], station=4), links[1])))
    assert not ladder_loop.suits(replace(net, links=(replace(links[0], conductance=0.0), links[1])))


def leaving(net, state, numbers):
    """Currents that leave every node of a row, from the published numbers alone."""
    plus, minus = state.rows[0, ..., PLUS], state.rows[0, ..., MINUS]
    found = []
    for way, at in (("+", plus), ("-", minus)):
        rest = (1 if way == "+" else -1) * numbers.law().at(plus - minus)[0]
        along = np.diff(at, axis=-1) / numbers.track
        rest[:, :-1] -= along
        rest[:, 1:] += along
        for sign, end, rail in FEEDS[numbers.feed]:
            if sign == way:
                k = 0 if end == "first" else numbers.groups - 1
                rest[:, k] += (at[:, k] - state.rails[0, :, rail]) / numbers.link
        found.append(rest)
    return np.array(found)


@pytest.mark.parametrize("feed", FEEDS)
def test_kirchhoff_holds_at_every_node(feed):
    numbers = Numbers(24, 40, feed)
    net = numbers.net()
    state = solve(net)
    # Ten roundings of the largest current that any one conductance could carry.
    greatest = 2 / numbers.track + 1 / numbers.link + 1
    bound = 10 * np.finfo(float).eps * numbers.volts * greatest
    assert np.abs(leaving(net, state, numbers)).max() <= bound
    # All that the source gives goes through the groups.
    assert state.currents.sum() == pytest.approx(total_current(net, state)[0], rel=1e-11)


def test_hard_random_networks_all_converge():
    rng = np.random.default_rng(20)
    steps = []
    for _ in range(400):
        leds = int(rng.integers(1, 21))
        numbers = Numbers(
            int(rng.integers(1, 9)), int(rng.integers(1, 30)), rng.choice(list(FEEDS)),
            volts=float(10 ** rng.uniform(-1, 1.9)), leds=leds,
            saturation=float(10 ** rng.uniform(-26, -10)), ideality=float(rng.uniform(1, 4)),
            series=float(10 ** rng.uniform(-3, 3)), track=float(10 ** rng.uniform(-4, 0)),
            link=float(10 ** rng.uniform(-4, 0)), rail=float(10 ** rng.uniform(-4, -1)),
            lead=float(10 ** rng.uniform(-4, 0)), source=float(10 ** rng.uniform(-4, 0)),
        )  # fmt: skip
        net = numbers.net()
        quick, band = solve(net), ladder_band.solve(net)
        steps.append(quick.steps)
        assert quick.fallbacks == band.fallbacks == ()
        # Both forms meet the same solution, a badly conditioned one less closely.
        assert np.abs(quick.rows - band.rows).max() < 1e-9 * numbers.volts
    assert max(steps) < 20
    assert np.quantile(steps, 0.9) < 5


class Saturating:
    """A current that bends both ways: whole steps of Newton's method leap over it, ever farther."""

    def cut(self, cases, of):
        return self

    def roughly(self, volts, ohms):
        return tuple(float(one) for one in self.at(volts))

    def at(self, volts, near=None):
        far = (np.asarray(volts) - 3.0) / 0.05
        return 1e-3 * np.arctan(far), 0.02 / (1 + far**2)


def test_what_was_needed_beside_whole_steps_is_told():
    net = row(12, 1, 0, 1, (0.05, 0.05), [(PLUS, 0, 1e4), (MINUS, 0, 1e4)])
    found = solve(replace(net, law=Saturating()))
    assert found.fallbacks == ("two-pole form", "line search")
    # Ohm's law over both leads, and the law itself.
    across = found.rows[0, 0, 0, PLUS] - found.rows[0, 0, 0, MINUS]
    assert (12 - across) / 2e4 == pytest.approx(1e-3 * np.arctan((across - 3) / 0.05), rel=1e-9)
    assert solve(net).fallbacks == ()


def test_what_is_not_solved_says_what_was_tried():
    class Mad(Saturating):
        def at(self, volts, near=None):
            return np.full(np.shape(volts), 1e-3), np.full(np.shape(volts), np.nan)

    net = row(12, 1, 0, 1, (0.05, 0.05), [(PLUS, 0, 1.0), (MINUS, 0, 1.0)])
    with pytest.raises(ladder_band.NetworkError, match=r"tried .*source stepping, given up at 30%"):
        solve(replace(net, law=Mad()))


# --- faults -----------------------------------------------------------------------------------


def test_a_row_that_one_pole_does_not_reach_stays_dark_and_the_others_do_not():
    sound = Numbers(5, 10, "opposite ends").net()
    first = sound.links[0]
    open_row = np.array([1.0, 1, 0, 1, 1]) * np.asarray(first.conductance)
    net = replace(sound, links=(replace(first, conductance=open_row), sound.links[1]))
    found, before = solve(net), solve(sound)
    assert np.abs(found.currents[0, 2]).max() < 1e-9
    assert np.all(found.currents[0, [0, 1, 3, 4]] > before.currents[0, [0, 1, 3, 4]])


def test_a_row_that_neither_pole_reaches_has_no_voltage():
    sound = Numbers(3, 6, "one end").net()
    open_row = np.array([1.0, 0, 1]) * np.asarray(sound.links[0].conductance)
    links = tuple(replace(link, conductance=open_row) for link in sound.links)
    found = solve(replace(sound, links=links))
    assert np.abs(found.rows[0, 1]).max() < 1e-15
    assert found.currents[0, 0].min() > 0.01


def test_a_reversed_row_is_dark():
    sound = Numbers(4, 6, "both ends").net()
    groups = np.ones((4, 6))
    groups[1] = -1
    found = solve(replace(sound, groups=groups))
    assert np.abs(found.currents[0, 1]).max() < 1e-15


def test_cases_are_solved_as_if_alone():
    sound = Numbers(6, 8, "opposite ends").net()
    sweep = replace(sound, cases=30, volts=np.linspace(7, 12, 30))
    together = solve(sweep)
    for case in (0, 13, 29):
        alone = solve(replace(sound, volts=sweep.volts[case]))
        assert np.abs(together.rows[case] - alone.rows[0]).max() < 1e-12
        assert np.abs(solve(sweep.cut(slice(case, case + 1))).rows - alone.rows).max() == 0


# --- ngspice ----------------------------------------------------------------------------------


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("feed", FEEDS)
@pytest.mark.parametrize("volts", [12.0, 8.5])
def test_every_node_against_ngspice(tmp_path, feed, volts):
    """12 rows of 20 groups: every node within 1e-9 of the supply."""
    numbers = Numbers(12, 20, feed, volts=volts)
    nodes = [f"{way}{row}_{k}" for way in "pn" for row in range(12) for k in range(20)]
    nodes += [f"r{rail}_{row}" for _, _, rail in FEEDS[feed] for row in range(12)]
    theirs = ladder_decks.spice(tmp_path, numbers.deck(), [*nodes, "ep", "em"])
    assert theirs is not None
    found = solve(numbers.net())
    ours = [found.rows[0, ..., PLUS], found.rows[0, ..., MINUS], found.rails[0].T, found.ends[0]]
    assert np.abs(np.concatenate([part.ravel() for part in ours]) - theirs).max() < 1e-9 * volts
