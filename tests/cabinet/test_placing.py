import numpy as np
import pytest
from builders import place, with_board, with_box, with_part, with_row, with_tubing
from placed import a_cabinet, a_reading, the_problems

from routeviz.cabinet.placing import place as put
from routeviz.cabinet.solids import Cabinet, extents


def bytes_of(cabinet: Cabinet) -> list[bytes]:
    """Every number of a cabinet's bodies, nipples and passages."""
    pieces = cabinet.bodies.pieces
    arrays = [pieces.rotations, pieces.origins, pieces.halves, pieces.radii, pieces.corners]
    arrays += [cabinet.bodies.points, cabinet.bodies.directions, cabinet.bodies.travels, cabinet.down]
    arrays += [n.tip for n in cabinet.nipples.values()] + [p.outline for p in cabinet.passages.values()]
    return [array.tobytes() for array in arrays]


PIECES = (
    with_board(
        "shelf", (0, 0, 0), (400, 100, 20), opening={"bass": {"at": place(50, 50, 0), "diameter": 30}}
    ),
    with_box("pedal", (0, 0, 50), (10, 90, 5), motion={"turns_about": "right", "travel": "3 deg"}),
    with_row("bar", "1..9", (10, 0, 300), (90, 0, 300), faces="back"),
)


def test_body_i_is_solid_i() -> None:
    cabinet = a_cabinet(*PIECES)
    assert [solid.name for solid in cabinet.solids] == ["shelf", "pedal"]
    # Still, then hinged by three degrees.
    assert cabinet.bodies.travels.tolist() == [0, pytest.approx(np.radians(3))]
    for index, solid in enumerate(cabinet.solids):
        mine = cabinet.bodies.pieces.origins[cabinet.bodies.pieces.bodies == index]
        assert mine.tolist() == solid.pieces.origins.tolist()


def test_the_same_scene_gives_the_same_bytes() -> None:
    assert bytes_of(a_cabinet(*PIECES)) == bytes_of(a_cabinet(*PIECES))


def test_a_cabinet_cannot_be_changed() -> None:
    cabinet = a_cabinet(*PIECES)
    with pytest.raises(TypeError):
        cabinet.nipples["x"] = cabinet.nipples["bar 1"]  # type: ignore[index]
    with pytest.raises(ValueError, match="read-only"):
        cabinet.nipples["bar 1"].tip[0] = 5


def test_a_scene_without_parts_is_an_empty_cabinet() -> None:
    cabinet = a_cabinet()
    assert not (cabinet.solids)
    assert not (cabinet.keep_clear)
    assert not (cabinet.nipples)
    assert not (cabinet.passages)
    assert [edge.tolist() for edge in extents(cabinet)] == [[0, 0, 0], [0, 0, 0]]


def test_title_limits_and_practice_are_the_scene_s() -> None:
    reading = a_reading(top="clearance = { moving = 7 }\npractice = { on_nipple = 8 }")
    cabinet = put(reading)
    assert cabinet.title == reading.scene.title
    assert (cabinet.limits.moving_mm, cabinet.practice.on_nipple_mm) == (7, 8)


def test_everything_that_is_wrong_is_said_at_once_in_the_order_of_the_file() -> None:
    problems = the_problems(
        with_tubing("soft", wall=1),
        with_box("a", (0, 0, 0), (1, 1, 1), at_wrong=None, motion={"turns_about": "up", "travel": 0}),
        with_part("b", kind="cylinder", at=place(0, 0, 0), to=place(0, 0, 0), diameter=1),
        with_box("c", (0, 0, 0), (1, 1, 1), carried_by="d"),
        top="pose = 'upside down'",
    )
    assert [p.key for p in problems] == [
        "pose",
        "tubing.soft.wall",
        "part.a.motion.travel",
        "part.b.to",
        "part.c.carried_by",
    ]
    assert all(p.line > 0 and p.file == "case.toml" for p in problems)


def test_a_carrier_with_problems_of_its_own_is_not_said_to_be_missing() -> None:
    problems = the_problems(
        with_part("rail", kind="cylinder", at=place(0, 0, 0), to=place(0, 0, 0), diameter=1),
        with_row("bar", "1", (0, 0, 0), None, carried_by="rail"),
    )
    assert [p.key for p in problems] == ["part.rail.to"]


def test_extents_hold_solids_anywhere_in_their_travel_nipples_and_passages() -> None:
    low, high = extents(a_cabinet(*PIECES))
    # The pedal's far end is 90 behind its hinge and rises: 90 sin 3 deg + 5 cos 3 deg above 50, below 300.
    assert low.tolist() == pytest.approx([0, -5 * np.sin(np.radians(3)), 0], abs=0.02)
    assert high.tolist() == pytest.approx([400, 100, 300])
    slide = with_box("bar", (0, 0, 0), (10, 10, 10), motion={"slides": "left", "travel": 70})
    assert extents(a_cabinet(slide))[0].tolist() == [-70, 0, 0]
