from routeviz.scene.positions import dotted, positions_in, problem_at

TEXT = '''format = 1  # [not a table]
"two words".x = [ 1, { y = 2, "z" = """a
}""" } ]
[part.shelf.opening.bass]
at = { right = 1,
  back.near = '#' }
[part.shelf]
day = 1979-05-27 07:32:00
[[tubes]]
from = "a"
[[tubes]]
 from = "b"
[[tubes.corners]]
up = [
  3,
]
'''


def where(*key: str | int) -> tuple[int, int]:
    place = positions_in(TEXT, "s.toml").places[key]
    return place.line, place.column


def test_every_key_has_the_place_of_its_first_letter():
    assert where("format") == (1, 1)
    assert where("two words") == (2, 1)
    assert where("two words", "x") == (2, 13)
    assert where("part", "shelf", "opening", "bass", "at", "right") == (5, 8)
    assert where("part", "shelf", "opening", "bass", "at", "back", "near") == (6, 8)


def test_every_item_of_a_list_has_a_place():
    assert where("two words", "x", 0) == (2, 19)
    assert where("two words", "x", 1, "z") == (2, 31)
    assert where("tubes", 0, "from") == (10, 1)
    assert where("tubes", 1, "from") == (12, 2)
    assert where("tubes", 1, "corners", 0, "up", 0) == (15, 3)


def test_a_table_s_own_header_counts_for_more_than_a_deeper_one():
    assert where("part", "shelf") == (7, 7)


def test_a_key_that_the_file_does_not_name_has_the_place_of_the_table_around_it():
    problem = problem_at(positions_in(TEXT, "s.toml"), ("part", "shelf", "size", "wide"), "a", "b", "c")
    assert (problem.line, problem.column, problem.key) == (7, 7, "part.shelf.size.wide")


def test_a_key_is_written_as_in_the_file_and_list_items_count_from_one():
    assert dotted(("part", "tracker bar", "rows", 0, "first")) == 'part."tracker bar".rows.1.first'
