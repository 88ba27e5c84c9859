from builders import place, with_box, with_part, with_zero
from placed import a_cabinet, bounds, corners, the_problem


def test_a_zero_seen_from_another_adds_up_whatever_their_order_in_the_file() -> None:
    cabinet = a_cabinet(
        with_part_of_zero("rail", right=5, back=6, up=7, zero="bed"),
        with_zero("bed", (20, 0, 690)),
        with_box("box", (1, 2, 3), (10, 20, 30), zero="rail"),
    )
    assert bounds(corners(cabinet, "box")) == ([26, 8, 700], [36, 28, 730])


def test_a_sized_part_from_the_far_ends_has_its_right_back_and_top_faces_there() -> None:
    # Right face at 20 + 1440 - 30 = 1430, back face at 600 - 40 = 560, top at 690 + 300 - 50 = 940.
    far = {"right_end": 30, "back_end": 40, "top_end": 50}
    cabinet = a_cabinet(
        with_zero("bed", (20, 0, 690), wide=1440, deep=600, high=300),
        with_part("box", kind="box", zero="bed", at=far, size={"wide": 200, "deep": 100, "high": 60}),
    )
    assert bounds(corners(cabinet, "box")) == ([1230, 460, 880], [1430, 560, 940])


def test_a_point_from_the_far_ends_is_the_point_itself() -> None:
    cabinet = a_cabinet(
        with_zero("bed", (20, 0, 690), wide=1440, deep=600, high=300),
        with_part("bar", kind="cylinder", zero="bed", at={"right_end": 40}, to={"right_end": 10}, diameter=6),
    )
    low, high = bounds(corners(cabinet, "bar"))
    assert (low[0], high[0]) == (1420, 1450)


def test_the_case_itself_may_say_how_wide_it_is() -> None:
    cabinet = a_cabinet(
        with_zero("case", (0, 0, 0), wide=1500),
        with_part("box", kind="box", at={"right_end": 0}, size={"wide": 10, "deep": 10, "high": 10}),
    )
    assert bounds(corners(cabinet, "box"))[1][0] == 1500


def test_the_case_s_own_zero_cannot_stand_elsewhere() -> None:
    key, found, allowed, remedy = the_problem(with_zero("case", (1, 0, 0), wide=1500))
    assert key == "zero.case.at"
    assert found == "the case's own zero is placed somewhere else"
    assert allowed == "at = {}: every other zero is seen from it"
    assert "wide, deep and high" in remedy


def test_a_missing_span_is_named_with_the_zero_that_should_give_it() -> None:
    key, found, allowed, remedy = the_problem(
        with_zero("bed", (0, 0, 0), wide=10),
        with_part("box", kind="box", zero="bed", at={"top_end": 1}, size={"wide": 1, "deep": 1, "high": 1}),
    )
    assert key == "part.box.at.top_end"
    assert found == "top_end, but the zero 'bed' does not say how high it is"
    assert allowed == "top_end where [zero.bed] gives high"
    assert remedy == "add high to [zero.bed], or tape from the near end"


def with_part_of_zero(name: str, **at: object) -> str:
    words = ", ".join(f"{key} = {value!r}" for key, value in at.items())
    return f"[zero.{name}]\nat = {{ {words} }}\n"


def test_a_position_may_name_another_zero_than_its_part() -> None:
    cabinet = a_cabinet(
        with_zero("bed", (20, 0, 690)),
        with_part(
            "bar", kind="cylinder", zero="bed", at=place(0, 0, 0), to=place(0, 0, 0, zero="case"), diameter=2
        ),
    )
    low, high = bounds(corners(cabinet, "bar"))
    assert low[2] < 0.1
    assert high[2] > 689.9
