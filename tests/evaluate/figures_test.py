"""Figures against values published elsewhere."""
import math
import unittest

import numpy as np

from figures import bounds, detection, lower_bound, paired, reliability, repeatability, spread

# O-ring distress by temperature (F): Dalal, Fowlkes and Hoadley, J. Am. Stat. Assoc. 84 (1989) 945; data and the
# coefficients of the logistic regression (15.0429 and -0.2322, standard errors 7.3786 and 0.1082) from memory.
TEMPERATURES = [53, 57, 58, 63, 66, 67, 67, 67, 68, 69, 70, 70, 70, 70, 72, 73, 75, 75, 76, 76, 78, 79, 81]
DISTRESS = [1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0]

# Three appraisers measure ten parts three times: AIAG, Measurement Systems Analysis, 4th ed., the worked example
# of its chapter on variables (equipment variation by analysis of variance 0.199933); from memory.
PARTS = np.array([
    [0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36],
    [0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25],
    [0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31],
    [0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68],
    [0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62],
    [0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50],
    [0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49],
    [-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77],
    [-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16]])


def chance(k, n, p):
    return math.comb(n, k) * p ** k * (1 - p) ** (n - k)


class Shares(unittest.TestCase):
    def test_one_sided_bounds_of_clopper_and_pearson(self):
        for right, count, low in ((28, 28, .898534), (29, 29, .901855), (45, 46, .900976), (59, 61, .900365),
                                  (59, 59, .950492), (299, 299, .990031)):
            self.assertAlmostEqual(lower_bound(right, count), low, 6)
        self.assertAlmostEqual(lower_bound(40, 40), 0.05 ** (1 / 40), 12)  # closed form
        self.assertEqual(lower_bound(0, 5), 0)

    def test_two_sided_bounds(self):
        low, high = bounds(95, 100)
        self.assertAlmostEqual(low, .887165, 6)
        self.assertAlmostEqual(high, .983568, 6)
        # As they are defined: so many or more, so many or fewer, each one time in forty.
        low, high = bounds(297, 300)
        self.assertAlmostEqual(sum(chance(k, 300, low) for k in range(297, 301)), 0.025, 9)
        self.assertAlmostEqual(sum(chance(k, 300, high) for k in range(298)), 0.025, 9)
        self.assertEqual(bounds(0, 0), (0, 1))
        self.assertEqual(bounds(7, 7)[1], 1)

    def test_reliability_puts_every_reading_in_one_bin(self):
        bins = reliability([0.2, 0.95, 0.96, 1.0], [0, 1, 0, 1], [0, 0.5, 0.95, 1.0])
        self.assertEqual([(b[1], b[4]) for b in bins], [(0, 1), (2 / 3, 3)])


class Detection(unittest.TestCase):
    def test_logistic_regression_of_a_published_set(self):
        found = detection(np.exp(-np.array(TEMPERATURES, float)), DISTRESS)
        self.assertAlmostEqual(found.intercept, 15.0429, 3)
        self.assertAlmostEqual(found.slope, 0.2322, 4)
        self.assertAlmostEqual(math.sqrt(found.covariance[0, 0]), 7.3786, 2)
        self.assertAlmostEqual(math.sqrt(found.covariance[1, 1]), 0.1082, 4)

    def test_a90_and_its_bound_lie_where_the_curves_reach_nine_tenths(self):
        rng = np.random.default_rng(4)
        sizes = np.geomspace(0.3, 3, 400)
        hits = rng.random(400) < 1 / (1 + np.exp(-(1 + 6 * np.log(sizes))))
        found = detection(sizes, hits)
        log_odds = lambda a: found.intercept + found.slope * math.log(a)
        self.assertAlmostEqual(log_odds(found.a90), math.log(9), 9)
        x = np.array([1, math.log(found.a90_95)])
        low = log_odds(found.a90_95) - 1.6448536 * math.sqrt(x @ found.covariance @ x)
        self.assertAlmostEqual(low, math.log(9), 6)
        self.assertGreater(found.a90_95, found.a90)
        self.assertLess(abs(found.a90 - math.exp((math.log(9) - 1) / 6)), 0.15)  # as drawn

    def test_no_answer_where_the_data_give_none(self):
        self.assertIsNone(detection([1, 2, 3], [1, 1, 1]))
        self.assertIsNone(detection([1, 2, 3, 4], [0, 0, 1, 1]))  # parted cleanly: the slope has no bound
        self.assertIsNone(detection([1, 2, 3, 4, 5, 6], [1, 0, 1, 0, 1, 0]))  # larger ones found less often


class Repeats(unittest.TestCase):
    def test_repeatability_of_the_worked_example(self):
        groups = [PARTS[3 * a:3 * a + 3, part] for a in range(3) for part in range(10)]
        sd, share, band, freedom = repeatability(groups, 4.0)
        self.assertAlmostEqual(sd ** 2 * 60, 2.7589, 4)
        self.assertEqual(freedom, 60)
        self.assertAlmostEqual(share, 6 * math.sqrt(2.7589 / 60) / 4, 5)
        self.assertEqual(band, "not acceptable")

    def test_bands(self):
        for sd, band in ((0.03, "acceptable"), (0.05, "conditional"), (0.2, "not acceptable")):
            pair = [0, sd * math.sqrt(2)]
            self.assertEqual(repeatability([pair], 2.0)[2], band)
        self.assertIsNone(repeatability([[1.0]], 2.0))


class Differences(unittest.TestCase):
    def test_paired(self):
        # Nine gained, one lost: 2 (1 + 10) / 1024.
        self.assertEqual(paired([0] * 9 + [1, 1], [1] * 9 + [0, 1])[:2], (9, 1))
        self.assertAlmostEqual(paired([0] * 9 + [1, 1], [1] * 9 + [0, 1])[2], 22 / 1024, 12)
        self.assertEqual(paired([1, 0], [1, 0]), (0, 0, 1))

    def test_spread(self):
        rms, one, two = spread([0.1, -0.1, 0.3], [0.1, 0.2, 0.2])
        self.assertAlmostEqual(rms, math.sqrt(0.11 / 3))
        self.assertAlmostEqual(one, 2 / 3)
        self.assertEqual(two, 1)


if __name__ == "__main__":
    unittest.main()
