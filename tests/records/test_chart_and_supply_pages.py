"""Row charts and the supply on paper: every nipple beside its neighbours, every tube drawn as it is."""

from collections import Counter
from itertools import pairwise

import pytest
from benched import NAMES, lay_of
from printed import PAPERS, pressed, texts

from routeviz.records.chart_pages import NUMBER_PT, chart_pages
from routeviz.records.paper import Oval, Path, Writing
from routeviz.records.row_charts import NO_TUBE, row_charts
from routeviz.records.settings import Settings
from routeviz.records.supply import supply_of
from routeviz.records.supply_page import HEAVY, LIGHT, supply_pages


def numbers_on(page):
    """The numbers in the rings of a page, each with where it stands."""
    return [
        (int(m.text), m.at)
        for m in page.marks
        if isinstance(m, Writing) and m.bold and m.pt == NUMBER_PT and m.text.isdigit()
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_every_nipple_of_a_chart_is_printed_once(name, paper):
    lay, settings = lay_of(name), Settings(paper=paper)
    wanted = Counter(one.number for chart in row_charts(lay, settings) for row in chart.rows for one in row)
    assert Counter(number for page in chart_pages(lay, settings) for number, _ in numbers_on(page)) == wanted


@pytest.mark.parametrize("name", ["thistledown", "harbour_hall"])
def test_holes_stand_from_left_to_right_as_on_the_bar_seen_from_the_player(name):
    # The scenes number their holes from the player's left; odd ones are above.
    first = chart_pages(lay_of(name), Settings())[0]
    count = max(len(row) for chart in row_charts(lay_of(name), Settings())[:1] for row in chart.rows)
    places = dict(numbers_on(first)[: 2 * count])
    odd = [places[k] for k in sorted(places) if k % 2]
    same_strip = [(a, b) for a, b in pairwise(odd) if abs(a[1] - b[1]) < 1]
    assert len(same_strip) > 20
    assert all(a[0] < b[0] for a, b in same_strip)
    for k in (1, 5, 11):
        assert places[k][0] < places[k + 1][0] < places[k + 2][0]
        assert places[k][1] < places[k + 1][1]


def test_seen_from_behind_the_rows_run_the_other_way():
    places = dict(numbers_on(chart_pages(lay_of("harbour_hall"), Settings(worker="back"))[0]))
    pairs = [(places[k], places[k + 2]) for k in range(1, 98, 2)]
    beside = [(one, other) for one, other in pairs if abs(one[1] - other[1]) < 1]
    assert len(beside) > 40
    assert all(one[0] > other[0] for one, other in beside)


@pytest.mark.parametrize("name", NAMES)
def test_a_ring_is_thick_where_a_tee_is_on_the_way_and_dashed_where_nothing_is(name):
    lay, settings = lay_of(name), Settings()
    every = [one for chart in row_charts(lay, settings) for row in chart.rows for one in row]
    rings = [
        m for page in chart_pages(lay, settings) for m in page.marks if isinstance(m, Oval) and not m.filled
    ]
    assert sum(bool(ring.dashes) for ring in rings) == sum(one.leads_to == NO_TUBE for one in every)
    assert sum(ring.wide > 0.5 for ring in rings) == sum(bool(one.joins) for one in every)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_every_tube_with_vacuum_is_drawn_heavy_or_light_and_told(name, paper):
    lay = lay_of(name)
    pages = supply_pages(lay, Settings(paper=paper))
    widths = Counter(m.wide for m in pages[0].marks if isinstance(m, Path) and not m.closed)
    always = sum(tube.carries == "always-on vacuum" for tube in lay.tubes)
    switched = sum(tube.carries == "switched vacuum" for tube in lay.tubes)
    assert widths[HEAVY] == always
    # Boxes of units are as thin as switched tubes; they are closed, tubes are not.
    thin = [m for m in pages[0].marks if isinstance(m, Path) and m.wide == LIGHT and not m.closed]
    assert len(thin) == switched
    said = " ".join(texts(pressed(pages)))
    for edge in supply_of(lay).edges:
        assert f"{lay.tubes[edge.tube].tag}: {edge.size}" in said


@pytest.mark.parametrize("name", NAMES)
def test_tubes_of_the_supply_run_level_and_upright_and_none_lies_on_another(name):
    pages = supply_pages(lay_of(name), Settings())
    ways = [
        m.points for m in pages[0].marks if isinstance(m, Path) and m.wide in (HEAVY, LIGHT) and not m.closed
    ]
    stretches = [(a, b) for way in ways for a, b in pairwise(way) if a != b]
    for (ax, ay), (bx, by) in stretches:
        assert ax == bx or ay == by
    level = [(a[1], min(a[0], b[0]), max(a[0], b[0])) for a, b in stretches if a[1] == b[1]]
    upright = [(a[0], min(a[1], b[1]), max(a[1], b[1])) for a, b in stretches if a[0] == b[0]]
    for some in (level, upright):
        for k, (at, low, high) in enumerate(some):
            for other_at, other_low, other_high in some[k + 1 :]:
                assert abs(at - other_at) > 0.2 or min(high, other_high) <= max(low, other_low) + 0.01
