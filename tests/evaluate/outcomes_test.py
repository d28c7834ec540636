"""What counts as right, wrong, unsure, escaped."""
import unittest

from outcomes import kind_of_error, overlap, rows_of

SQUARE = [[0, 0], [10, 0], [10, 10], [0, 10]]


def truth_of(**more):
    slot = {"slot": 1, "seen": True, "face": SQUARE, "stagger_mm": 0.2, "number": {"text": "16"},
            "vent": {"end": "left"}, "sign": {"sign": "+"}}
    return {"side": "top", "expect": "pass", "accept": ["pass"], "findings": [], "slots": [slot],
            "pack": {"stagger_limit_mm": 1.0, "sides": {"top": {"number": {}, "vent": {}, "sign": {}}}}, **more}


def result_of(number="16", vent="left", sign="+", findings=(), verdict="pass", seen=True):
    said = lambda key, value: value and {key: value, "confidence": 0.97}
    slot = {"slot": 1, "seen": seen, "face": SQUARE, "number": said("text", number), "vent": said("end", vent),
            "sign": said("sign", sign), "stagger_mm": 0.25, "stagger_sd_mm": 0.1}
    return {"verdict": verdict, "findings": list(findings), "photos": [{"slots": [slot]}]}


def outcomes(truth, result):
    return {m["kind"]: m["outcome"] for m in rows_of("a", truth, result)[1]}


class Marks(unittest.TestCase):
    def test_right_and_wrong(self):
        self.assertEqual(outcomes(truth_of(), result_of()), {k: "right" for k in ("number", "vent", "sign")})
        self.assertEqual(outcomes(truth_of(), result_of(number="91"))["number"], "wrong")
        self.assertEqual(outcomes(truth_of(), result_of(number=None))["number"], "wrong")  # said to be blank

    def test_unsure(self):
        doubt = {"code": "number.unsure", "severity": "retake", "slots": [1]}
        self.assertEqual(outcomes(truth_of(), result_of(number="91", findings=[doubt]))["number"], "unsure")
        self.assertEqual(outcomes(truth_of(), result_of(seen=False))["vent"], "unsure")

    def test_what_the_truth_calls_hard_is_spared_only_where_it_is_not_told(self):
        truth = truth_of()
        truth["slots"][0]["number"]["hard"] = True
        doubt = {"code": "number.unsure", "severity": "retake", "slots": [1]}
        self.assertEqual(outcomes(truth, result_of(findings=[doubt]))["number"], "spared")
        self.assertEqual(outcomes(truth, result_of(number="91"))["number"], "wrong")

    def test_hidden_and_unmarked_slots_are_not_asked_for(self):
        truth = truth_of()
        truth["slots"][0]["seen"] = False
        self.assertEqual(outcomes(truth, result_of()), {})
        truth = truth_of()
        del truth["pack"]["sides"]["top"]["sign"]
        self.assertNotIn("sign", outcomes(truth, result_of()))
        self.assertEqual(outcomes(truth_of(expect="retake", accept=["retake"]), result_of()), {})


class Slots(unittest.TestCase):
    def test_overlap(self):
        moved = [[x + 5, y] for x, y in SQUARE]
        self.assertAlmostEqual(overlap(SQUARE, moved), 1 / 3)
        self.assertAlmostEqual(overlap(SQUARE, SQUARE[::-1]), 1)
        self.assertEqual(overlap(SQUARE, [[x + 20, y] for x, y in SQUARE]), 0)

    def test_stagger_and_who_is_named(self):
        off = {"code": "stagger.over", "severity": "fix", "slots": [1]}
        slot = rows_of("a", truth_of(), result_of(findings=[off]))[2][0]
        self.assertEqual([slot[k] for k in ("stagger", "measured", "sd", "named", "iou")],
                         [0.2, 0.25, 0.1, True, 1])


class Verdicts(unittest.TestCase):
    def test_kinds_of_error(self):
        kind = lambda accept, verdict: kind_of_error({"accept": accept, "verdict": verdict})
        self.assertEqual(kind(["fix"], "pass"), "escape")
        self.assertEqual(kind(["retake"], "pass"), "escape")
        self.assertEqual(kind(["pass"], "fix"), "false alarm")
        self.assertEqual(kind(["pass"], "retake"), "needless retake")
        self.assertIsNone(kind(["fix", "retake"], "retake"))
        self.assertEqual(kind_of_error({"accept": ["pass"], "verdict": None, "broken": "no answer"}), "broken")


if __name__ == "__main__":
    unittest.main()
