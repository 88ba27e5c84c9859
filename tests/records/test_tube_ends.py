"""Tubes that are one to the air in them: through any number of tees and couplers, and not through a unit."""

import pytest
from benched import NAMES, lay_of
from builders import place, read, with_part, with_row, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.tube_ends import nets_of, told_ends

UNSEEN = {"hidden": "where it goes does not matter here"}


def a_tee(name, right):
    return with_part(name, kind="tee", at=place(right, 0, 300), runs="up", branches="right", outside=3.97)


def a_lay(folder, *tubes):
    coupler = with_part("coupler", kind="coupler", at=place(600, 0, 300), runs="up", outside=3.97)
    rows = (
        with_row("bar", "1..4", (0, 0, 0), (60, 0, 0)),
        with_row("chest", "1..4", (0, 0, 900), (60, 0, 900)),
    )
    ways = [with_tube(start, end, name=f"{start}-{end}", **UNSEEN) for start, end in tubes]
    return check_reading(read(folder, *rows, a_tee("near", 200), a_tee("far", 400), coupler, *ways))


def test_a_net_goes_on_through_every_join(tmp_path):
    lay = a_lay(
        tmp_path,
        ("bar 1", "near 1"),
        ("bar 2", "chest 1"),
        ("near 2", "coupler 1"),
        ("coupler 2", "far 1"),
        ("far 2", "chest 2"),
        ("far 3", "chest 3"),
        ("near 3", "chest 4"),
    )
    long, short = nets_of(lay)
    assert long.tubes == (0, 2, 3, 4, 5, 6)
    assert set(long.joins) == {"near", "coupler", "far"}
    assert (long.begins, long.ends) == (("bar 1",), ("chest 2", "chest 3", "chest 4"))
    assert (short.tubes, short.joins, short.begins, short.ends) == ((1,), (), ("bar 2",), ("chest 1",))


def test_two_tubes_on_one_unit_are_two_nets(tmp_path):
    assert len(nets_of(a_lay(tmp_path, ("bar 1", "chest 1"), ("bar 2", "chest 2")))) == 2


def test_an_end_says_its_nipple_or_what_is_known_of_it(tmp_path):
    assert told_ends(a_lay(tmp_path, ("bar 1", "near 1"), ("bar 2", "cut"))) == (
        ("bar 1", "near 1"),
        ("bar 2", "cut"),
    )


@pytest.mark.parametrize("name", NAMES)
def test_each_tube_is_in_one_net(name):
    every = [k for net in nets_of(lay_of(name)) for k in net.tubes]
    assert sorted(every) == list(range(len(lay_of(name).tubes)))
