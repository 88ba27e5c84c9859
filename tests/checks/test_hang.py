"""hang on both sides of its limits: a level tube over a narrow block under its middle.

Sag of a straight level span, w L^4 / (384 E I) held stiffly and five times that held loosely (S. Timoshenko,
Strength of Materials, part I; from memory), with E = 1.2 MPa, density 0.95, outside 5.56, bore 3.97, L = 150.
"""

import math

import pytest
from builders import with_box, with_tubing
from verdicts import RADIUS, a_tube_right, a_tube_up, findings, limits, severity

EI = 1.2 * math.pi / 64 * (5.56**4 - 3.97**4)
WEIGHT = math.pi / 4 * (5.56**2 - 3.97**2) * 0.95e-6 * 9.80665  # N/mm, standard gravity
STIFFLY = WEIGHT * 150**4 / (384 * EI)  # 3.51
LOOSELY = 5 * STIFFLY  # 17.5; its length would let it hang by sqrt(78.75^2 - 75^2) = 24


def block(below):
    """A block 4 wide under the middle, its top as far below the centreline as said."""
    return with_box("block", (73, -50, -below - 50), (4, 100, 50))


@pytest.mark.parametrize(
    ("free", "expected"),
    [
        (STIFFLY + 2 - 0.1, "fault"),
        (STIFFLY + 2 + 0.1, "caution"),
        (LOOSELY + 2 - 0.1, "caution"),
        (LOOSELY + 2 + 0.1, None),
    ],
)
def test_a_span_that_hangs_too_near_to_what_lies_below(tmp_path, free, expected):
    found = findings(tmp_path, "hang", a_tube_right(long=150), block(free + RADIUS))
    assert severity(found) == expected
    if found:
        assert (found[0].tube, found[0].other) == ("a", "block")
        assert found[0].low == pytest.approx(max(free - LOOSELY, -RADIUS), abs=0.06)
        assert found[0].along_mm == pytest.approx(75, abs=3)


def test_the_tape_s_doubt_is_in_the_tube_s_favour(tmp_path):
    near = block(STIFFLY + 1.5 + RADIUS)
    tube = a_tube_right(long=150)
    assert severity(findings(tmp_path, "hang", tube, near)) == "fault"
    assert severity(findings(tmp_path, "hang", tube, near, top=limits(survey=1))) == "caution"


@pytest.mark.parametrize(("clearance", "expected"), [(6, "caution"), (None, None)])
def test_what_asks_for_more_speaks_though_something_else_lies_nearer(tmp_path, clearance, expected):
    # Held loosely 2.5 are left over the plain block, which asks for 2, and 4 over the one that may ask for 6.
    plain = with_box("plain", (73, -50, -(LOOSELY + 2.5 + RADIUS) - 50), (2, 100, 50))
    asking = with_box("asking", (75, -50, -(LOOSELY + 4 + RADIUS) - 50), (2, 100, 50), clearance=clearance)
    found = findings(tmp_path, "hang", a_tube_right(long=150), plain, asking)
    assert severity(found) == expected
    if found:
        assert found[0].other == "asking"


def test_a_tie_near_the_middle_mends_it(tmp_path):
    # two spans of half the length sag a sixteenth: 1.1 held loosely; the block is not under their middles
    tied = a_tube_right(long=150, ties=[{"along": 75, "to": "bundle"}])
    assert findings(tmp_path, "hang", tied, block(2.5 + RADIUS)) == []
    assert findings(tmp_path, "hang", a_tube_right(long=150), block(2.5 + RADIUS)) != []


def test_what_hangs_depends_on_which_way_is_down(tmp_path):
    # on its back, what was below is in front, and the tube hangs away from it or along it
    tube, near = a_tube_right(long=150), block(STIFFLY + RADIUS)
    assert findings(tmp_path, "hang", tube, near, top='pose = "leaned back 90 deg"') == []


def test_a_tube_straight_up_does_not_sag(tmp_path):
    assert (
        findings(tmp_path, "hang", a_tube_up(long=150), with_box("beside", (5, -50, 0), (20, 100, 150))) == []
    )


def test_unknown_stiffness_is_not_judged(tmp_path):
    soft = with_tubing("note", modulus=None)
    assert findings(tmp_path, "hang", a_tube_right(long=150), block(3), soft) == []


@pytest.mark.parametrize(
    ("long", "words"),
    [
        (120, "sags 1 to 7 mm"),
        (150, "sags 4 mm or more, at most 24 mm"),
        (300, "sags too far for an estimate"),
    ],
)
def test_no_sag_is_told_beyond_what_the_formulas_hold_for(tmp_path, long, words):
    # At 120 mm both are under a tenth of the span, 1.4 and 7.2; at 150 only the lesser, 3.5; at 300 neither.
    under = with_box("block", (long / 2 - 2, -50, -55), (4, 100, 50))
    (found,) = findings(tmp_path, "hang", a_tube_right(long=long), under)
    assert words in found.says
    assert found.severity == "fault"  # the block is 5 below the middle, and 2 off is asked
