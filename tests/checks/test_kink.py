"""kink on both sides of its limit: one corner with a radius; the least bend radius is 22."""

import pytest
from builders import with_tubing
from verdicts import a_tube, findings, practice, severity, the_one


def bent(radius, **more):
    return a_tube("a", [(0, 0, 0), (0, 0, 100), (100, 0, 100)], ("up", "left"), radius=radius, **more)


@pytest.mark.parametrize(("radius", "expected"), [(21.9, "fault"), (21.96, None), (22.1, None)])
def test_a_bend_tighter_than_the_tubing_stands_is_a_fault(tmp_path, radius, expected):
    found = findings(tmp_path, "kink", bent(radius))
    assert severity(found) == expected
    if found:
        assert found[0].low == pytest.approx(radius, abs=1e-3)
        assert found[0].limit == 22.0
        # the arc begins where the leg of 100 is shorter by the radius, and is a quarter turn long
        assert 100 - radius - 1 <= found[0].along_mm <= 100 - radius + 1.571 * radius + 1


@pytest.mark.parametrize(("inner", "expected"), [(19.32, "fault"), (19.12, None)])
def test_a_maker_s_radius_to_the_inner_side_is_taken_to_the_middle(tmp_path, inner, expected):
    # inner + 5.56 / 2: 22.1 and 21.9, against a bend of 22
    kind = with_tubing("note", least_bend=None, least_bend_inner=inner)
    assert severity(findings(tmp_path, "kink", bent(22), kind)) == expected


def test_vacuum_asks_soft_tubing_for_a_gentler_bend(tmp_path):
    # Ring collapse p = E t^3 / (4 (1 - nu^2) a^3) with t = 0.795, a = 2.3825, E = 1.2 MPa, nu = 0.5:
    # 1200 x 0.50246 / (3 x 13.5240) = 14.861 kPa. 22 / sqrt(1 - 6.2 / 14.861) = 28.818.
    soft = with_tubing("note", material="gum rubber")
    assert severity(findings(tmp_path, "kink", bent(28.7), soft)) == "caution"
    assert findings(tmp_path, "kink", bent(28.95), soft) == []
    assert findings(tmp_path, "kink", bent(28.7), soft, top=practice(vacuum_kpa=0)) == []


def test_where_nothing_is_known_a_caution_asks_for_the_radius(tmp_path):
    unknown = with_tubing("note", least_bend=None)
    one = the_one(findings(tmp_path, "kink", bent(22), unknown))
    assert (one.severity, one.tube, one.other) == ("caution", None, "note")
    assert "untested" in one.says
