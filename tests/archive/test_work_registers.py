"""The registers of the work, held to scene and plan as TOML and JSON read them."""

import json
import tomllib

import pytest
from archive.rows import rows_of
from benched import SCENES, lay_of
from builders import place, read, with_box, with_nipple, with_stage, with_tube

from routeviz.archive.work_registers import (
    note_by_note_register,
    order_of_work_register,
    stages_register,
    taking_out_register,
)
from routeviz.archive.zero_register import zeros_register
from routeviz.pipeline import check_reading

# Lead; a stump; ends that nobody knows; ways that nobody can see, or that are not there any more.
NOT_LAID = {
    "lead feed": "leave",
    "old soft": "leave",
    "wind trunk": "trace",
    "dial": "trace",
    "switch wire": "trace",
    "accent": "trace",
}


def laid_in(scene):
    """The rows in which tubes are laid, by tube."""
    rows = rows_of(order_of_work_register(lay_of(scene)))
    return {row["tube"]: row for row in rows if row["what"] == "lay"}


@pytest.mark.parametrize("scene", ["as_found", "thistledown"])
def test_each_tube_is_laid_once_and_each_run_tested_once(scene):
    rows = rows_of(order_of_work_register(lay_of(scene)))
    told = [row["tube"] for row in rows if row["what"] != "test"]
    assert sorted(told) == sorted(tube.name for tube in lay_of(scene).tubes)
    assert [row["turn"] for row in rows] == list(range(1, len(rows) + 1))
    runs = sorted({row["run"] for row in rows if row["what"] == "lay"})
    assert sorted(row["run"] for row in rows if row["what"] == "test") == runs


def test_what_is_not_laid_says_so_and_has_no_length():
    rows = [row for row in rows_of(order_of_work_register(lay_of("as_found"))) if row["what"] != "test"]
    assert {row["tube"]: row["what"] for row in rows if row["what"] != "lay"} == NOT_LAID
    for row in rows:
        assert ("length_mm" in row) == ("first_end" in row) == (row["what"] == "lay")
        if row["what"] != "lay":
            assert row["look_out"].startswith(("stays as it lies", "to be traced first", "no way"))


def test_a_tube_that_goes_another_way_than_it_says_is_not_sent_through():
    # governor names key bed treble and is taped as going by it; the scene expects that of it.
    row = laid_in("as_found")["governor"]
    assert "key bed treble" not in row.get("through", "")
    assert "(miss)" in row["look_out"]


def test_the_runs_are_the_plans():
    rows = rows_of(order_of_work_register(lay_of("thistledown")))
    plan = json.loads((SCENES / "thistledown.plan.json").read_text(encoding="utf-8"))
    for run in plan["runs"]:
        told = [row for row in rows if row["run_says"] == run["says"] and row["what"] == "lay"]
        assert sorted(row["tube"] for row in told) == sorted(run["tubes"])


def test_passages_and_ties_are_those_of_the_plan():
    rows = laid_in("thistledown")
    plan = json.loads((SCENES / "thistledown.plan.json").read_text(encoding="utf-8"))
    for tube in plan["tubes"]:
        row = rows[tube["name"]]
        through = row.get("through", "").split("; ") if "through" in row else []
        assert (through if row["from_start"] else through[::-1]) == tube["through"]
        ties = [f"at {tie['along']:.0f} mm to {tie['to']}" for tie in tube.get("ties", [])]
        assert row.get("ties", "") == "; ".join(ties)


def test_each_tube_is_tested_once_between_the_ends_that_the_scene_gives_it():
    rows = rows_of(note_by_note_register(lay_of("as_found")))
    told = tomllib.loads((SCENES / "as_found.toml").read_text(encoding="utf-8"))["tubes"]
    tags = sorted(tag for row in rows for tag in row["tags"].split(", "))
    assert tags == sorted(tube.tag for tube in lay_of("as_found").tubes)
    tested = {row["tags"]: row for row in rows}
    for tube in lay_of("as_found").tubes:
        said = next((one for one in told if one.get("name") == tube.name), None)
        if said is not None and tube.tag in tested and "joins" not in tested[tube.tag]:
            if tube.name in NOT_LAID:
                assert {"open", "answers"}.isdisjoint(tested[tube.tag])
                assert "no test" in tested[tube.tag]["how"]
                continue
            assert [tested[tube.tag]["open"], tested[tube.tag]["answers"]] == [said["from"], said["to"]]
    trunk = next(row for row in rows if "joins" in row)
    assert trunk["joins"] == "trunk tee"
    assert len(trunk["tags"].split(", ")) == 3  # a tee joins three


def test_a_part_that_comes_out_has_its_tubes_pulled_first_and_put_back_the_other_way_round():
    rows = rows_of(taking_out_register(lay_of("as_found")))
    told = tomllib.loads((SCENES / "as_found.toml").read_text(encoding="utf-8"))
    on_it = {one["name"] for one in told["tubes"] if "control box" in (one["to"] + one["from"])}
    assert {row["tube"] for row in rows if row["part"] == "control box"} == on_it
    assert [row["turn_out"] + row["turn_back"] for row in rows] == [len(on_it) + 1] * len(on_it)
    turns = laid_in("as_found")
    laid = [turns[row["tube"]]["turn"] for row in rows]
    assert laid == sorted(laid, reverse=True)


def test_a_part_that_nothing_holds_comes_out_freely(tmp_path):
    lay = check_reading(read(tmp_path, with_box("lid", (0, 0, 0), (100, 100, 10), comes_out="up")))
    assert rows_of(taking_out_register(lay)) == [{"part": "lid", "row": 1, "what": "comes out freely"}]


def test_stages_tell_what_comes_and_goes(tmp_path):
    scene = read(
        tmp_path,
        with_box("jig", (0, 0, -50), (10, 10, 10), until="bench"),
        with_nipple("a", (0, 50, 50), "right"),
        with_nipple("b", (300, 50, 50), "left"),
        with_box("lid", (0, 200, 0), (10, 10, 10), stage="case"),
        with_tube("a 1", "b 1", stage="case", corners=[place(150, 50, 50)]),
        with_stage("bench"),
        with_stage("case", pose="leaned back 70 deg"),
    )
    assert rows_of(stages_register(check_reading(scene))) == [
        {"stage": "bench", "order": 1, "pose": "upright", "parts_go": "jig", "tubes": 0},
        {"stage": "case", "order": 2, "pose": "leaned back 70 deg", "parts_come": "lid", "tubes": 1},
    ]


def test_zeros_stand_where_they_were_taped():
    rows = {row["zero"]: row for row in rows_of(zeros_register(lay_of("thistledown")))}
    told = tomllib.loads((SCENES / "thistledown.toml").read_text(encoding="utf-8"))["zero"]
    assert rows.keys() == told.keys()
    for name, zero in told.items():  # in millimetres, each seen from the case
        at = [zero["at"][way] for way in ("right", "back", "up")]
        assert [rows[name][f"{axis}_mm"] for axis in "xyz"] == at
        assert {k: rows[name].get(f"{k}_mm") for k in ("wide", "deep", "high")} == {
            k: zero.get(k) for k in ("wide", "deep", "high")
        }
