"""Ranking of suspects against scipy's multivariate normal, a library outside the project."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from guidegen.calc.telling import OUT, UNKNOWN, Signatures

EXPECTED = np.array([[0.010, 0.010, 12.0], [0.090, 0.010, 12.0], [0.010, 0.700, 11.0],
                     [0.010, 0.011, np.nan]])  # fmt: skip
SHARED = np.array([[0.05, 0.05, 0.01], [0.0, 0.2, 0.0]])
OWN = np.array([0.1, 0.1, 0.0])
DIGITS = np.array([0.0002, 0.0002, 0.02])
OVER = np.array([0.4, 0.4, np.inf])


@pytest.fixture
def signatures():
    added = np.array([False, True, False, False])
    return Signatures(EXPECTED, SHARED, OWN, added, DIGITS, 0.005, OVER, np.ones(3))


def spread(suspect):
    """By the definition: common causes move all readings, own parts and the meter each alone."""
    size = np.minimum(np.nan_to_num(EXPECTED[suspect]), OVER)
    own = OWN * (np.minimum(size, EXPECTED[0]) if suspect == 1 else size)
    meter = (0.005 * size + DIGITS) / 3**0.5
    alone = np.where(size < OVER, np.hypot(meter, own), meter)
    alone = np.where(np.isnan(EXPECTED[suspect]), UNKNOWN, alone)
    return size, np.diag(alone**2) + sum(np.outer(size * k, size * k) for k in SHARED)


@pytest.mark.parametrize("numbers", [[0], [2], [0, 1], [0, 1, 2]])
def test_the_score_is_a_normal_likelihood(signatures, numbers):
    read = {number: value for number, value in zip([0, 1, 2], [0.0123, 0.0108, 11.9], strict=True)
            if number in numbers}  # fmt: skip
    score = signatures.score(read)
    for suspect in range(len(EXPECTED)):
        size, whole = spread(suspect)
        theirs = multivariate_normal.logpdf(
            list(read.values()), size[numbers], whole[np.ix_(numbers, numbers)]
        )
        constant = -0.5 * len(numbers) * np.log(2 * np.pi)
        assert score[suspect] + constant == pytest.approx(theirs, rel=1e-9)


def test_what_a_batch_shares_is_no_reason_to_doubt_one_reading(signatures):
    """Both joints 20 % up with the common cause fit better than one of them alone."""
    both = signatures.score({0: 0.011, 1: 0.0115})[0]
    none, even = np.zeros((1, 3)), np.ones(3)
    alone = Signatures(EXPECTED, none, OWN, np.zeros(4, bool), DIGITS, 0.005, OVER, even)
    assert both > alone.score({0: 0.011, 1: 0.0115})[0]


def test_no_reading_leaves_every_suspect(signatures):
    score = signatures.score({})
    assert Signatures.left(score) == [0, 1, 2, 3]


def test_the_next_reading_is_the_one_that_splits(signatures):
    score = signatures.score({})
    first = signatures.next_reading(score, ())
    # Reading 0 parts suspect 1 from three, reading 1 suspect 2 from three, reading 2 tells none.
    assert first in (0, 1)
    score = signatures.score({0: 0.0102})
    assert 1 not in Signatures.left(score)
    assert signatures.next_reading(score, {0}) == 1
    score = signatures.score({0: 0.0102, 1: 0.0101})
    assert set(Signatures.left(score)) == {0, 3}
    assert signatures.next_reading(score, {0, 1}) is None


def test_beyond_the_range_all_readings_are_alike(signatures):
    assert signatures.score({1: 0.7}) == pytest.approx(signatures.score({1: 5.0}))
    assert Signatures.left(signatures.score({1: 3.0})) == [2]


def test_a_thousandth_is_out():
    assert Signatures.left(np.array([0.0, -OUT + 0.01, -OUT - 0.01])) == [0, 1]
