from builders import place, with_box, with_part, with_row
from placed import a_cabinet, bounds, corners, has_corner, the_problem, the_problems


def test_a_turn_is_right_handed_about_its_axis_through_at() -> None:
    # A quarter turn about up takes right to back and back to left: of 10 by 20 it lies from x = 100 - 20 on.
    cabinet = a_cabinet(with_box("box", (100, 50, 5), (10, 20, 30), turned={"about": "up", "by": 90}))
    assert bounds(corners(cabinet, "box")) == ([80, 50, 5], [100, 60, 35])


def test_about_down_a_part_turns_the_other_way() -> None:
    cabinet = a_cabinet(with_box("box", (100, 50, 5), (10, 20, 30), turned={"about": "down", "by": 90}))
    assert bounds(corners(cabinet, "box")) == ([100, 40, 5], [120, 50, 35])


def test_turns_are_made_one_after_the_other_about_the_case_s_own_directions() -> None:
    # Right end (10, 0, 0): a quarter about up brings it to (0, 10, 0), then one about right to (0, 0, 10).
    # In the other order it would end at (0, 10, 0).
    turns = [{"about": "up", "by": 90}, {"about": "right", "by": 90}]
    cabinet = a_cabinet(with_box("box", (0, 0, 0), (10, 1, 2), turned=turns))
    assert has_corner(corners(cabinet, "box"), (0, 0, 10))
    assert not has_corner(corners(cabinet, "box"), (0, 10, 0))


def test_a_turn_of_thirty_degrees_moves_the_far_corner_by_its_sine_and_cosine() -> None:
    # (10, 20) turned by 30 degrees: x = 10 cos - 20 sin = 8.660254 - 10, y = 10 sin + 20 cos = 5 + 17.320508.
    cabinet = a_cabinet(with_box("box", (0, 0, 0), (10, 20, 30), turned={"about": "up", "by": 30}))
    assert has_corner(corners(cabinet, "box"), (-1.33974596, 22.32050808, 30))


def test_positions_and_directions_inside_a_part_turn_with_it() -> None:
    # In the part the tip is (5, 0, 20), facing right; turned a quarter about up: (0, 5, 20), facing back.
    cabinet = a_cabinet(
        with_part(
            "pump",
            kind="box",
            at=place(100, 50, 0),
            size={"wide": 10, "deep": 10, "high": 20},
            turned={"about": "up", "by": 90},
            faces="right",
            outside=4,
            rows=[{"holes": "1", "first": place(5, 0, 20)}],
        )
    )
    nipple = cabinet.nipples["pump 1"]
    assert nipple.tip.tolist() == [100, 55, 20]
    assert nipple.direction.tolist() == [0, 1, 0]


def test_a_position_that_names_its_own_zero_is_taped_in_the_case_and_does_not_turn() -> None:
    cabinet = a_cabinet(
        with_row(
            "bar",
            "1",
            (0, 0, 0),
            None,
            at=place(100, 50, 0),
            turned={"about": "up", "by": 90},
        ),
        with_part(
            "pump",
            kind="nipples",
            at=place(100, 50, 0),
            turned={"about": "up", "by": 30},
            faces="up",
            outside=4,
            rows=[{"holes": "1", "first": place(7, 8, 9, zero="case")}],
        ),
    )
    assert cabinet.nipples["pump 1"].tip.round(9).tolist() == [7, 8, 9]
    assert cabinet.nipples["bar 1"].tip.tolist() == [100, 50, 0]


def test_a_direction_need_not_be_a_word() -> None:
    cabinet = a_cabinet(with_row("bar", "1", (0, 0, 0), None, faces={"right": 3, "up": 4}))
    assert cabinet.nipples["bar 1"].direction.round(12).tolist() == [0.6, 0, 0.8]


def test_a_far_end_inside_a_part_counts_from_the_part_s_own_far_end() -> None:
    cabinet = a_cabinet(
        with_box(
            "pump",
            (100, 0, 0),
            (50, 10, 20),
            faces="up",
            outside=4,
            rows=[{"holes": "1", "first": {"right_end": 5, "top_end": -3}}],
        )
    )
    assert cabinet.nipples["pump 1"].tip.tolist() == [145, 0, 23]


def test_a_far_end_inside_a_part_without_size_is_refused() -> None:
    key, found, allowed, remedy = the_problem(
        with_part(
            "bar",
            kind="nipples",
            faces="up",
            outside=4,
            rows=[{"holes": "1", "first": {"right_end": 5}}],
        )
    )
    assert key == "part.bar.rows.1.first.right_end"
    assert found == "right_end inside 'bar', which has no size of its own"
    assert allowed == "right, back and up, or a zero that has spans"
    assert remedy == "tape from the near end, or name a zero"


def test_a_part_that_repeats_is_the_same_again_a_step_further_in_the_case_however_it_is_turned() -> None:
    cabinet = a_cabinet(
        with_box(
            "hammer",
            (100, 0, 0),
            (10, 20, 30),
            turned={"about": "up", "by": 90},
            repeat={"count": 3, "step": {"right": 25}},
            motion={"turns_about": "right", "travel": 30},
        )
    )
    assert [solid.name for solid in cabinet.solids] == ["hammer 1", "hammer 2", "hammer 3"]
    assert {solid.part for solid in cabinet.solids} == {"hammer"}
    assert bounds(corners(cabinet, "hammer 1")) == ([80, 0, 0], [100, 10, 30])
    assert bounds(corners(cabinet, "hammer 3")) == ([130, 0, 0], [150, 10, 30])
    assert cabinet.bodies.points[2].tolist() == [150, 0, 0]


def test_a_step_of_nothing_and_a_step_from_a_far_end_are_refused() -> None:
    found = {
        p.key: p.found
        for p in the_problems(
            with_box("a", (0, 0, 0), (1, 1, 1), repeat={"count": 2, "step": {"right": 0}}),
            with_box("b", (0, 0, 0), (1, 1, 1), repeat={"count": 2, "step": {"right_end": 5}}),
        )
    }
    assert found == {
        "part.a.repeat.step": "a step of nothing, so that all lie in one place",
        "part.b.repeat.step.right_end": "a step with right_end",
    }
