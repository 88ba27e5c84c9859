"""Measures of the keyboard here are round numbers, so that what is expected can be worked out by hand.

Naturals 23.5 apart (an octave of 164.5), 1.5 of it free; hinged 240 from their fronts and 400 long; sharps
begin 50 behind the naturals' fronts, are hinged 200 from their own fronts and 340 long. Dips of 12 and 10:
both turn by asin(0.05), whose cosine is sqrt(1 - 0.0025) = 0.9987492178.
"""

import math
from typing import Any

import pytest
from builders import place, with_part
from placed import a_cabinet, bounds, corners, has_corner, solid, the_problem, the_problems

from routeviz.cabinet.motions import Fixed, Hinge

NATURAL = {"long": 400, "front": 48, "balance": 240, "thick": 20, "dip": 12}
SHARP = {"long": 340, "front": 90, "balance": 200, "thick": 20, "stands": 12, "dip": 10}
COSINE = 0.9987492178


def with_keys(**more: Any) -> str:
    """Five keys from C to E at right 100, back 50, up 700."""
    values: dict[str, Any] = {
        "kind": "keyboard",
        "at": place(100, 50, 700),
        "keys": 5,
        "lowest": "C4",
        "octave": 164.5,
        "between": 1.5,
        "sharps_back": 50,
        "natural": NATURAL,
        "sharp": SHARP,
        "dip_doubt": 0,
    }
    return with_part("keys", **values | more)


def across(number: int, **more: Any) -> tuple[tuple[float, float], tuple[float, float]]:
    """Left and right of a key's head and of its stick, from the keyboard's left end."""
    cabinet = a_cabinet(with_keys(at=place(0, 0, 0), **more))
    points = corners(cabinet, f"keys {number}")
    # The head's box comes first: eight corners.
    head, stick = points[:8, 0], points[8:, 0]
    return (
        (round(head.min(), 6), round(head.max(), 6)),
        (round(stick.min(), 6), round(stick.max(), 6)),
    )


def test_world_corners_of_a_natural_at_full_dip() -> None:
    # Key 1, C: head from 100 to 100 + 23.5 - 1.5 = 122; stick to 100 + 3/5 * 23.5 - 1.5 = 112.6. Hinge at
    # back 50 + 240 = 290, up 700. What is y behind it and z above it goes to y cos - 0.05 z, 0.05 y + z cos.
    points = corners(a_cabinet(with_keys()), "keys 1", 1.0)
    assert has_corner(points, (100, 290 - 240 * COSINE, 700 - 12))  # front, underside: down by the dip
    assert has_corner(points, (122, 290 - 240 * COSINE - 0.05 * 20, 700 - 12 + 20 * COSINE))  # front, top
    assert has_corner(points, (112.6, 290 + 160 * COSINE, 700 + 8))  # rear, underside: up by 0.05 * 160
    assert has_corner(points, (100, 290 + 160 * COSINE - 0.05 * 20, 700 + 8 + 20 * COSINE))  # rear, top


def test_world_corners_of_a_sharp_at_full_dip() -> None:
    # Key 2, C sharp: slot from 3/5 to 6/5 of a natural, wood from 114.1 to 126.7. Its front at back 100,
    # hinge at 300; the raised block's top 20 + 12 above the underside.
    points = corners(a_cabinet(with_keys()), "keys 2", 1.0)
    assert has_corner(points, (114.1, 300 - 200 * COSINE, 700 - 10))
    assert has_corner(points, (126.7, 300 - 200 * COSINE - 0.05 * 32, 700 - 10 + 32 * COSINE))
    assert has_corner(points, (114.1, 300 + 140 * COSINE, 700 + 7))


def test_world_corners_of_the_highest_natural_at_full_dip() -> None:
    # Key 5, E: head from 2 to 3 naturals, 147 to 169; slot from 4/5 of three naturals on: stick 156.4 to 169.
    points = corners(a_cabinet(with_keys(lowest="C4")), "keys 5", 1.0)
    assert has_corner(points, (147, 290 - 240 * COSINE, 700 - 12))
    assert has_corner(points, (156.4, 290 + 160 * COSINE, 700 + 8))
    assert has_corner(points, (169, 290 + 160 * COSINE - 0.05 * 20, 700 + 8 + 20 * COSINE))


def test_a_turned_keyboard_s_keys_turn_about_turned_hinges() -> None:
    # A quarter turn about up: what was d back of at is now d left of it. The front goes down as before.
    cabinet = a_cabinet(with_keys(turned={"about": "up", "by": 90}))
    movement = solid(cabinet, "keys 1").movement
    assert isinstance(movement, Hinge)
    assert movement.axis.tolist() == [0, 1, 0]
    points = corners(cabinet, "keys 1", 1.0)
    assert has_corner(points, (100 - (240 - 240 * COSINE), 50, 700 - 12))
    assert has_corner(points, (100 - (240 + 160 * COSINE), 50, 700 + 8))


def test_the_doubt_takes_the_front_further_down() -> None:
    points = corners(a_cabinet(with_keys(dip_doubt=0.5)), "keys 1", 1.0)
    assert points[:, 2].min() == pytest.approx(700 - 12.5, abs=1e-9)


def test_from_c_to_e_five_slots_share_the_room_of_three_naturals() -> None:
    # Slots of 3 * 23.5 / 5 = 14.1; every piece of wood is 1.5 narrower than its room.
    assert across(1) == ((0, 22), (0, 12.6))
    assert across(2) == ((14.1, 26.7), (14.1, 26.7))
    assert across(3) == ((23.5, 45.5), (28.2, 40.8))
    assert across(4) == ((42.3, 54.9), (42.3, 54.9))
    assert across(5) == ((47, 69), (56.4, 69))


def test_from_f_to_b_seven_slots_share_the_room_of_four_naturals() -> None:
    # With an octave of 196 a natural has 28 and a slot 4 * 28 / 7 = 16.
    expected = [
        ((0, 26.5), (0, 14.5)),
        ((16, 30.5), (16, 30.5)),
        ((28, 54.5), (32, 46.5)),
        ((48, 62.5), (48, 62.5)),
        ((56, 82.5), (64, 78.5)),
        ((80, 94.5), (80, 94.5)),
        ((84, 110.5), (96, 110.5)),
    ]
    found = [across(number, keys=7, lowest="F2", octave=196) for number in range(1, 8)]
    assert found == expected


def test_a_lowest_a_has_no_sharp_on_its_left_and_keeps_its_width_there() -> None:
    # A's slot would begin at 64 of F..B where its head begins at 56; nothing takes the 8 between.
    assert across(1, keys=3, lowest="A0", octave=196) == ((0, 26.5), (0, 80 - 56 - 1.5))
    assert across(2, keys=3, lowest="A0", octave=196)[0] == (80 - 56, 94.5 - 56)


def test_a_highest_c_has_no_sharp_on_its_right_and_keeps_its_width_there() -> None:
    assert across(13, keys=13, octave=196) == ((196, 222.5), (196, 222.5))


def test_a_keyboard_that_begins_with_a_sharp_counts_from_its_lowest_natural() -> None:
    # B's head begins at 84 of F..B; B flat's slot begins at 80 and ends at 96.
    assert across(1, keys=2, lowest="Bb1", octave=196)[0] == (80 - 84, 94.5 - 84)
    assert across(2, keys=2, lowest="Bb1", octave=196)[0] == (0, 26.5)


def test_a_keyboard_from_the_right_end_has_its_last_key_s_right_side_there() -> None:
    zero = "[zero.bed]\nat = { right = 10 }\nwide = 300\n"
    cabinet = a_cabinet(zero, with_keys(zero="bed", at={"right_end": 40}))
    assert bounds(corners(cabinet, "keys 5"))[1][0] == 270


def test_a_gap_shifts_what_follows_it() -> None:
    assert across(2, gaps=[{"after": 2, "wide": 22}])[0] == (14.1, 26.7)
    assert across(3, gaps=[{"after": 2, "wide": 22}]) == ((45.5, 67.5), (50.2, 62.8))


def test_locked_keys_stand_still_and_absent_keys_are_not_there() -> None:
    cabinet = a_cabinet(with_keys(locked="1, 3", absent="2, 4"))
    assert [one.name for one in cabinet.solids] == ["keys 1", "keys 3", "keys 5"]
    assert [isinstance(one.movement, Fixed) for one in cabinet.solids] == [True, True, False]


def test_naturals_are_ivory_and_sharps_ebony_and_all_say_what_the_keyboard_asks_for() -> None:
    cabinet = a_cabinet(with_keys(clearance=6, comes_out="front"))
    assert [one.look for one in cabinet.solids] == ["ivory", "ebony", "ivory", "ebony", "ivory"]
    assert {one.part for one in cabinet.solids} == {"keys"}
    assert {one.clearance_mm for one in cabinet.solids} == {6}
    assert all(one.comes_out is not None and one.comes_out.tolist() == [0, -1, 0] for one in cabinet.solids)


def test_every_box_of_a_key_stays_near_to_its_hinge() -> None:
    pieces = solid(a_cabinet(with_keys()), "keys 1").pieces
    # Head to 48, tail to the hinge at 240, then halves of the 160 behind it: thicknesses are all 20.
    assert pieces.origins[:, 1].round(9).tolist() == [50 + 24, 50 + 144, 50 + 280, 50 + 360]
    assert (2 * pieces.halves).tolist() == [20, 20, 20, 20]


def test_the_angle_at_full_travel_is_the_arc_sine_of_dip_over_arm() -> None:
    movement = solid(a_cabinet(with_keys()), "keys 1").movement
    assert isinstance(movement, Hinge)
    assert movement.full_deg == pytest.approx(math.degrees(math.asin(12 / 240)), abs=1e-12)


@pytest.mark.parametrize("note", ["E#3", "B#2", "Cb4", "Fb0"])
def test_a_sign_that_leads_to_a_natural_is_refused(note: str) -> None:
    key, found, allowed, remedy = the_problem(with_keys(lowest=note))
    assert key == "part.keys.lowest"
    assert found == f"{note!r}, which is a natural's key"
    assert allowed == "a sharp's note, such as 'F#1' or 'Bb1', or a natural's without a sign"
    assert remedy == "write the note of key 1 as its key is called"


def test_flats_and_sharps_name_the_same_key() -> None:
    flat, sharp = (across(2, keys=3, lowest=note) for note in ("Db2", "C#2"))
    assert flat == sharp


def test_keys_beyond_the_keyboard_are_refused() -> None:
    key, found, allowed, remedy = the_problem(with_keys(locked="4..7"))
    assert key == "part.keys.locked"
    assert found == "keys 6, 7 of a keyboard of 5"
    assert allowed == "keys 1 to 5"
    assert remedy == "correct locked or keys"


@pytest.mark.parametrize("after", [5, 9])
def test_a_gap_after_a_key_that_nothing_follows_is_refused(after: int) -> None:
    key, found, allowed, _ = the_problem(with_keys(gaps=[{"after": after, "wide": 5}]))
    assert key == "part.keys.gaps.1.after"
    assert found == f"a gap after key {after} of 5"
    assert allowed == "keys 1 to 4"


@pytest.mark.parametrize(
    ("more", "key", "found"),
    [
        ({"between": 14.1}, "between", "keys 14.1 mm apart, no wood left in an octave of 164.5 mm"),
        (
            {"natural": NATURAL | {"front": 60}},
            "natural.front",
            "heads of 60.0 mm, but sharps that begin at 50.0 mm",
        ),
        (
            {"sharp": SHARP | {"balance": 90}},
            "sharp.balance",
            "front 90.0 mm, balance 90.0 mm, long 340.0 mm",
        ),
        (
            {"natural": NATURAL | {"long": 240}},
            "natural.balance",
            "front 48.0 mm, balance 240.0 mm, long 240.0 mm",
        ),
        ({"sharp": SHARP | {"dip": 200}}, "sharp.dip", "a dip of 200.0 mm and a doubt of 0.0 mm"),
        ({"keys": 1, "lowest": "C#2"}, "keys", "a keyboard of one sharp"),
        ({"motion": {"slides": "up", "travel": 5}}, "motion", "a motion of a keyboard"),
        ({"rows": [{"holes": "1", "first": place(0, 0, 0)}]}, "rows", "rows of nipples on a keyboard"),
    ],
)
def test_measures_that_cannot_be_a_keyboard_s_are_refused(more: dict[str, Any], key: str, found: str) -> None:
    assert [(p.key, p.found) for p in the_problems(with_keys(**more))] == [(f"part.keys.{key}", found)]
