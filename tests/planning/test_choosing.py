"""What is chosen, and what is told of tubes that have no way: the cause in numbers, and what would free it.

Small closed cases of 400 x 300 x 400 with one shelf or two. Tubes are 5.56 thick, bend to 22 and want 2 mm to
wood.
"""

import pytest
from builders import with_board, with_box, with_keep_clear, with_row, with_tube, with_tubing
from chosen import a_scene_of, the_choice

from routeviz.planning.choosing import Choice
from routeviz.planning.first_bends import refused_ends
from routeviz.planning.thicknesses import areas, shares_of
from routeviz.planning.ways import Room, Way
from routeviz.tubes.plans import NoWay

TOP = "[clearance]\nfixed = 2\nmoving = 3\ntubes = 0\n"
WALLS = (
    with_box("floor", (0, 0, -20), (400, 300, 20)),
    with_box("lid", (0, 0, 400), (400, 300, 20)),
    with_box("left side", (-20, 0, -20), (20, 300, 440)),
    with_box("right side", (400, 0, -20), (20, 300, 440)),
    with_box("front wall", (-20, -20, -20), (440, 20, 440)),
    with_box("back wall", (-20, 300, -20), (440, 20, 440)),
)


def a_hole(right: float, back: float, wide: float, deep: float, **more: object) -> dict[str, object]:
    return {"at": {"right": right, "back": back}, "size": {"wide": wide, "deep": deep}, **more}


def a_shelf(name: str = "shelf", up: float = 180, **holes: dict[str, object]) -> str:
    return with_board(name, (0, 0, up), (400, 300, 20), opening=holes)


def rows(count: int = 2, right: float = 180, pitch: float = 12.7) -> tuple[str, str]:
    """A bar above and a stack below, ``count`` nipples each."""
    holes = f"1..{count}" if count > 1 else "1"
    last = right + pitch * (count - 1)
    return (
        with_row("bar", holes, (right, 150, 380), (last, 150, 380) if count > 1 else None, faces="down"),
        with_row("stack", holes, (right, 150, 20), (last, 150, 20) if count > 1 else None, faces="up"),
    )


def a_tube(number: int, *through: str) -> str:
    named = {"through": list(through)} if through else {}
    return with_tube(f"bar {number}", f"stack {number}", name=f"t{number}", **named)


def told(*pieces: str) -> tuple[NoWay, ...]:
    return the_choice(*WALLS, *pieces, top=TOP).no_ways


def the_one(*pieces: str) -> NoWay:
    (one,) = told(*pieces)
    return one


def taken(choice: Choice) -> list[str]:
    """The first passage of each tube that has a way."""
    return [choice.passages[chain[0][0]].name for _, chain in sorted(choice.chosen.items())]


LEFT, RIGHT = a_hole(60, 130, 40, 40), a_hole(300, 130, 40, 40)
WIDE = a_hole(140, 130, 120, 40)


def test_tubes_that_find_ways_are_told_nothing_of_and_take_the_near_passage() -> None:
    choice = the_choice(*WALLS, a_shelf(near=WIDE, far=RIGHT), *rows(), a_tube(1), a_tube(2), top=TOP)
    assert choice.no_ways == ()
    near = [passage.name for passage in choice.passages].index("shelf near")
    # The boards' holes lead upwards, the tubes go down.
    assert dict(choice.chosen) == {0: [(near, -1)], 1: [(near, -1)]}


def test_a_tube_pinned_through_two_holes_of_one_shelf_is_told_to_keep_one() -> None:
    one = the_one(a_shelf(left=LEFT, right=RIGHT), *rows(), a_tube(1, "shelf left", "shelf right"), a_tube(2))
    assert one.tubes == ("t1",)
    assert one.cause == (
        "it cannot take shelf left and shelf right both: no way leads through one and on through the other"
    )
    assert one.frees == "keep one of shelf left and shelf right in its through"


def test_pins_in_the_wrong_order_are_told_to_be_turned() -> None:
    hole = a_hole(160, 130, 60, 40)
    one = the_one(
        a_shelf("upper", 250, hole=hole),
        a_shelf("lower", 110, hole=hole),
        *rows(),
        a_tube(1, "lower hole", "upper hole"),
        a_tube(2),
    )
    assert one.tubes == ("t1",)
    assert one.cause == (
        "upper hole comes before lower hole on every way, and its through names lower hole first"
    )
    assert one.frees == "turn the order of its through: upper hole, lower hole"


def test_a_passage_in_a_closet_is_told_with_the_closet_s_wall() -> None:
    closet = with_box("closet wall", (280, 0, 200), (12, 300, 200))
    one = the_one(a_shelf(left=LEFT, right=RIGHT), closet, *rows(), a_tube(1, "shelf right"), a_tube(2))
    assert (one.tubes, one.passage) == (("t1",), "shelf right")
    assert one.cause == "no way leads from bar 1 to shelf right: it is closed in by closet wall"
    assert one.frees == "take shelf right out of its through, or open closet wall"


def test_a_nipple_in_a_closet_is_told_with_the_closet_s_wall() -> None:
    closet = with_box("closet wall", (100, 0, 0), (12, 300, 180))
    bar = with_row("bar", "1..2", (180, 150, 380), (192.7, 150, 380), faces="down")
    stack = with_row("stack", "1..2", (50, 150, 20), (180, 150, 20), faces="up")
    one = the_one(a_shelf(left=a_hole(160, 130, 60, 40)), closet, bar, stack, a_tube(1), a_tube(2))
    assert one.tubes == ("t1",)
    assert one.cause == "no passage leads from bar 1 to stack 1: stack 1 is closed in by closet wall"


def test_a_passage_that_is_free_at_rest_and_shut_in_motion_is_told_with_what_shuts_it() -> None:
    flap = with_box("flap", (100, 60, 290), (200, 180, 10), motion={"slides": "down", "travel": 86})
    bar = with_row("bar", "1..2", (40, 150, 380), (52.7, 150, 380), faces="down")
    one = the_one(a_shelf(left=a_hole(180, 130, 30, 30)), flap, bar, rows()[1], a_tube(1), a_tube(2))
    assert one.tubes == ("t1", "t2")
    assert one.cause == "shelf left is shut by flap in its travel, and no other passage leads there"
    assert one.passage == "shelf left"


def test_a_nipple_inside_wood_is_told_with_how_deep() -> None:
    # Up to 30, and the tip is at 20.
    block = with_box("block", (150, 120, 0), (36, 60, 30))
    stack = with_row("stack", "1..2", (170, 150, 20), (210, 150, 20), faces="up")
    one = the_one(a_shelf(left=WIDE), block, rows()[0], stack, a_tube(1), a_tube(2))
    assert one.tubes == ("t1",)
    assert one.cause == "stack 1 is inside block, 10 mm deep"
    assert one.frees == "correct the position of stack 1 or of block"


def test_a_nipple_within_a_space_that_is_kept_clear_is_not_inside_something() -> None:
    space = with_keep_clear("way out", (150, 120, 0), (36, 60, 30), "to be taken out")
    stack = with_row("stack", "1..2", (170, 150, 20), (210, 150, 20), faces="up")
    assert told(a_shelf(left=WIDE), space, rows()[0], stack, a_tube(1), a_tube(2)) == ()


def test_nipples_nearer_to_each_other_than_their_tubes_are_thick_are_told_as_a_pair() -> None:
    # Two at one point, and two 4 mm apart, where tubes of 5.56 mm lie side by side.
    stub = with_row("stub", "1..2", (220, 150, 380), (224, 150, 380), faces="down")
    twin = with_row("twin", "1", (180, 150, 380), None, faces="down")
    stack = with_row("stack", "1..4", (160, 150, 20), (198.1, 150, 20), faces="up")
    bar = with_row("bar", "1", (180, 150, 380), None, faces="down")
    tubes = [("bar 1", 1), ("twin 1", 2), ("stub 1", 3), ("stub 2", 4)]
    pieces = [with_tube(start, f"stack {end}", name=f"t{end}") for start, end in tubes]
    one, other = told(a_shelf(left=WIDE), bar, twin, stub, stack, *pieces)
    assert (one.tubes, one.wanted, one.there) == (("t1", "t2"), pytest.approx(5.56), 0.0)
    assert one.cause == "bar 1 and twin 1 are 0 mm apart, where their tubes want 5.6 mm"
    assert (other.tubes, other.wanted) == (("t3", "t4"), pytest.approx(5.56))
    assert other.cause == "stub 1 and stub 2 are 4 mm apart, where their tubes want 5.6 mm"


def test_more_nipples_than_two_that_are_too_near_each_other_are_all_named() -> None:
    # 4 mm from one to the next, where tubes are 5.56 mm thick.
    bar = with_row("bar", "1..3", (180, 150, 380), (188, 150, 380), faces="down")
    one = the_one(a_shelf(left=WIDE), bar, rows(3)[1], *(a_tube(n) for n in (1, 2, 3)))
    assert one.tubes == ("t1", "t2", "t3")
    assert one.cause == (
        "bar 1-3 are too near each other: bar 1 and bar 2 are 4 mm apart, where their tubes want 5.6 mm"
    )
    assert one.frees == "correct the position of some of bar 1-3"


def test_tubes_of_one_cause_are_told_of_together_with_their_nipples() -> None:
    closet = with_box("closet wall", (100, 0, 0), (12, 300, 180))
    bar = with_row("bar", "1..4", (180, 150, 380), (218.1, 150, 380), faces="down")
    stack = with_row("stack", "1..3", (30, 150, 20), (56, 150, 20), faces="up")
    chest = with_row("chest", "1", (76, 150, 20), None, faces="up")
    last = with_tube("bar 4", "chest 1", name="t4")
    shelf = a_shelf(left=a_hole(160, 130, 60, 40))
    many, one = told(shelf, closet, bar, stack, chest, *(a_tube(n) for n in (1, 2, 3)), last)
    assert (many.tubes, one.tubes) == (("t1", "t2", "t3"), ("t4",))
    assert many.cause == (
        "no passage leads from bar 1-3 to stack 1-3: stack 1-3 are closed in by closet wall"
    )
    assert one.cause == "no passage leads from bar 4 to chest 1: chest 1 is closed in by closet wall"


def test_nipples_inside_one_thing_are_told_together_with_the_least_and_the_greatest_depth() -> None:
    # Up to 30, and the tips are at 20, 22.5 and 25.
    block = with_box("block", (150, 120, 0), (70, 60, 30))
    stack = with_row("stack", "1..3", (170, 150, 20), (200, 150, 25), faces="up")
    one = the_one(a_shelf(left=WIDE), block, rows(3)[0], stack, *(a_tube(n) for n in (1, 2, 3)))
    assert one.cause == "stack 1-3 are inside block, 5 to 10 mm deep"
    assert one.point is not None
    assert one.point == pytest.approx([170, 150, 20])  # the deepest


def test_a_passage_is_filled_beside_what_stands_in_it_and_that_is_named() -> None:
    # 32 x 16 hold more than four, but a post stands over its right half: 16 mm are left beside it. Less 2 to
    # the rim and 2 to the post that is 12 x 12, for circles of 5.56 a side of 2.158 of them: four, and five
    # only from 2.414 on (published packings of circles in a square).
    post = with_box("post", (216, 100, 200), (40, 100, 60))
    shelf = a_shelf(slot=a_hole(200, 142, 32, 16))
    choice = the_choice(*WALLS, shelf, post, *rows(9, 130), *(a_tube(n) for n in range(1, 10)), top=TOP)
    assert len(choice.chosen) == 4
    (one,) = choice.no_ways
    assert len(one.tubes) == 5
    assert one.cause.startswith("shelf slot is full: 9 tubes must go through it; it holds at most ")
    assert one.cause.endswith(", and places for 4 were found beside post")
    assert one.frees == "open another way for 5, move post, or make shelf slot larger"


def test_a_bend_larger_than_the_room_is_told_with_both_numbers_and_what_stands_there() -> None:
    # 40 mm to the wall, less 2 asked for and 2.78 to the tube's own wall: 35.2 mm are left for the bend.
    bar = with_row("bar", "1", (180, 260, 320), None, faces="back")
    stack = with_row("stack", "1", (180, 150, 20), None, faces="up")
    stiff = with_tubing("note", least_bend=60)
    one = the_one(stiff, a_shelf(left=a_hole(140, 130, 120, 120)), bar, stack, a_tube(1))
    assert one.cause == "a bend of 60 mm is needed, 35 mm are available between bar 1 and back wall"
    assert (one.wanted, one.there, one.unit) == (60.0, 35.0, "mm")


@pytest.mark.parametrize(("least_bend", "refused"), [(34, False), (37, True)])
def test_a_bend_is_refused_from_where_the_room_before_the_wall_ends(least_bend: float, refused: bool) -> None:
    bar = with_row("bar", "1", (180, 260, 320), None, faces="back")
    stack = with_row("stack", "1", (180, 150, 20), None, faces="up")
    stiff = with_tubing("note", least_bend=least_bend)
    shelf = a_shelf(left=a_hole(140, 130, 120, 120))
    scene = a_scene_of(stiff, *WALLS, shelf, bar, stack, a_tube(1), top=TOP)
    assert bool(refused_ends(scene.cabinet, scene.stations, scene.obstacles)) == refused


def test_passages_too_small_in_sum_are_told_with_what_they_hold_together() -> None:
    # 16 mm less twice 2 leave 12 for circles of 5.56, 2.158 of them: four, at a side of 2, and five only from
    # 2.414 on (published packings of circles in a square). The bound that is proved may be a little weaker.
    shelf = a_shelf(left=a_hole(120, 142, 16, 16), right=a_hole(260, 142, 16, 16))
    one = the_one(shelf, *rows(12, 130), *(a_tube(n) for n in range(1, 13)))
    assert "12 tubes must go through" in one.cause
    assert "shelf left" in one.cause
    assert "shelf right" in one.cause
    assert one.wanted is not None
    assert one.there is not None
    assert one.wanted - one.there in (12 - 8, 12 - 10)
    assert 12 - 10 <= len(one.tubes) <= 12 - 8
    assert one.unit == "tubes"


def test_more_pinned_than_the_fitter_wants_are_told_with_the_mark() -> None:
    shelf = a_shelf(left=a_hole(60, 130, 40, 40, most=2), right=RIGHT)
    one = the_one(shelf, *rows(3), *(a_tube(n, "shelf left") for n in (1, 2, 3)))
    assert len(one.tubes) == 1
    assert one.cause.startswith("shelf left is full: 3 tubes are pinned to it")
    assert one.cause.endswith(" most = 2")
    assert one.frees == "unpin 1, or raise most of shelf left"


HOSE = with_tubing("hose", bore=19.05, outside=25.4, least_bend=60)


def a_hose(*through: str) -> tuple[str, str, str, str]:
    named = {"through": list(through)} if through else {}
    return (
        HOSE,
        with_row("pump", "1", (200, 150, 385), None, faces="down", outside=20.6),
        with_row("chest", "1", (200, 150, 15), None, faces="up", outside=20.6),
        with_tube("pump 1", "chest 1", "hose", name="hose", **named),
    )


def test_a_tube_thicker_than_its_hole_is_told_with_both_widths() -> None:
    one = the_one(
        a_shelf(left=a_hole(190, 140, 20, 20), right=a_hole(300, 110, 60, 80)), *a_hose("shelf left")
    )
    assert one.cause == "the tube is 25.4 mm thick, and shelf left lets 16 mm through (20 less twice 2)"
    assert (one.wanted, one.there, one.unit) == (pytest.approx(25.4), pytest.approx(16.0), "mm")


def test_a_hose_takes_the_hole_that_is_wide_enough_though_tubes_go_by_the_nearer_one() -> None:
    shelf = a_shelf(near=a_hole(180, 130, 60, 28), wide=a_hole(300, 110, 60, 80))
    bar = with_row("bar", "1..3", (100, 150, 380), (125, 150, 380), faces="down")
    stack = with_row("stack", "1..3", (100, 150, 20), (125, 150, 20), faces="up")
    notes = with_tubing("note")
    tubes = [a_tube(n) for n in (1, 2, 3)]
    choice = the_choice(notes, *WALLS, shelf, bar, stack, *tubes, *a_hose(), top=TOP)
    assert choice.no_ways == ()
    assert taken(choice) == [*["shelf near"] * 3, "shelf wide"]


def test_a_thick_tube_rather_takes_a_hole_of_its_own_than_places_from_many_notes() -> None:
    # The notes' slot is below the feed, and would hold it; its own hole is farther off.
    shelf = a_shelf(slot=a_hole(150, 140, 70, 20), own=a_hole(330, 140, 16, 16))
    choice = the_choice(
        with_tubing("note"),
        with_tubing("feed", bore=6, outside=11, least_bend=40),
        *WALLS,
        shelf,
        *rows(12, 130, 7),
        with_row("pump", "1", (230, 150, 380), None, faces="down", outside=7),
        with_row("chest", "1", (230, 150, 20), None, faces="up", outside=7),
        *(a_tube(n) for n in range(1, 13)),
        with_tube("pump 1", "chest 1", "feed", name="feed"),
        top=TOP,
    )
    assert taken(choice) == [*["shelf slot"] * 12, "shelf own"]


def test_what_a_thick_tube_takes_is_its_area_and_no_more_than_the_smallest_passage_that_holds_it() -> None:
    scene = a_scene_of(
        with_tubing("note"), *WALLS, a_shelf(left=WIDE), *rows(3), *(a_tube(n) for n in (1, 2, 3)), *a_hose(),
        top=TOP,
    )  # fmt: skip
    # (25.4 / 5.56) ** 2 = 20.87
    assert areas(scene.stations) == pytest.approx([1, 1, 1, 20.87], abs=0.01)
    large, small = (Room(name=n, found=f, bound=f + 5, most=None) for n, f in (("large", 60), ("small", 16)))
    ways = [[Way(passages=(0,), cost=1.0)]] * 4
    assert shares_of(scene.stations, ways, [large])[3] == pytest.approx(20.87, abs=0.01)
    assert shares_of(scene.stations, ways, [small])[3] == 16.0
    assert shares_of(scene.stations, ways, [small])[0] == 1.0
