"""What is pulled before a part comes out, at which end, and put back in which order."""

import pytest
from benched import column, lay_of
from builders import extent, place, read, with_box, with_nipple, with_part, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.settings import Settings
from routeviz.records.taking_out import taking_out, takings_out
from routeviz.views.work_order import work_order

# A chest that comes out forwards; two tubes go up from its top, one to a bracket that stays, one to a bell on
# the chest itself; a third lies across its way, in front.
CHEST = with_part(
    "chest",
    kind="box",
    at=place(0, 100, 50),
    size=extent(200, 100, 50),
    comes_out="front",
    faces="up",
    outside=4.5,
    rows=[
        {"holes": "1", "first": place(50, 50, 60)},
        {"holes": "2", "first": place(150, 50, 60)},
        {"holes": "3", "first": place(150, 50, 260), "faces": "down"},
    ],
)
TOP = with_nipple("top", (50, 150, 400), faces="down", outside=4.5)
LEFT = with_nipple("left", (-100, 40, 75), faces="right", outside=4.5)
RIGHT = with_nipple("right", (300, 40, 75), faces="left", outside=4.5)
TUBES = (
    with_tube("top 1", "chest 1", name="joined", tag="J", corners=[]),
    with_tube("chest 2", "chest 3", name="along", tag="L", corners=[]),
    with_tube("left 1", "right 1", name="across", tag="X", corners=[]),
)
FREE = with_box("lid", (0, 300, 500), (50, 50, 10), comes_out="up")


@pytest.fixture
def lay(tmp_path):
    return check_reading(read(tmp_path, CHEST, TOP, LEFT, RIGHT, *TUBES, FREE))


def test_what_joins_it_is_pulled_at_the_part_and_what_lies_across_at_its_easier_end(lay):
    chest, lid = takings_out(lay, Settings())
    assert (chest.part, lid.part) == ("chest", "lid")
    assert lid.pulls == ()
    told = {lay.tubes[pull.tube].name: pull for pull in chest.pulls}
    assert set(told) == {"joined", "across"}
    assert (told["joined"].at, told["joined"].stays, told["joined"].joined) == ("chest 1", "top 1", True)
    # Either end of the level one is as easy; it begins at the left one, which the scene names first.
    assert (told["across"].at, told["across"].stays, told["across"].joined) == ("right 1", "left 1", False)
    assert [lay.tubes[k].name for k in chest.goes_along] == ["along"]


def test_it_is_put_back_as_it_was_laid_and_pulled_the_other_way_round(lay):
    laid = [lay.tubes[step.tube].tag for step in work_order(lay)]
    table = taking_out(lay, Settings())
    rows = zip(column(table, "tag"), column(table, "turn_out"), column(table, "turn_back"), strict=True)
    pulled = sorted((out, tag) for tag, out, _ in rows if out is not None)
    rows = zip(column(table, "tag"), column(table, "turn_back"), strict=True)
    back = sorted((turn, tag) for tag, turn in rows if turn is not None)
    assert [tag for _, tag in back] == [tag for tag in laid if tag in ("J", "X")]
    assert [tag for _, tag in pulled] == [tag for _, tag in back][::-1]


def test_what_lies_in_front_is_pulled_first(lay):
    (chest, _) = takings_out(lay, Settings())
    assert [lay.tubes[pull.tube].name for pull in chest.pulls] == ["across", "joined"]


def test_a_loose_end_across_the_way_is_laid_aside(tmp_path):
    there = {"right": 300, "back": 40, "up": 75}
    loose = with_tube("left 1", "loose", name="loose", corners=[], ends_at=there, waits_for="a bell")
    (chest,) = takings_out(check_reading(read(tmp_path, CHEST, LEFT, loose)), Settings())
    (pull,) = chest.pulls
    assert (pull.at, pull.stays) == ("nowhere: lay its loose end aside", "left 1")


def test_a_part_that_comes_out_freely_is_named(lay):
    assert "Comes out without pulling a tube: lid." in taking_out(lay, Settings()).notes


def test_the_wind_motor_of_the_hall_is_held_by_its_hose_and_its_governor():
    # Counted in the scene: the motor hose and tempo end on it.
    table = taking_out(lay_of("harbour_hall"), Settings())
    rows = dict(zip(column(table, "tube"), column(table, "pull_at"), strict=True))
    assert rows == {"motor hose": "wind motor 1", "tempo": "wind motor 2"}
