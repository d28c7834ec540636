"""From scores to probabilities."""
import random
import unittest

from calibrate import look_up, monotone_blocks, table


class Blocks(unittest.TestCase):
    def test_equal_scores_are_one_block(self):
        blocks = monotone_blocks([(0.0, k < 300) for k in range(1000)] + [(0.5 + k / 1e4, True) for k in range(1000)])
        self.assertEqual(blocks[0][1:], [300, 1000, 0.0])

    def test_shares_never_fall(self):
        dice = random.Random(7)
        pairs = [(s, dice.random() < 0.5 + s / 2) for s in (dice.random() for _ in range(5000))]
        shares = [b[1] / b[2] for b in monotone_blocks(pairs)]
        self.assertEqual(shares, sorted(shares))
        self.assertEqual(sum(b[2] for b in monotone_blocks(pairs)), 5000)


class Table(unittest.TestCase):
    def test_a_probability_comes_true(self):
        dice = random.Random(8)
        rows = table([(s, dice.random() < s ** 2) for s in (dice.random() for _ in range(40000))])
        for score in (0.3, 0.5, 0.7, 0.9):
            self.assertAlmostEqual(look_up(rows, score), score ** 2, delta=0.03)

    def test_a_block_without_errors_promises_no_more_than_its_size_shows(self):
        rows = table([(0.1, False)] * 50 + [(0.9, True)] * 50)
        self.assertAlmostEqual(look_up(rows, 1.0), 50.5 / 51, places=4)


if __name__ == "__main__":
    unittest.main()
