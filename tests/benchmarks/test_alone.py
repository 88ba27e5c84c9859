"""How much longer are tubes laid together than each laid alone through its passages?

Run by ``pytest tests/benchmarks/test_alone.py``; it plans every tube of three cabinets by itself, once.
"""

import sys

import pytest
from benchmarks.planning import outcomes, table

TUBES, SEEDS = 120, (0, 1, 2)
TOGETHER, WORST = 1.08, 1.35


@pytest.fixture(scope="module")
def rows():
    return list(outcomes(TUBES, SEEDS, is_alone=True))


def test_all_together_are_hardly_longer(rows, capsys):
    with capsys.disabled():
        sys.stdout.write("\n" + "".join(table(rows)))
    assert max(row.to_alone for row in rows) <= TOGETHER


def test_no_tube_pays_for_the_others(rows):
    assert max(row.worst_alone for row in rows) <= WORST
