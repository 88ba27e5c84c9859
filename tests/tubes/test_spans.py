import numpy as np
import pytest
from builders import corners_of, extent, place, with_box, with_nipple, with_part, with_tube, with_tubing
from lays import RADIUS, a_lay

from routeviz.tubes.hanging import beam_of_section, sag_mm
from routeviz.tubes.measures import measure

SPAN = 120.0
CLAMPED, PINNED = sag_mm(
    SPAN, *(lambda beam: (beam.stiffness_nmm2, beam.weight_n_per_mm))(beam_of_section(5.56, 3.97, 1.2, 0.95))
)


def level(*pieces, long=SPAN, ties=None, tubing="note"):
    """A level tube to the right at z = 0 between two nipples which nothing carries."""
    return (
        with_tubing("note"),
        with_tubing("bare", modulus=None),
        *pieces,
        with_nipple("left", (0, 0, 0), faces="right"),
        with_nipple("right", (long, 0, 0), faces="left"),
        with_tube("left 1", "right 1", tubing, corners=[], ties=ties),
    )


def test_a_level_span_sags_as_the_two_beams_say_and_comes_nearest_in_the_middle(tmp_path):
    shelf = with_box("shelf", (-50, -50, -40), (300, 100, 30))
    (span,) = measure(*a_lay(tmp_path, *level(shelf))).spans
    assert (span.tube, span.from_mm, span.to_mm, span.below) == (0, 0.0, SPAN, 0)
    assert (span.sag_low_mm, span.sag_high_mm) == pytest.approx((CLAMPED, PINNED))
    # The shelf's top is 10 below the centreline.
    assert span.clear_low_mm == pytest.approx(10 - RADIUS - PINNED, abs=0.05)
    assert span.clear_high_mm == pytest.approx(10 - RADIUS - CLAMPED, abs=0.05)
    assert span.along_mm == pytest.approx(SPAN / 2, abs=8)


def test_what_lies_above_or_beside_is_not_come_nearer(tmp_path):
    above = with_box("above", (-50, -50, 5), (300, 100, 30))
    beside = with_box("beside", (-50, 5, -30), (300, 100, 60))
    (span,) = measure(*a_lay(tmp_path, *level(above, beside))).spans
    assert span.below is None
    assert span.clear_low_mm == span.clear_high_mm == np.inf


def test_what_sagging_brings_no_nearer_is_left_to_touch(tmp_path):
    # A peg from below, 4 under the sleeve; where the tube has begun to sag it has left it behind.
    peg = with_box("peg", (-4, -5, -40), (3, 10, 36))
    (span,) = measure(*a_lay(tmp_path, *level(peg))).spans
    assert span.below is None


def test_ties_part_a_tube_into_spans_that_sag_less(tmp_path):
    spans = measure(*a_lay(tmp_path, *level(long=240, ties=[{"along": 120, "to": "bundle"}]))).spans
    assert [(span.from_mm, span.to_mm) for span in spans] == [(0, 120), (120, 240)]
    assert [span.sag_high_mm for span in spans] == pytest.approx([PINNED, PINNED])


def test_without_a_stiffness_nothing_is_said(tmp_path):
    assert measure(*a_lay(tmp_path, *level(tubing="bare"))).spans == ()


def test_a_tube_may_hang_onto_its_own_carrier_beyond_its_window(tmp_path):
    row = {"holes": "1", "first": place(0, 50, 40)}
    chest = with_part(
        "chest",
        kind="box",
        at=place(0, -50, -31),
        size=extent(200, 100, 25),
        faces="right",
        outside=3.97,
        rows=[row],
    )
    # The nipple's tip is 9 above z = 0; level, over the chest's top at -6: 15 below the centreline.
    cabinet, tubes = a_lay(
        tmp_path,
        chest,
        with_nipple("end", (200, 0, 9), faces="left"),
        with_tube("chest 1", "end 1", corners=[]),
    )
    (span,) = measure(cabinet, tubes).spans
    assert span.below == 0
    assert span.clear_low_mm < 0  # 200 long it sags by more than 15 when held loosely


def test_a_tube_that_would_fold_as_it_sags_is_measured_all_the_same(tmp_path):
    points = [(0, 0, 0), (0, 0, -300), (40, 0, -300), (40, 0, 300)]
    cabinet, tubes = a_lay(
        tmp_path,
        with_nipple("a", points[0], faces="down"),
        with_nipple("b", points[-1], faces="down"),
        with_tube("a 1", "b 1", corners=corners_of(*points[1:-1], radius=19)),
        with_box("floor", (-100, -100, -420), (300, 300, 100)),
    )
    (span,) = measure(cabinet, tubes).spans
    assert span.sag_most_mm >= 0.5
    assert span.sag_high_mm is None  # it falls over, which nobody estimates


def test_a_span_that_sags_too_far_for_the_formulas_is_not_estimated_but_looked_at_all_the_same(tmp_path):
    # 200 long: pinned it would sag by more than a tenth, clamped by less; 5 % longer, it comes no lower than
    # the tip of a V, 100 sqrt(1.05^2 - 1). The shelf is 40 below.
    shelf = with_box("shelf", (-50, -50, -70), (300, 100, 30))
    (span,) = measure(*a_lay(tmp_path, *level(shelf, long=200))).spans
    clamped, pinned = (sag * (200 / SPAN) ** 4 for sag in (CLAMPED, PINNED))
    lowest = 100 * np.sqrt(1.05**2 - 1)
    assert clamped < 20 < lowest < pinned
    assert span.sag_low_mm == pytest.approx(clamped, rel=1e-6)
    assert span.sag_high_mm is None
    assert span.sag_most_mm == pytest.approx(lowest, rel=1e-3)
    assert span.clear_low_mm == pytest.approx(40 - RADIUS - lowest, abs=0.1)
