from itertools import pairwise
from math import cos, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_bvp
from scipy.optimize import minimize

from routeviz.tubes.hanging import SMALL, Beam, beam_of_section, gravity_length_mm, sags

DOWN = np.array([0.0, 0.0, -1.0])
SOFT_PVC = beam_of_section(6, 4, 6.0, 1.2)


def a_line(*corners, step_mm=2.0):
    """Return samples along a polyline, corners included, with their arc lengths."""
    corners = np.array(corners, dtype=float)
    pieces = [corners[:1]]
    for a, b in pairwise(corners):
        n = max(int(np.ceil(np.linalg.norm(b - a) / step_mm)), 1)
        pieces.append(a + (b - a) * np.linspace(0, 1, n + 1)[1:, None])
    points = np.concatenate(pieces)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    return points, along


def hung(points, along, *held, beam=SOFT_PVC, down=DOWN, **more):
    return sags(points, along, np.array([0.0, *held, along[-1]]), down=down, beam=beam, **more)


def test_stiffness_and_weight_of_a_soft_tube_are_worked_by_hand():
    # I = pi/64 (6^4 - 4^4) = 51.051 mm4, x 6 MPa
    # section pi/4 (36 - 16) = 15.708 mm2 at 1.2e-6 kg/mm3 x 9.80665
    assert SOFT_PVC.stiffness_nmm2 == pytest.approx(306.31, abs=0.01)
    assert SOFT_PVC.weight_n_per_mm == pytest.approx(1.84851e-4, abs=1e-9)
    # cube root of 306.31 / 1.84851e-4 = 1.65706e6
    assert gravity_length_mm(SOFT_PVC) == pytest.approx(118.33, abs=0.01)


def test_a_level_span_of_soft_tube_sags_between_clamped_and_pinned():
    # 1.84851e-4 x 200^4 / (384 x 306.31) = 2.5145; five times that pinned
    (found,) = hung(*a_line((0, 0, 0), (200, 0, 0)))
    assert found.low_mm == pytest.approx(2.5145, abs=1e-3)
    assert found.high_mm == pytest.approx(12.573, abs=5e-3)
    assert (found.unsupported_mm, found.middle_mm) == (200.0, 100.0)
    assert found.estimates_mm == (found.low_mm, found.high_mm)


def test_what_passes_its_length_is_cut_there_and_is_no_estimate():
    # pinned 63.6 mm; but 300 mm taut, 5 % longer, goes down 150 x sqrt(1.05^2 - 1) = 48.02 mm in a V
    (found,) = hung(*a_line((0, 0, 0), (300, 0, 0)))
    assert found.low_mm == pytest.approx(12.730, abs=1e-3)
    assert found.high_mm == found.limit_mm == pytest.approx(150 * sqrt(1.05**2 - 1))
    assert found.estimates_mm == (found.low_mm, None)


def bent_however_far(load, clamped):
    """Return the sag of a beam of length 1 and E I = 1, one of whose level ends slides, bent by ``load``.

    The elastica, ``theta'' = load (s - 1/2) cos theta``, by another package's collocation.
    """

    def slopes(s, y):
        theta, moment = y[0], y[1]
        return np.array([moment, load * (s - 0.5) * np.cos(theta), np.sin(theta)])

    def ends(first, last):
        held = 0 if clamped else 1  # no slope, or no moment
        return np.array([first[held], last[held], first[2]])

    s = np.linspace(0, 1, 201)
    guess = np.zeros((3, len(s)))
    guess[0] = 0.1 * np.cos(np.pi * s)
    solved = solve_bvp(slopes, ends, s, guess, tol=1e-8, max_nodes=100_000)
    assert solved.success
    return abs(float(solved.sol(0.5)[2]))


@pytest.mark.parametrize(("factor", "clamped"), [(1, True), (5, False)])
def test_the_formulas_tell_little_too_much_where_they_are_believed_and_much_beyond(factor, clamped):
    # The straight beam's sag is factor x load / 384; the load that makes it so much, given to the elastica.
    at_most = bent_however_far(SMALL * 384 / factor, clamped)
    assert at_most < SMALL < 1.05 * at_most
    beyond = bent_however_far(3 * SMALL * 384 / factor, clamped)
    assert 1.3 * beyond < 3 * SMALL


@pytest.mark.parametrize(
    ("length", "known"), [(150, (True, True)), (250, (True, False)), (420, (False, False))]
)
def test_a_sag_of_more_than_a_tenth_of_the_span_is_no_estimate(length, known):
    # w / (384 E I) = 1.5716e-9, so that clamped sags pass a tenth at 399 mm, and pinned ones at 233 mm.
    # Slack enough that its length is in nobody's way.
    (found,) = hung(*a_line((0, 0, 0), (length, 0, 0)), slack_percent=100.0)
    assert tuple(one is not None for one in found.estimates_mm) == known
    per_mm4 = 1.84851e-4 / (384 * 306.31)
    assert found.low_mm == pytest.approx(per_mm4 * length**4, rel=1e-4)
    assert (found.low_mm <= 0.1 * length, found.high_mm <= 0.1 * length) == known


def test_half_of_a_bent_span_standing_upright_the_estimate_is_above_what_a_frame_does():
    """Kleinlogel, Rahmenformeln (from memory): a frame of two legs, its corner rigid, both feet clamped.

    Under a load along the level leg alone its end at the corner turns, and the corner stays where it is: of
    the moment w a^2 / 12 that the leg would have, both legs take half each, being alike. So the leg sags by
    w a^4 / 384, and by the half moment w a^2 / 24 at one end, the other clamped, by another
    (w a^2 / 24) a^2 / 32.
    """
    leg = 100.0
    (found,) = hung(*a_line((0, 0, 0), (leg, 0, 0), (leg, 0, -leg)))
    weight, stiffness = SOFT_PVC.weight_n_per_mm, SOFT_PVC.stiffness_nmm2
    frame = weight * leg**4 / stiffness * (1 / 384 + 1 / (24 * 32))
    assert found.low_mm > frame


def test_a_tube_drawn_taut_that_gives_nothing_does_not_sag():
    (found,) = hung(*a_line((0, 0, 0), (300, 0, 0)), slack_percent=0.0)
    assert found.high_mm == pytest.approx(0.0, abs=1e-3)


def test_a_plumb_span_does_not_sag():
    (found,) = hung(*a_line((0, 0, 0), (0, 0, -400)))
    assert found.low_mm == found.high_mm == 0.0
    assert found.limit_mm > 0


@pytest.mark.parametrize("slope_deg", [20, 45, 70])
def test_only_the_weight_across_a_sloping_span_bends_it(slope_deg):
    end = (150 * cos(radians(slope_deg)), 0, 150 * sin(radians(slope_deg)))
    (sloping,) = hung(*a_line((0, 0, 0), end))
    (level,) = hung(*a_line((0, 0, 0), (150, 0, 0)))
    assert sloping.low_mm == pytest.approx(level.low_mm * cos(radians(slope_deg)), rel=1e-6)
    assert sloping.high_mm == pytest.approx(level.high_mm * cos(radians(slope_deg)), rel=1e-6)


def test_a_case_leaned_back_changes_what_hangs():
    points, along = a_line((0, 0, 0), (0, 0, 200))
    (upright,) = hung(points, along)
    (laid_down,) = hung(points, along, down=np.array([0.0, 1.0, 0.0]))
    assert upright.high_mm == 0.0
    assert laid_down.high_mm == pytest.approx(12.573, abs=5e-3)


def test_ties_part_a_tube_into_spans_and_end_most_of_the_sag():
    points, along = a_line((0, 0, 0), (300, 0, 0))
    found = hung(points, along, 100.0, 250.0)
    assert [(s.begin_mm, s.end_mm) for s in found] == [(0.0, 100.0), (100.0, 250.0), (250.0, 300.0)]
    # to the fourth power: (150 / 300)^4 = 1/16 of the clamped sag of the whole
    assert found[1].low_mm == pytest.approx(12.730 / 16, abs=1e-3)


def test_supports_that_coincide_count_once():
    points, along = a_line((0, 0, 0), (300, 0, 0))
    assert len(hung(points, along, 100.0, 100.0, 300.0)) == 2


def test_a_span_ends_between_samples():
    points, along = a_line((0, 0, 0), (100, 0, 0), step_mm=7.0)
    first, second = hung(points, along, 50.5)
    assert first.high_mm == pytest.approx(5 * SOFT_PVC.weight_n_per_mm * 50.5**4 / (384 * 306.305), rel=1e-4)
    assert second.high_mm == pytest.approx(5 * SOFT_PVC.weight_n_per_mm * 49.5**4 / (384 * 306.305), rel=1e-4)


def test_a_weightless_tube_does_not_bend():
    feather = Beam(stiffness_nmm2=300.0, weight_n_per_mm=0.0)
    (found,) = hung(*a_line((0, 0, 0), (300, 0, 0)), beam=feather)
    assert found.high_mm == 0.0
    assert gravity_length_mm(feather) == float("inf")


def test_the_limit_is_the_deepest_that_a_chain_of_that_length_can_be_pulled():
    """Another method: a chain of links between the same ends, one link pulled down by an optimiser."""
    points, along = a_line((0, 0, 0), (0, 0, -60), (90, 0, -60), (120, 40, -20), step_mm=1.0)
    (found,) = hung(points, along)

    def deepest(share):
        at = share * along[-1]
        drawn = np.array([np.interp(at, along, points[:, k]) for k in range(3)])
        within = [
            {"type": "ineq", "fun": lambda p: (1.05 * at) ** 2 - ((p - points[0]) ** 2).sum()},
            {"type": "ineq", "fun": lambda p: (1.05 * (along[-1] - at)) ** 2 - ((p - points[-1]) ** 2).sum()},
            {"type": "eq", "fun": lambda p: (p - drawn)[:2]},
        ]
        return -minimize(lambda p: p[2] - drawn[2], drawn, constraints=within, method="SLSQP").fun

    # a coarse search over the span finds nearly the same, and never more
    found_by_pulling = max(deepest(share) for share in np.linspace(0.05, 0.95, 181))
    assert found_by_pulling <= found.limit_mm + 1e-3
    assert found_by_pulling == pytest.approx(found.limit_mm, rel=0.02)


@settings(max_examples=60, deadline=None)
@given(
    corners=st.lists(st.tuples(*[st.integers(-150, 150)] * 3), min_size=2, max_size=5, unique=True),
    turn_deg=st.integers(0, 359),
    share=st.floats(0.1, 0.9),
)
def test_moved_turned_and_reversed_a_tube_hangs_the_same(corners, turn_deg, share):
    points, along = a_line(*corners)
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, 0.6, -0.8], [0, 0.8, 0.6]])
    held = share * along[-1]
    here = hung(points, along, held)
    moved = hung(points @ turn.T + [10.0, -20.0, 30.0], along, held, down=turn @ DOWN)
    back = hung(points[::-1].copy(), (along[-1] - along)[::-1].copy(), along[-1] - held)[::-1]
    for one, other in zip(here, moved, strict=True):
        assert (one.low_mm, one.high_mm) == pytest.approx((other.low_mm, other.high_mm), rel=1e-6, abs=1e-3)
    for one, other in zip(here, back, strict=True):
        assert (one.low_mm, one.high_mm) == pytest.approx((other.low_mm, other.high_mm), rel=1e-6, abs=1e-3)
    for one in here:
        assert 0 <= one.low_mm <= one.high_mm <= one.limit_mm


def test_finer_samples_change_little():
    corners = ((0, 0, 0), (0, 0, -80), (120, 30, -80), (150, 60, -10))
    (coarse,) = hung(*a_line(*corners, step_mm=2.0))
    (fine,) = hung(*a_line(*corners, step_mm=0.1))
    assert coarse.low_mm == pytest.approx(fine.low_mm, rel=1e-9)
    assert coarse.limit_mm == pytest.approx(fine.limit_mm, rel=0.01)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"points": np.zeros((2, 2))}, "points: shape"),
        ({"along": np.array([0.0, 0.0])}, "along: two or more increasing"),
        ({"supports": np.array([0.0])}, "supports: two or more sorted"),
        ({"supports": np.array([50.0, 0.0])}, "supports: two or more sorted"),
        ({"supports": np.array([0.0, 101.0])}, "supports: within 0 to 100 wanted, 0 to 101 given"),
        ({"down": np.array([0.0, 0.0, -2.0])}, "down: a unit vector"),
        ({"slack_percent": -1.0}, "slack_percent: 0 or more"),
    ],
)
def test_what_is_no_tube_is_refused(change, match):
    points, along = np.array([[0.0, 0, 0], [100.0, 0, 0]]), np.array([0.0, 100.0])
    call = {"points": points, "along": along, "supports": along, "down": DOWN, "beam": SOFT_PVC} | change
    with pytest.raises(ValueError, match=match):
        sags(call.pop("points"), call.pop("along"), call.pop("supports"), **call)


@pytest.mark.parametrize(("stiffness", "weight"), [(0.0, 1.0), (float("inf"), 1.0), (1.0, -1.0)])
def test_a_beam_that_cannot_be_is_refused(stiffness, weight):
    with pytest.raises(ValueError, match="wanted"):
        Beam(stiffness_nmm2=stiffness, weight_n_per_mm=weight)


def test_a_section_without_wall_is_refused():
    with pytest.raises(ValueError, match="0 <= bore < outside"):
        beam_of_section(4, 4, 6.0, 1.2)
