"""Marks and words on a picture: none covers another, none is lost while there is room."""

from itertools import combinations

import numpy as np

from routeviz.views.spots import Room, around, mark_spots, overlap, word_spot

WHOLE = (0.0, 0.0, 800.0, 500.0)


def test_marks_of_places_on_top_of_each_other_do_not_overlap() -> None:
    places = np.tile([[400.0, 250.0]], (20, 1)) + np.arange(20)[:, None]
    spots = mark_spots(places, 30.0, Room(WHOLE))
    assert all(spot is not None for spot in spots)
    boxes = [around(spot, 30.0, 30.0) for spot in spots if spot is not None]
    assert not any(overlap(a, b) for a, b in combinations(boxes, 2))


def test_marks_stay_on_the_picture_and_off_the_places() -> None:
    rng = np.random.default_rng(1)
    places = rng.uniform((0, 0), (800, 500), (12, 2))
    for spot in mark_spots(places, 30.0, Room(WHOLE)):
        assert spot is not None
        box = around(spot, 30.0, 30.0)
        assert box[0] >= 0
        assert box[1] >= 0
        assert box[2] <= 800
        assert box[3] <= 500
        assert not any(box[0] < x < box[2] and box[1] < y < box[3] for x, y in places)


def test_a_mark_stands_off_a_tube_where_there_is_room_beside_it() -> None:
    room = Room(WHOLE)
    room.add_strand("tube", np.array([(100.0, 250.0), (700.0, 250.0)]), 10.0)
    (spot,) = mark_spots(np.array([[400.0, 250.0]]), 30.0, room)
    assert spot is not None
    assert abs(spot[1] - 250.0) >= 25.0


def test_a_tag_may_cover_its_own_tube_but_no_other() -> None:
    room = Room(WHOLE)
    for name, y in (("a", 200.0), ("b", 212.0), ("c", 400.0)):
        room.add_strand(name, np.array([(100.0, y), (700.0, y)]), 4.0)
    assert word_spot([(400.0, 200.0)], 30.0, 20.0, room, "a") is None
    assert word_spot([(400.0, 400.0)], 30.0, 20.0, room, "c") == (400.0, 400.0)


def test_words_without_room_are_left_out_and_take_none() -> None:
    room = Room(WHOLE, [(0.0, 0.0, 800.0, 500.0)])
    assert word_spot([(400.0, 250.0)], 30.0, 20.0, room) is None
    assert len(room.taken) == 1
