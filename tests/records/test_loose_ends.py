"""Ends on no nipple: where they wait, for what, how much is spare, and how they are told apart."""

from benched import column, lay_of
from builders import read, with_row, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.loose_ends import loose_ends
from routeviz.records.settings import Settings


def test_ends_that_wait_say_where_and_differ_by_steps(tmp_path):
    bar = with_row("bar", "1..2", (0, 0, 0), (40, 0, 0))
    tubes = [
        with_tube(
            f"bar {k}",
            "loose",
            corners=[],
            ends_at={"right": x, "back": 0, "up": 200},
            spare=100,
            waits_for="the bells",
        )
        for k, x in ((1, 0), (2, 40))
    ]
    table = loose_ends(check_reading(read(tmp_path, bar, *tubes)), Settings(step_mm=20))
    assert column(table, "joined") == ["bar 1", "bar 2"]
    assert column(table, "waits_for") == ["the bells"] * 2
    assert [row[5:8] for row in table.rows] == [(0, 0, 200), (40, 0, 200)]
    assert column(table, "spare_mm") == [100, 100]
    assert column(table, "step") == [0, 1]
    assert column(table, "length_mm") == [200 + 11 + 100, 200 + 11 + 100 + 20]


def test_every_kind_of_open_end_is_on_the_list_each_end_by_itself():
    # as_found, by its text: which tubes end on no nipple.
    table = loose_ends(lay_of("as_found"), Settings())
    told = sorted(zip(column(table, "tube"), column(table, "state"), strict=True))
    scene = lay_of("as_found").reading.scene
    states = ("loose", "unknown", "missing", "cut", "blocked")
    wanted = [(t.name, end) for t in scene.tubes for end in (t.start, t.end) if end in states]
    assert told == sorted(wanted)
    assert len({state for _, state in told}) == len(states)


def test_what_is_not_known_is_left_open():
    table = loose_ends(lay_of("as_found"), Settings())
    at = column(table, "tube").index("wind trunk")
    assert table.rows[at][5:9] == (None, None, None, None)
