"""What to buy, held to sums of the lengths that the table of tubes has, and to the sheets."""

import math

import pytest
from archive.rows import rows_of
from benched import NAMES, column, lay_of

from routeviz.archive.to_buy_register import to_buy_register
from routeviz.archive.tube_registers import tubes_register
from routeviz.archive.work_registers import order_of_work_register
from routeviz.records.buying import buying
from routeviz.records.settings import Settings


@pytest.mark.parametrize("scene", NAMES)
def test_what_is_bought_is_the_sum_of_the_lengths_to_cut_and_a_fifth_more(scene):
    lay = lay_of(scene)
    left = {row["tube"] for row in rows_of(order_of_work_register(lay)) if row["what"] == "leave"}
    tubes = [row for row in rows_of(tubes_register(lay)) if row["tube"] not in left]
    rows = {row["tubing"]: row for row in rows_of(to_buy_register(lay))}
    assert set(rows) == {row["tubing"] for row in tubes}
    for name, row in rows.items():
        mine = [one for one in tubes if one["tubing"] == name]
        lengths = [one["cut_mm"] for one in mine if "cut_mm" in one]
        assert (row["tubes"], row["without_length"]) == (len(mine), len(mine) - len(lengths))
        if lengths:
            assert row["sum_mm"] == pytest.approx(math.fsum(lengths), abs=0.01)
            # 10 % for error and 10 % for waste, added, as the trade does.
            assert row["buy_m"] == pytest.approx(math.ceil(1.2 * math.fsum(lengths) / 100) / 10)
        else:
            assert not {"sum_mm", "buy_m"} & set(row)


@pytest.mark.parametrize("scene", NAMES)
def test_the_sheets_say_the_same(scene):
    table = buying(lay_of(scene), Settings())
    told = zip(column(table, "tubing"), column(table, "buy_m"), strict=True)
    assert dict(told) == {row["tubing"]: row.get("buy_m") for row in rows_of(to_buy_register(lay_of(scene)))}


def test_no_lead_is_bought():
    kinds = lay_of("as_found").cabinet.tubing
    bought = [kinds[row["tubing"]].material for row in rows_of(to_buy_register(lay_of("as_found")))]
    assert "lead" in {kind.material for kind in kinds.values()}
    assert "lead" not in bought


def test_kinds_that_do_not_do_where_they_lie_name_the_findings():
    # The scene expects sustain to be kinked, governor vacuum not to fit, thin hose to fall flat.
    rows = {row["tubing"]: row.get("unfit", "") for row in rows_of(to_buy_register(lay_of("as_found")))}
    found = lay_of("as_found").findings
    rules = {kind: {found[int(k) - 1].rule for k in told.split(", ") if k} for kind, told in rows.items()}
    assert {"kink"} <= rules["note"]
    assert rules["patch"] == {"fit"}
    assert rules["thin hose"] == {"collapse"}
    assert rules["wire pair"] == set()
