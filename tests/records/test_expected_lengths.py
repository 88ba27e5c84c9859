"""Expected lengths, worked out again from the plan's file and the scene's text alone."""

import json
import math
import tomllib
from fractions import Fraction

import numpy as np
import pytest
from benched import SCENES, column, lay_of
from builders import read, with_nipple, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.cut_lengths import expected_lengths
from routeviz.records.settings import Settings
from routeviz.records.tube_list import tube_list

OVER_MM = 11.0  # what goes over a nipple where the scene does not say it; neither planned scene does
NEAR_MM = 1e-6
WAIT = tuple(
    with_nipple(name, (right, 0, 0), outside=4.5) for name, right in (("a", 0), ("b", 50), ("c", 100))
)


def rounded_length(corners, radii):
    """The length of a polyline whose corners are rounded: at each, two tangents give way to an arc."""
    legs = np.diff(np.array(corners), axis=0)
    length = float(np.linalg.norm(legs, axis=1).sum())
    for before, after, radius in zip(legs[:-1], legs[1:], radii, strict=True):
        cosine = before @ after / (np.linalg.norm(before) * np.linalg.norm(after))
        turn = math.acos(max(-1.0, min(1.0, float(cosine))))
        length -= 2 * radius * math.tan(turn / 2) - radius * turn
    return length


def planned_lengths(name):
    """By tube, the length of its planned centreline."""
    plan = json.loads((SCENES / f"{name}.plan.json").read_text(encoding="utf-8"))
    return {
        tube["name"]: rounded_length(
            [[corner[axis] for axis in ("right", "back", "up")] for corner in tube["corners"]],
            [corner["radius"] for corner in tube["corners"][1:-1]],
        )
        for tube in plan["tubes"]
    }


def loose_tubes(name):
    """By name, what the scene says is spare at a loose end."""
    scene = tomllib.loads((SCENES / f"{name}.toml").read_text(encoding="utf-8"))
    assert "practice" not in scene
    assert not any("on_nipple" in part for part in scene["part"].values())
    return {tube["name"]: tube["spare"] for tube in scene["tubes"] if tube["to"] == "loose"}


@pytest.mark.parametrize("name", ["thistledown", "harbour_hall"])
def test_lengths_on_the_list_follow_from_the_plan_alone(name):
    lengths, loose = planned_lengths(name), loose_tubes(name)
    table = tube_list(lay_of(name), Settings())
    names = column(table, "tube")
    assert sorted(names) == sorted(lengths)
    told = zip(names, column(table, "length_mm"), column(table, "length_in"), strict=True)
    for tube, whole_mm, inches in told:
        own = lengths[tube] + (OVER_MM + loose[tube] if tube in loose else 2 * OVER_MM)
        assert own - NEAR_MM <= whole_mm < own + 1 + NEAR_MM
        shown = float(Fraction(inches.sixteenths, 16) * Fraction(254, 10))
        assert own - NEAR_MM <= shown < own + 25.4 / 16 + NEAR_MM


def test_trim_and_what_goes_over_a_nipple_are_added(tmp_path):
    tube = with_tube("low 1", "high 1", corners=[])
    ends = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 400), faces="down", on_nipple=9)
    lay = check_reading(read(tmp_path, *ends, tube))
    assert expected_lengths(lay, Settings()) == (pytest.approx(400 + 11 + 9),)
    assert expected_lengths(lay, Settings(trim_mm=30)) == (pytest.approx(400 + 11 + 9 + 30),)
    assert expected_lengths(lay, Settings(over_nipple_mm=13)) == (pytest.approx(400 + 2 * 13),)


def test_ends_that_wait_for_one_unit_are_a_step_longer_each(tmp_path):
    tubes = [
        with_tube(
            f"{name} 1",
            "loose",
            corners=[],
            ends_at={"right": right, "back": 0, "up": 300},
            spare=100,
            waits_for=unit,
        )
        for name, right, unit in (("a", 0, "bells"), ("b", 50, "drum"), ("c", 100, "bells"))
    ]
    lay = check_reading(read(tmp_path, *WAIT, *tubes))
    own = 300 + 11 + 100
    lengths = expected_lengths(lay, Settings(step_mm=15))
    assert lengths == (pytest.approx(own), pytest.approx(own), pytest.approx(own + 15))
    lengths = expected_lengths(lay, Settings(step_mm=15, over_nipple_mm=13))
    assert lengths == (pytest.approx(own + 2), pytest.approx(own + 2), pytest.approx(own + 2 + 15))


def test_a_tube_without_a_way_is_on_the_list_and_says_why(tmp_path):
    lay = check_reading(read(tmp_path, *WAIT[:2], with_tube("a 1", "b 1", hidden="under the bed")))
    (row,) = tube_list(lay, Settings()).rows
    assert row[-3:] == (None, None, "to be traced first: its way is hidden (under the bed)")


def test_a_tube_at_fault_keeps_its_length_and_says_its_fault():
    table = tube_list(lay_of("as_found"), Settings())
    at = column(table, "tube").index("tempo")  # the scene expects it to be cut too short
    length, mark = column(table, "length_mm")[at], column(table, "mark")[at]
    assert length is not None
    assert mark.startswith("fault ")
    assert "13.0 mm short" in mark


def test_every_figure_that_is_added_names_its_source():
    notes = " ".join(tube_list(lay_of("harbour_hall"), Settings()).notes)
    assert "memory, medium-low: 3/8 to 1/2 in" in notes
    assert "common practice, no source" in notes
    assert "never short" in notes
