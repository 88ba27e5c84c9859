"""fit on both sides of its limits: a bore of 3.97 over nipples; percentages by hand."""

import pytest
from verdicts import a_tube_up, findings, practice


@pytest.mark.parametrize(
    ("outside", "expected"),
    [(3.87, "fault"), (3.97, "fault"), (4.07, None), (5.35, None), (5.37, "caution")],
)
def test_a_bore_must_be_smaller_than_the_nipple_and_not_much(tmp_path, outside, expected):
    # 35 % over 3.97 is 5.3595
    found = findings(tmp_path, "fit", a_tube_up(outside=outside))
    assert {f.severity for f in found} == ({expected} if expected else set())
    assert sorted(f.other or "" for f in found) == (["a high 1", "a low 1"] if expected else [])
    for one in found:
        assert one.low == pytest.approx(100 * (outside - 3.97) / 3.97, abs=1e-6)
        assert one.unit == "percent"


def test_the_workshop_may_set_its_own_limit(tmp_path):
    assert findings(tmp_path, "fit", a_tube_up(outside=5.37), top=practice(fit_stretch_percent=36)) == []


def test_a_wire_is_not_asked(tmp_path):
    assert findings(tmp_path, "fit", a_tube_up(outside=3.0, carries="wire")) == []
