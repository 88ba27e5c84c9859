"""Is planning all tubes together worth it beside a general sampling planner, one tube after another?

Run by ``pytest tests/benchmarks/test_rivals.py`` after ``pip install .[bench]``; how it is made fair is said
in rivals.py. The table is that of ``python -m benchmarks.planning 120 2 --rivals``.
"""

import pytest
from benchmarks.rivals import TIMES, compared, warm

TUBES, SEEDS = 120, (0, 1)


@pytest.fixture(scope="module", params=SEEDS)
def made(request):
    """Ours, then the others."""
    warm()
    return compared(request.param, TUBES)


def test_at_ten_times_our_time_the_sampling_planner_has_not_laid_all_tubes_legally(made):
    assert TIMES == 10
    ours, *others = made
    assert ours.legal == TUBES
    assert {one.who: one.legal < TUBES for one in others} == dict.fromkeys((one.who for one in others), True)
