import math

import pytest

from league.estimates.student import TwoPiece, cdf, density, mean_distance

# Quantiles of Student's t as printed in common tables: degrees of freedom, share, value. From memory.
PRINTED = [
    (1, 0.975, 12.706),
    (2, 0.95, 2.920),
    (5, 0.9, 1.476),
    (10, 0.975, 2.228),
    (17, 0.975, 2.110),
    (30, 0.99, 2.457),
]
SHAPES = [
    TwoPiece(20.0, 3.5, 4.0, 15.0),
    TwoPiece(-2.0, 1.8, 1.8, 40.0),
    TwoPiece(0.0, 5.0, 2.0, 3.0),
    TwoPiece(20.0, 3.5, 4.0, 215.0),
    TwoPiece(0.0, 1.0, 1.0, 1.0),
]


@pytest.mark.parametrize(("freedom", "share", "value"), PRINTED)
def test_the_printed_quantiles(freedom, share, value):
    assert cdf(value, freedom) == pytest.approx(share, abs=3e-5)
    assert cdf(-value, freedom) == pytest.approx(1 - share, abs=3e-5)


def test_one_degree_of_freedom_is_the_arc_tangent():
    for t in (-30.0, -1.0, -0.1, 0.0, 0.5, 3.0):
        assert cdf(t, 1.0) == pytest.approx(0.5 + math.atan(t) / math.pi, abs=1e-12)


@pytest.mark.parametrize("freedom", [3.0, 15.0, 200.0])
def test_the_density_is_the_slope_of_the_share(freedom):
    for t in (-2.5, -0.3, 0.8, 4.0):
        slope = (cdf(t + 1e-5, freedom) - cdf(t - 1e-5, freedom)) / 2e-5
        assert density(t, freedom) == pytest.approx(slope, rel=1e-5)


def test_the_mean_distance_is_that_of_the_density():
    step = 0.01
    for freedom in (5.0, 20.0):
        summed = 2 * step * sum(place * step * density(place * step, freedom) for place in range(20000))
        assert mean_distance(freedom) == pytest.approx(summed, abs=1e-4)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_two_pieces_meet_and_add_up(shape):
    assert shape.cdf(shape.mode - 1e-9) == pytest.approx(shape.cdf(shape.mode + 1e-9), abs=1e-8)
    assert shape.cdf(-1e6) == pytest.approx(0, abs=1e-6)
    assert shape.cdf(1e6) == pytest.approx(1, abs=1e-6)
    for x in (shape.mode - 4, shape.mode + 3):
        assert shape.density(x) == pytest.approx((shape.cdf(x + 1e-5) - shape.cdf(x - 1e-5)) / 2e-5, rel=1e-4)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_quantile_undoes_the_share(shape):
    for share in (1e-6, 0.001, 0.05, 0.4, 0.4999999, 0.5, 0.5000001, 0.8, 0.999, 1 - 1e-6):
        assert shape.cdf(shape.quantile(share)) == pytest.approx(share, abs=1e-6)
    with pytest.raises(ValueError, match="between 0 and 1"):
        shape.quantile(1.0)
