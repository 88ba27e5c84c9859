"""Tests of runs come when all tubes of the run lie with both ends on; how they are made; the wall sheet."""

import pytest
from benched import NAMES, column, lay_of
from builders import read, with_box, with_nipple, with_row, with_tube

from routeviz.pipeline import check_reading
from routeviz.records.order_of_work import order_of_work
from routeviz.records.settings import Settings
from routeviz.records.testing import note_by_note, run_tests
from routeviz.records.wall import tags_in_short, wall_sheet
from routeviz.views.work_order import work_order


@pytest.mark.parametrize("worker", ["front", "back"])
@pytest.mark.parametrize("name", NAMES)
def test_a_run_is_tested_once_a_stage_when_it_lies_whole(name, worker):
    lay = lay_of(name)
    table = order_of_work(lay, Settings(worker=worker))
    rows = list(
        zip(
            *(column(table, one) for one in ("what", "stage", "run", "tag")),
            range(len(table.rows)),
            strict=True,
        )
    )
    at = {tag: row for what, _, _, tag, row in rows if what == "lay"}
    tested = [((stage, run), row) for what, stage, run, _, row in rows if what == "test"]
    assert len(dict(tested)) == len(tested)
    assert {key for key, _ in tested} == {(stage, run) for what, stage, run, *_ in rows if what == "lay"}
    for step in (step for step in work_order(lay, worker) if step.left is None):
        when = dict(tested)[step.stage or "", step.run_number]
        assert at[lay.tubes[step.tube].tag] < when
        if step.open_until is not None:
            assert at[lay.tubes[step.open_until].tag] < when


def test_turns_count_on():
    turns = column(order_of_work(lay_of("harbour_hall"), Settings()), "turn")
    assert [turn for turn in turns if turn is not None] == list(range(1, 112))


def test_signals_are_tested_by_bulb_and_vacuum_by_gauge(tmp_path):
    pieces = []
    for k, carries in enumerate(("signal", "always-on vacuum", "wire")):
        pieces += [with_nipple(f"l{k}", (40 * k, 0, 0)), with_nipple(f"h{k}", (40 * k, 0, 300), faces="down")]
        pieces.append(with_tube(f"l{k} 1", f"h{k} 1", corners=[], carries=carries, name=carries))
    lay = check_reading(read(tmp_path, *pieces))
    told = "; ".join(run_tests(lay, work_order(lay)).values())
    assert "bulb" in told
    assert "gauge" in told
    assert "meter" in told
    assert column(note_by_note(lay), "how") == [
        "pump low; open alone, then close",
        "gauge at both ends: the same",
        "by a meter, wires dead",
    ]


def test_what_meets_in_a_tee_is_tested_as_one():
    # harbour_hall: hole 3 goes to a tee, from which the sustain pneumatic and its booster are worked.
    table = note_by_note(lay_of("harbour_hall"))
    (row,) = [row for row in table.rows if row[3] == "tracker bar 3"]
    assert row[4] == "pedal pneumatics 4, sustain booster 1"
    assert row[5] == "sustain tee"


def test_the_way_of_testing_names_its_sources():
    notes = " ".join(note_by_note(lay_of("harbour_hall")).notes)
    assert "never by mouth" in notes
    assert "player-care.com/minimum-vacuum-for-stack" in notes


@pytest.mark.parametrize(
    ("tags", "short"),
    [
        (["3", "1", "2"], "1..3"),
        (["P1", "7", "8"], "7, 8, P1"),
        (["01", "1"], "1, 01"),  # not the number 1: it stays as it is
        (["²"], "²"),
        ([], ""),
    ],
)
def test_tags_are_told_in_short(tags, short):
    assert tags_in_short(tags) == short


def test_the_wall_tells_what_comes_first_what_is_loose_and_where_it_goes(tmp_path):
    row = with_row("bar", "1..3", (0, 0, 0), (40, 0, 0), outside=4.5)
    ends = with_row("chest", "1..2", (0, 0, 300), (20, 0, 300), faces="down", outside=4.5)
    loose = with_tube(
        "bar 3", "loose", corners=[], ends_at={"right": 40, "back": 0, "up": 200}, waits_for="bells", spare=50
    )
    lay = check_reading(read(tmp_path, row, ends, with_tube("bar 1..2", "chest 1..2", corners=[]), loose))
    (run,) = wall_sheet(lay, Settings()).runs
    assert (run.run, run.says, run.tags) == (1, "bar 1..3", "1..3")
    assert run.first == "bar"  # it lies lower, and the loose end waits
    assert run.exceptions == ("ends loose: 3",)


def test_the_wall_tells_which_tubes_begin_elsewhere(tmp_path):
    # The third of the chest lies lower than its end on the bar, the first two higher.
    row = with_row("bar", "1..3", (0, 0, 200), (40, 0, 200), outside=4.5)
    high = with_row("chest", "1..2", (0, 0, 500), (20, 0, 500), faces="down", outside=4.5)
    low = with_row("low", "1", (40, 100, 0), None, outside=4.5)
    tubes = with_tube("bar 1..2", "chest 1..2", corners=[]), with_tube("bar 3", "low 1", corners=[])
    (run,) = wall_sheet(check_reading(read(tmp_path, row, high, low, *tubes)), Settings()).runs
    assert run.first == "bar; 3: low"


@pytest.mark.parametrize("name", NAMES)
def test_runs_stand_in_the_order_of_their_first_tubes(name):
    lay = lay_of(name)
    turn = {step.tube: k for k, step in enumerate(work_order(lay))}
    firsts = [min(turn[k] for k in run.tubes) for run in wall_sheet(lay, Settings()).runs]
    assert firsts == sorted(firsts)


def test_what_at_least_half_of_a_run_passes_is_told(tmp_path):
    # Three level tubes one above the other; a bar lies under all, a peg in front of the lowest alone.
    left = with_row("left", "1..3", (0, 100, 100), (0, 100, 140), faces="right", outside=4.5)
    right = with_row("right", "1..3", (400, 100, 100), (400, 100, 140), faces="left", outside=4.5)
    bar = with_box("bar", (100, 90, 60), (200, 20, 20))
    peg = with_box("peg", (190, 60, 92), (20, 10, 16))
    lay = check_reading(
        read(tmp_path, left, right, bar, peg, with_tube("left 1..3", "right 1..3", corners=[]))
    )
    (run,) = wall_sheet(lay, Settings()).runs
    assert run.past == ("over bar",)
    assert any("behind peg" in step.passes for step in work_order(lay))
