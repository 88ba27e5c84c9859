"""The separate checker reads lengths, zeros and keys by itself, and shares nothing with the package."""

import ast
import math
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, place, with_box, with_part, with_row, with_tube, with_zero, written
from verifier.lays import case_of
from verifier.lengths import degrees, mm, numbers
from verifier.scenes import read
from verifier.wiring import asked_for

HERE = Path(__file__).parent


def test_it_imports_nothing_of_the_package():
    for path in HERE.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not any(name.split(".")[0] == "routeviz" for name in names), path


@pytest.mark.parametrize(
    ("value", "units", "expected"),
    [
        ("5/32 in", None, 3.96875),
        ("1 1/4 in", "mm", 31.75),
        ("12 mm", "in", 12.0),
        (2, "in", 50.8),
        (0.25, "ft", 76.2),
        ("2 ft", "mm", 609.6),
        (1.5, "cm", 15.0),
    ],
)
def test_lengths_by_hand(value, units, expected):
    assert mm(value, units) == pytest.approx(expected, abs=1e-12)


def test_angles_and_numbers_by_hand():
    assert (degrees("70 deg"), degrees(-30)) == (70, -30)
    assert numbers("1..9 step 4, 3, 12..10") == [1, 5, 9, 3, 12, 11, 10]


def test_a_zero_seen_from_another_and_a_position_from_its_far_end(tmp_path):
    far = with_zero("far", (100, 200, 300), wide=1000).replace("up = 300", 'up = 300, zero = "bed"')
    text = a_scene(with_zero("bed", (20, 0, 690)), far)
    scene = read(written(tmp_path, text))
    assert scene.zeros["far"][0] == pytest.approx([120, 200, 990])
    # 80 from the right end of 1000: 920 from its left, a thing 50 wide begins at 870
    assert scene.point({"right_end": 80}, "far", (50, 0, 0)) == pytest.approx([990, 200, 990])


def test_a_box_turned_and_repeated(tmp_path):
    step = {"count": 2, "step": place(0, 0, 500)}
    box = with_box("block", (10, 20, 30), (4, 6, 8), turned={"about": "up", "by": 90}, repeat=step)
    things = case_of(written(tmp_path, a_scene(box))).things
    # middle (2, 3, 4) in the box turns to (-3, 2, 4)
    assert things["block 1"].shapes[0].place == pytest.approx([7, 22, 34])
    assert things["block 2"].shapes[0].place == pytest.approx([7, 22, 534])


def test_copies_of_a_part_have_a_nipple_each_and_a_run_of_tubes_counts_them(tmp_path):
    step = {"count": 3, "step": place(50, 0, 0)}
    bell = with_row("bell", "1", (5, 6, 7), None, faces="down", repeat=step)
    bar = with_row("bar", "11..13", (0, 0, 90), (20, 0, 90))
    path = written(tmp_path, a_scene(bell, bar, with_tube("bar 13..11", "bell 1..3", name="bells")))
    nipples = case_of(path).nipples
    assert nipples["bell 3 1"].tip == pytest.approx([105, 6, 7])
    found = [(one.name, *one.ends) for one in asked_for(read(path), tmp_path)]
    assert found[0] == ("bells 13", "bar 13", "bell 1 1")
    assert found[2] == ("bells 11", "bar 11", "bell 3 1")


def test_a_wiring_table_adds_its_tubes(tmp_path):
    (tmp_path / "more.csv").write_text(
        'from;to;tubing;through\nbar 1..2;loose;note;\nbar 3;loose;note;"a; b"\n', encoding="utf-8"
    )
    bar = with_row("bar", "1..3", (0, 0, 90), (20, 0, 90))
    path = written(tmp_path, a_scene(bar, top='wiring = "more.csv"'))
    found = asked_for(read(path), tmp_path)
    assert [(one.name, one.ends) for one in found] == [(f"bar {k}", (f"bar {k}", None)) for k in (1, 2, 3)]
    assert found[2].entry["through"] == ["a", "b"]


def test_the_rear_upper_edges_of_three_keys_at_full_dip(tmp_path):
    """By hand: a key turns by asin(dip / balance) about the line under its balance; the rear rises."""
    lever = {"long": 380, "front": 50, "balance": 230, "thick": 20, "dip": 10}
    sharp = {"long": 330, "front": 90, "balance": 200, "thick": 20, "stands": 12, "dip": 9}
    board = with_part(
        "keys", kind="keyboard", at=place(100, 10, 25), keys=3, lowest="C4", octave=161, between=1,
        sharps_back=50, natural=lever, sharp=sharp, dip_doubt=0,
    )  # fmt: skip
    things = case_of(written(tmp_path, a_scene(board))).things
    # naturals are 161 / 7 = 23 wide; from C to E five slots share 69: 13.8 each. Key 1 has its head's left.
    left = {1: 100.0, 2: 113.8, 3: 127.6}
    for number, arm, behind, begin, dip in ((1, 230, 150, 0, 10), (2, 200, 130, 50, 9), (3, 230, 150, 0, 10)):
        angle = math.asin(dip / arm)
        back = 10 + begin + arm + behind * math.cos(angle) - 20 * math.sin(angle)
        up = 25 + behind * math.sin(angle) + 20 * math.cos(angle)
        thing = things[f"keys {number}"]
        turn, shift = thing.motion.pose(1.0)
        rear = thing.shapes[-1]
        corner = rear.place + rear.turn @ (rear.halves * np.array([-1, 1, 1]))
        assert turn @ corner + shift == pytest.approx([left[number], back, up], abs=1e-9)
