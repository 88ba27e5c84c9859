import math
from pathlib import Path

import pytest
from builders import place, read, with_nipple, with_part, with_tube, with_tubing
from placed import a_cabinet, bounds, corners, solid, the_problem

from routeviz.pipeline import check_reading


def with_tee(**more: object) -> str:
    """A tee 40 long from tip to tip, of nipples 5 across, at right 100, back 50, up 20."""
    return with_part("tee", **{"kind": "tee", "at": place(100, 50, 20), "long": 40, "outside": 5} | more)


def test_a_tee_has_its_run_s_ends_and_its_branch_half_its_length_from_the_middle() -> None:
    nipples = a_cabinet(with_tee()).nipples
    assert {name: n.tip.tolist() for name, n in nipples.items()} == {
        "tee 1": [80, 50, 20],
        "tee 2": [120, 50, 20],
        "tee 3": [100, 50, 40],
    }
    assert [n.direction.tolist() for n in nipples.values()] == [[-1, 0, 0], [1, 0, 0], [0, 0, 1]]
    assert {(n.outside_mm, n.on_nipple_mm, n.carrier) for n in nipples.values()} == {(5, 11, 0)}


def test_a_tee_s_body_ends_where_the_tubes_on_its_nipples_end() -> None:
    # 20 to each tip less 11 of tube: 9 each way, round 5 across.
    low, high = bounds(corners(a_cabinet(with_tee()), "tee"))
    assert low == [91, 47.5, pytest.approx(17.5, abs=0.01)]
    assert high == [109, 52.5, 29]


def test_a_turned_coupler_runs_as_it_is_turned() -> None:
    cabinet = a_cabinet(with_tee(kind="coupler", turned={"about": "up", "by": 90}))
    assert {name: n.tip.tolist() for name, n in cabinet.nipples.items()} == {
        "tee 1": [100, 30, 20],
        "tee 2": [100, 70, 20],
    }


def test_on_a_short_coupler_less_tube_goes_on_so_that_a_body_remains() -> None:
    # 10 to each tip: half the diameter, 2.5, remains of the body, so 7.5 of tube on each nipple.
    cabinet = a_cabinet(with_tee(kind="coupler", long=20))
    assert {n.on_nipple_mm for n in cabinet.nipples.values()} == {7.5}
    low, high = bounds(corners(cabinet, "tee"))
    assert (low[0], high[0]) == (97.5, 102.5)


@pytest.mark.parametrize("more", [{}, {"on_nipple": 8}])
def test_without_a_length_tubes_end_one_diameter_of_the_nipples_from_the_middle(more: dict[str, int]) -> None:
    # Of the workshop's 11 mm, or the tee's own, nothing is cut: 5 and 11, or 5 and 8, to each tip.
    over = more.get("on_nipple", 11)
    nipples = a_cabinet(with_tee(long=None, **more)).nipples
    assert {name: n.tip.tolist() for name, n in nipples.items()} == {
        "tee 1": [100 - 5 - over, 50, 20],
        "tee 2": [100 + 5 + over, 50, 20],
        "tee 3": [100, 50, 20 + 5 + over],
    }
    assert {n.on_nipple_mm for n in nipples.values()} == {over}


@pytest.mark.parametrize(
    ("bore", "outside", "nipple"), [(3.97, 5.56, 4.4), (2.4, 4.0, 2.7), (8.0, 16.0, 9.0), (19.0, 25.4, 20.6)]
)
def test_without_a_length_the_tubes_on_a_tee_keep_apart(
    tmp_path: Path, bore: float, outside: float, nipple: float
) -> None:
    """Stretched over its nipple a tube is r thick: (2 r)^2 = outside^2 - bore^2 + nipple^2.

    Flat ends e from the middle, on axes at right angles, are sqrt(2) (e - r) from each other, edge to edge;
    with a nipple's diameter d and a gap g for e that is sqrt(2) (d + g - r), more than g. In half of 25 mm
    with 11 of sleeve less than r is left, and they run into each other.
    """
    thick = math.sqrt(outside**2 - bore**2 + nipple**2) / 2
    assert nipple > thick
    assert max(12.5 - 11, min(nipple, 12.5) / 2) < thick
    pieces = [
        with_tubing("note", bore=bore, outside=outside),
        with_nipple("low", (0, 50, 20), "right", nipple),
        with_nipple("far", (200, 50, 20), "left", nipple),
        with_nipple("high", (100, 50, 120), "down", nipple),
        *(with_tube(f"{end} 1", f"tee {n}", corners=[]) for n, end in enumerate(("low", "far", "high"), 1)),
    ]
    for gap in (0, 2, 4):
        top = f"[clearance]\ntubes = {gap}\nsurvey = 0\n"
        for long, rules in ((None, set()), (25, {"squeeze"})):
            tee = with_tee(long=long, outside=nipple)
            lay = check_reading(read(tmp_path, tee, *pieces, top=top))
            assert {f.rule for f in lay.findings if f.severity == "fault"} == rules


def test_joins_are_metal_unless_said_otherwise() -> None:
    assert solid(a_cabinet(with_tee()), "tee").look == "metal"
    assert solid(a_cabinet(with_tee(look="rubber")), "tee").look == "rubber"


def test_copies_of_a_tee_have_their_own_nipples() -> None:
    cabinet = a_cabinet(with_tee(repeat={"count": 2, "step": {"right": 50}}))
    assert cabinet.nipples["tee 2 3"].tip.tolist() == [150, 50, 40]
    assert cabinet.nipples["tee 2 3"].carrier == 1


@pytest.mark.parametrize("branches", ["right", "left", {"right": 3, "up": 1}])
def test_a_branch_along_the_run_is_refused(branches: object) -> None:
    key, found, allowed, remedy = the_problem(with_tee(branches=branches))
    assert key == "part.tee.branches"
    assert found == "a branch that lies along the run"
    assert allowed == "a branch to the side"
    assert remedy == "correct runs or branches"


def test_rows_on_a_tee_are_refused() -> None:
    key, found, _, remedy = the_problem(with_tee(rows=[{"holes": "1", "first": place(0, 0, 0)}]))
    assert (key, found) == ("part.tee.rows", "rows of nipples on a tee")
    assert remedy == "give them as a part of kind nipples"
