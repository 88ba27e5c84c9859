"""Rows as they look from where the fitter stands: order, proportion, and what each number leads to."""

from itertools import pairwise

import pytest
from benched import NAMES, lay_of
from builders import place, read, with_part, with_row, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.row_charts import NO_TUBE, row_charts, row_table
from routeviz.records.settings import Settings

GAP = 20.0  # beside the even spacing, after number 4


def a_bar(faces, first=(0, 0, 100), last=(90, 0, 100)):
    """Eight nipples 10 apart with a gap of twenty after the fourth: 0, 10, 20, 30, 60, 70, 80, 90."""
    rows = [
        {"holes": "1..8", "first": place(*first), "last": place(*last), "gaps": [{"after": 4, "wide": GAP}]}
    ]
    return with_part("bar", kind="nipples", faces=faces, outside=3.97, rows=rows)


def the_chart(folder, *pieces, worker="front"):
    lay = check_reading(read(folder, *pieces))
    (chart,) = row_charts(lay, Settings(worker=worker))
    return chart


def across(chart):
    return [[(one.number, round(one.across_mm, 6)) for one in row] for row in chart.rows]


IN_ORDER = [[(1, 0), (2, 10), (3, 20), (4, 30), (5, 60), (6, 70), (7, 80), (8, 90)]]
MIRRORED = [[(8, 0), (7, 10), (6, 20), (5, 30), (4, 60), (3, 70), (2, 80), (1, 90)]]


@pytest.mark.parametrize(
    ("faces", "worker", "seen", "order"),
    [
        ("front", "front", "the nipples face you", IN_ORDER),
        ("back", "front", "face away from you", IN_ORDER),
        ("back", "back", "the nipples face you", MIRRORED),
        ("front", "back", "face away from you", MIRRORED),
        ("up", "front", "from above", IN_ORDER),
        ("up", "back", "from above", MIRRORED),
        ("down", "front", "from below", IN_ORDER),
    ],
)
def test_a_row_stands_as_it_looks_from_the_workers_side(tmp_path, faces, worker, seen, order):
    chart = the_chart(tmp_path, a_bar(faces), worker=worker)
    assert across(chart) == order
    assert seen in chart.seen
    assert (round(chart.wide_mm, 6), round(chart.high_mm, 6)) == (90, 0)


@pytest.mark.parametrize(("faces", "order"), [("right", IN_ORDER), ("left", MIRRORED)])
def test_nipples_that_face_sideways_are_seen_from_that_side(tmp_path, faces, order):
    # Who looks at the case from its right has what lies farther back at the right hand.
    chart = the_chart(tmp_path, a_bar(faces, (0, 0, 100), (0, 90, 100)))
    assert across(chart) == order


def test_seen_from_above_the_farther_row_is_the_upper_one(tmp_path):
    rows = [
        {"holes": "1..7 step 2", "first": place(0, 0, 0), "last": place(60, 0, 0)},
        {"holes": "2..8 step 2", "first": place(10, 15, 0), "last": place(70, 15, 0)},
    ]
    bar = with_part("bar", kind="nipples", faces="up", outside=3.97, rows=rows)
    chart = the_chart(tmp_path, bar)
    assert [[one.number for one in row] for row in chart.rows] == [[2, 4, 6, 8], [1, 3, 5, 7]]
    assert chart.rows[0][0].up_mm == pytest.approx(15)
    assert [[one.number for one in row] for row in the_chart(tmp_path, bar, worker="back").rows] == [
        [7, 5, 3, 1],
        [8, 6, 4, 2],
    ]


def test_a_place_says_where_it_leads_through_tees_and_to_what_waits(tmp_path):
    ends = with_row("chest", "1..3", (0, 0, 400), (20, 0, 400), faces="down")
    tee = with_part("tee", kind="tee", at=place(200, 0, 300), runs="up", branches="right", outside=3.97)
    unseen = {"hidden": "where it goes does not matter here"}
    tubes = (
        with_tube("bar 1..2", "chest 1..2", corners=[]),
        with_tube("bar 3", "tee 1", name="sustain", **unseen),
        with_tube("tee 2", "chest 3", **unseen),
        with_tube("tee 3", "loose", waits_for="a booster", **unseen),
    )
    chart = the_chart(tmp_path, a_bar("up"), ends, tee, *tubes)
    first, _, third, fourth, *_ = chart.rows[0]
    assert (first.leads_to, first.joins, first.named) == ("chest 1", (), "")
    assert (third.leads_to, third.joins) == ("chest 3, loose (for a booster)", ("tee",))
    assert third.named == "sustain"
    assert fourth.leads_to == NO_TUBE


@pytest.mark.parametrize("name", NAMES)
def test_every_nipple_of_a_charted_part_stands_in_it_once(name):
    lay = lay_of(name)
    charts = row_charts(lay, Settings())
    shown = [one.nipple for chart in charts for row in chart.rows for one in row]
    assert len(set(shown)) == len(shown) == len(row_table(lay, Settings()).rows)
    bar = [nipple for nipple in lay.cabinet.nipples.values() if nipple.part == "tracker bar"]
    assert {nipple.name for nipple in bar} <= set(shown)


def test_the_bar_of_the_hall_is_nine_to_the_inch():
    bar = row_charts(lay_of("harbour_hall"), Settings())[0]
    for row in bar.rows:
        steps = [after.across_mm - before.across_mm for before, after in pairwise(row)]
        assert steps == pytest.approx([2 * 25.4 / 9] * 49, abs=0.002)  # written to a hundredth over 49 steps
