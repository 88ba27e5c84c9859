"""What is to be bought: the trade's worked example, and sums by kind."""

import math

import pytest
from benched import NAMES, column, lay_of
from builders import read, with_nipple, with_tube, with_tubing

from routeviz.pipeline import check_reading
from routeviz.records.buying import buying, needs_of, trade_estimate_mm, with_allowance
from routeviz.records.settings import Settings

INCH, FOOT = 25.4, 304.8
KEPT = {"as_found": ("lead feed", "old soft")}  # lead, and a stump: they stay as they lie
PAIRS = (("sum_m", "sum_ft"), ("buy_m", "buy_ft"), ("trade_m", "trade_ft"))


def test_the_trades_worked_example():
    """Eighty-eight tubes from 10 to 24 in (mmdigest.com 2004.12.18.03): (10 + 24) * 88 / 2 = 1496 in.

    By the rule of 2004.12.20.08 and 2004.12.21.13 that is 124.67 ft, and with 10 % and 10 % 149.6 ft; he
    himself guesses 150 ft.
    """
    estimate = trade_estimate_mm([10 * INCH, 17 * INCH, 24 * INCH], 88)
    assert estimate / INCH == pytest.approx(1496)
    assert round(estimate / FOOT, 2) == 124.67
    assert round(with_allowance(estimate, Settings()) / FOOT, 1) == 149.6


def test_an_allowance_is_added_not_compounded():
    assert with_allowance(1000.0, Settings(error_percent=10, waste_percent=5)) == pytest.approx(1150)
    assert with_allowance(1000.0, Settings(error_percent=0, waste_percent=0)) == 1000


def test_without_lengths_there_is_no_estimate():
    assert trade_estimate_mm([], 4) is None


def test_each_kind_has_its_own_sum(tmp_path):
    pieces = [with_tubing("note"), with_tubing("hose", bore=19.05, outside=25.4, least_bend=80)]
    for k, (length, kind) in enumerate(((400, "note"), (1000, "hose"), (500, "note"))):
        ends = with_nipple(f"l{k}", (40 * k, 0, 0)), with_nipple(f"h{k}", (40 * k, 0, length), faces="down")
        pieces += [*ends, with_tube(f"l{k} 1", f"h{k} 1", kind, corners=[])]
    table = buying(check_reading(read(tmp_path, *pieces)), Settings())
    assert column(table, "tubing") == ["note", "hose"]
    assert column(table, "outside")[1] == "25.4 mm (1 in)"
    assert column(table, "tubes") == [2, 1]
    sums = [400 + 500 + 4 * 11, 1000 + 2 * 11]
    assert column(table, "sum_m") == [1.0, 1.1]  # 0.944 and 1.022 m, up to a tenth
    assert column(table, "buy_ft") == [math.ceil(1.2 * mm / FOOT * 10) / 10 for mm in sums]
    assert column(table, "trade_m") == [1.2, 1.3]  # 1.2 * 0.944 and 1.2 * 1.022 m: two tubes, and one


@pytest.mark.parametrize("name", NAMES)
def test_every_tube_is_of_one_kind_and_feet_are_metres(name):
    lay = lay_of(name)
    table = buying(lay, Settings())
    wanted = [tube.name for tube in lay.tubes if tube.name not in KEPT.get(name, ())]
    bought = sorted(k for need in needs_of(lay, Settings()) for k in need.tubes)
    assert [lay.tubes[k].name for k in bought] == wanted
    assert sum(column(table, "tubes")) == len(wanted)
    for metres, feet in PAIRS:
        for m, ft in zip(column(table, metres), column(table, feet), strict=True):
            assert (m is None) == (ft is None)
            # Both are the same length rounded up to a tenth.
            assert m is None or -0.1 - 1e-9 <= m - ft * 0.3048 <= 0.1 + 1e-9


def test_a_tube_without_a_length_is_counted_and_its_tag_is_told():
    lay = lay_of("as_found")
    table = buying(lay, Settings())
    bare = {tube.tag for tube in lay.tubes if tube.curve is None and tube.name not in KEPT["as_found"]}
    assert bare
    assert bare <= {tag for cell in column(table, "marked") for tag in cell.split(", ")}


def test_lead_is_never_bought_nor_what_is_left_of_a_tube():
    table = buying(lay_of("as_found"), Settings())
    assert "lead" not in column(table, "tubing")
    tags = {tube.name: tube.tag for tube in lay_of("as_found").tubes}
    kept = ", ".join(tags[name] for name in KEPT["as_found"])
    assert f"Nothing is bought for what stays as it lies: tags {kept}." in table.notes
    assert not any("stays" in note for note in buying(lay_of("thistledown"), Settings()).notes)


def test_the_allowance_and_where_it_comes_from_are_said():
    notes = " ".join(buying(lay_of("thistledown"), Settings(waste_percent=5)).notes)
    assert "10 % for error and 5 % for waste" in notes
    assert "mmdigest.com 2004.12.20.08 and 2004.12.21.13" in notes
