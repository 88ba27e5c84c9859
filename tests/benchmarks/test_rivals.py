"""Is planning all tubes together worth it beside planning one after another, by our steps or by sampling?

Run by ``pytest tests/benchmarks/test_rivals.py`` after ``pip install .[bench]``; how it is made fair is said
in rivals.py. The table is that of ``python -m benchmarks.planning 120 2 --rivals``.
"""

import tomllib

import pytest
from benchmarks.alone import only
from benchmarks.cabinets import a_cabinet
from benchmarks.rivals import TIMES, all_of, compared, warm

TUBES, SEEDS = 120, (0, 1)


@pytest.fixture(scope="module", params=SEEDS)
def made(request):
    """Ours, then the others."""
    warm()
    return list(compared(request.param, TUBES))


def test_at_ten_times_our_time_no_other_has_laid_all_tubes_legally(made):
    assert TIMES == 10
    ours, *others = made
    assert ours.legal == TUBES
    assert {one.who: one.legal < TUBES for one in others} == dict.fromkeys((one.who for one in others), True)


def test_a_tube_that_is_alone_in_its_cabinet_is_laid_legally_by_all(tmp_path):
    """The harness itself: none of them is kept from laying what is easy."""
    cabinet, path = a_cabinet(0, 30), tmp_path / "cabinet.toml"
    name = tomllib.loads(cabinet.text)["tubes"][0]["name"]
    path.write_text(only(cabinet.text, name, ()), encoding="utf-8")
    found = {one.who: one.legal for one in all_of(path)}
    assert found == dict.fromkeys(found, 1)
