from pathlib import Path

import pytest
from builders import place, read, with_nipple, with_part, with_row, with_tube

from routeviz.errors import SceneError
from routeviz.scene.reading import Reading

BAR = with_row("tracker bar", "1..5", (0, 0, 0), (40, 0, 0))
STACK = with_row("stack", "1..5", (0, 0, 90), (40, 0, 90), "down")


def wires(folder: Path, *pieces: str) -> list[tuple[str, str, str | None, str | None]]:
    reading = read(folder, BAR, STACK, *pieces)
    return [(wire.name, wire.tag, wire.start.nipple, wire.end.nipple) for wire in reading.wires]


def refusal(folder: Path, *pieces: str) -> str:
    with pytest.raises(SceneError) as refused:
        read(folder, BAR, STACK, *pieces)
    return str(refused.value).replace(str(folder / "scene.toml"), "FILE")


def test_a_run_without_a_name_is_named_for_the_nipples_at_its_start(tmp_path: Path):
    assert wires(tmp_path, with_tube("tracker bar 2..3", "stack 5..4")) == [
        ("tracker bar 2", "1", "tracker bar 2", "stack 5"),
        ("tracker bar 3", "2", "tracker bar 3", "stack 4"),
    ]


def test_a_run_with_a_name_counts_by_the_number_at_its_start(tmp_path: Path):
    names = [
        name for name, *_ in wires(tmp_path, with_tube("tracker bar 1..5 step 2", "stack 1..3", name="note"))
    ]
    assert names == ["note 1", "note 3", "note 5"]


def test_a_single_tube_keeps_its_name(tmp_path: Path):
    found = wires(tmp_path, with_tube("tracker bar 4", "loose", name="bell 3", ends_at=place(1, 2, 3)))
    assert found == [("bell 3", "1", "tracker bar 4", None)]


def test_an_end_without_a_nipple_serves_a_whole_run(tmp_path: Path):
    found = wires(tmp_path, with_tube("unknown", "stack 1, 4"))
    assert [(name, end) for name, _, _, end in found] == [("stack 1", "stack 1"), ("stack 4", "stack 4")]


def test_tags_count_on_in_a_run_and_free_numbers_fill_the_rest(tmp_path: Path):
    first = with_tube("tracker bar 1..2", "stack 1..2")
    second = with_tube("tracker bar 3..4", "stack 3..4", tag="2")
    third = with_tube("tracker bar 5", "stack 5", tag="P")
    assert [tag for _, tag, *_ in wires(tmp_path, first, second, third)] == ["1", "4", "2", "3", "P"]


def test_copies_of_a_part_are_named_with_their_number_and_shortly_where_each_has_one_nipple(tmp_path: Path):
    bells = with_part(
        "bell",
        kind="nipples",
        outside=4,
        faces="up",
        rows=[{"holes": "1", "first": place(0, 0, 50)}],
        repeat={"count": 3, "step": {"right": 30}},
    )
    short = wires(tmp_path, bells, with_tube("tracker bar 1..3", "bell 3..1"))
    long = wires(
        tmp_path, bells, with_tube("tracker bar 1", "bell 3 1"), with_tube("tracker bar 2", "bell 2 1")
    )
    assert [end for *_, end in short] == ["bell 3 1", "bell 2 1", "bell 1 1"]
    assert [end for *_, end in long] == ["bell 3 1", "bell 2 1"]


def test_a_tee_has_three_nipples(tmp_path: Path):
    tee = with_part("branch", kind="tee", at=place(50, 0, 50), outside=4)
    assert [end for *_, end in wires(tmp_path, tee, with_tube("tracker bar 1..3", "branch 1..3"))] == [
        "branch 1",
        "branch 2",
        "branch 3",
    ]


def test_the_line_of_a_tube_is_known(tmp_path: Path):
    reading: Reading = read(tmp_path, BAR, STACK, with_tube("tracker bar 1..5", "stack 1..5"))
    lines = (tmp_path / "scene.toml").read_text().splitlines()
    assert lines[(reading.line_of_tube("tracker bar 3") or 0) - 1] == "[[tubes]]"
    assert reading.line_of_tube("nobody") is None


@pytest.mark.parametrize(
    ("tube", "message"),
    [
        (
            with_tube("tracker bar 1..5", "stack 1..4"),
            "tubes.1.to: 5 nipples at the start, 4 nipples at the end\n"
            "  allowed: as many numbers in 'to' as in 'from'\n  remedy: correct one of the two ranges",
        ),
        (
            with_tube("tracker bar 1..7", "loose"),
            "tubes.1.from: 'tracker bar' has no nipple 6, 7\n"
            "  allowed: tracker bar 1..5\n  remedy: correct the number, or the rows of the part",
        ),
        (
            with_tube("traker bar 1", "stack 1"),
            "tubes.1.from: no part 'traker bar'\n"
            "  allowed: tracker bar, stack\n  remedy: did you mean 'tracker bar'?",
        ),
        (
            with_tube("tracker bar", "stack 1"),
            "tubes.1.from: 'tracker bar' without a number\n"
            "  allowed: a part and its numbers, such as 'stack 1..61', or one of: loose, unknown, missing, "
            "cut, blocked\n  remedy: write which of its nipples: 'tracker bar 1..5'",
        ),
        (
            with_tube("tracker bar 1...5", "stack 1"),
            "tubes.1.from: 'tracker bar 1...5' holds no row of numbers after 'tracker bar'\n"
            "  allowed: numbers such as '5', '1..61', '61..1', '1..61 step 2' or '1, 3, 7..9'\n"
            "  remedy: correct the numbers",
        ),
        (
            with_tube("tracker bar 1", "lose"),
            "tubes.1.to: 'lose' names no nipple\n"
            "  allowed: a part and its numbers, such as 'stack 1..61', or one of: loose, unknown, missing, "
            "cut, blocked\n  remedy: did you mean 'loose'?",
        ),
        (
            with_tube("stack 2", "stack 2"),
            "tubes.1.to: a tube from 'stack 2' to itself\n"
            "  allowed: another nipple\n  remedy: correct 'from' or 'to'",
        ),
    ],
)
def test_an_end_that_cannot_be_found_is_told(tmp_path: Path, tube: str, message: str):
    assert refusal(tmp_path, tube).split(" ", 1)[1] == message


def test_two_tubes_of_one_name_or_tag_are_told_at_the_second(tmp_path: Path):
    first = with_tube("tracker bar 1", "stack 1", name="a 2", tag="x")
    text = refusal(tmp_path, first, with_tube("tracker bar 2..3", "stack 2..3", name="a", tag="x"))
    said = "two tubes with the name 'a 2'\n  allowed: each name once\n  remedy: give one of them another name"
    assert said in text
    assert "two tubes with the tag 'x'" in text
    lines = (tmp_path / "scene.toml").read_text().splitlines()
    second = max(number for number, line in enumerate(lines, start=1) if line == "[[tubes]]")
    assert all(line.startswith(f"FILE:{second}:") for line in text.splitlines() if line.startswith("FILE"))


def test_a_nipple_with_two_tubes_is_no_matter_of_reading(tmp_path: Path):
    pieces = with_tube("tracker bar 1", "stack 1"), with_tube("tracker bar 1", "stack 2", name="patch")
    assert [name for name, *_ in wires(tmp_path, *pieces)] == ["tracker bar 1", "patch"]


def test_a_part_without_nipples_is_told(tmp_path: Path):
    shelf = with_part("shelf", kind="box", at=place(0, 0, 0), size={"wide": 9, "deep": 9, "high": 9})
    assert "the part 'shelf' has no nipples" in refusal(tmp_path, shelf, with_tube("shelf 1", "stack 1"))


def test_a_part_with_another_problem_is_not_said_to_be_unknown(tmp_path: Path):
    text = refusal(tmp_path, with_nipple("bell", (0, 0, 0), faces="upp"), with_tube("bell 1", "stack 1"))
    assert text.count("remedy") == 1
    assert "did you mean up?" in text


def test_two_tubes_without_names_on_one_nipple_are_told_where_their_name_comes_from(tmp_path: Path):
    first, second = with_tube("tracker bar 1", "stack 1"), with_tube("tracker bar 1", "stack 2")
    said = (
        "two tubes with the name 'tracker bar 1'\n  allowed: each name once\n"
        "  remedy: give one of them a name; without one a tube is called by its first nipple"
    )
    assert said in refusal(tmp_path, first, second)
