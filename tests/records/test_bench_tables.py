"""Every tube stands on every list exactly once, whatever is wrong with it."""

from collections import Counter

import pytest
from benched import NAMES, column, lay_of

from routeviz.records.bench_tables import bench_tables
from routeviz.records.marks import marks_of
from routeviz.records.settings import Settings
from routeviz.records.tables import first_in
from routeviz.records.tags import tags_of
from routeviz.records.wall import wall_sheet

VACUUM = {"always-on vacuum", "switched vacuum"}


def tables_of(name, **asked):
    return {table.name: table for table in bench_tables(lay_of(name), Settings(**asked))}


def tags(name):
    return Counter(tube.tag for tube in lay_of(name).tubes)


@pytest.mark.parametrize("name", NAMES)
def test_tube_list_and_tags_have_each_tube_once(name):
    for table in ("tube-list", "tags"):
        assert Counter(column(tables_of(name)[table], "tag")) == tags(name)


@pytest.mark.parametrize("worker", ["front", "back"])
@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_work_and_the_wall_have_each_tube_once(name, worker):
    table = tables_of(name, worker=worker)["order-of-work"]
    laid = zip(column(table, "what"), column(table, "tag"), strict=True)
    assert Counter(tag for what, tag in laid if what in ("lay", "leave", "trace")) == tags(name)
    sheet = wall_sheet(lay_of(name), Settings(worker=worker))
    assert sorted(k for run in sheet.runs for k in run.tubes) == list(range(len(lay_of(name).tubes)))


@pytest.mark.parametrize("name", NAMES)
def test_the_test_list_has_each_tube_once(name):
    cells = column(tables_of(name)["note-by-note"], "tags")
    assert Counter(tag for cell in cells for tag in cell.split(", ")) == tags(name)


@pytest.mark.parametrize("name", NAMES)
def test_the_supply_has_each_tube_with_vacuum_once(name):
    wanted = [tube.tag for tube in lay_of(name).tubes if tube.carries in VACUUM]
    assert sorted(column(tables_of(name)["supply"], "tag")) == sorted(wanted)


@pytest.mark.parametrize("name", NAMES)
def test_every_mark_on_the_tube_list_is_on_the_other_lists(name):
    tables = tables_of(name)
    listed = tables["tube-list"]
    marks = dict(zip(column(listed, "tag"), column(listed, "mark"), strict=True))
    assert dict(zip(column(tables["tags"], "tag"), column(tables["tags"], "mark"), strict=True)) == marks
    work = tables["order-of-work"]
    rows = zip(column(work, "what"), column(work, "tag"), column(work, "mark"), strict=True)
    assert {tag: mark for what, tag, mark in rows if what != "test"} == marks
    faulty = {finding.tube for finding in lay_of(name).findings if finding.severity == "fault"} - {None}
    told = {tube.name for tube in lay_of(name).tubes if marks[tube.tag]}
    assert faulty <= told
    assert {tube.name for tube in lay_of(name).tubes if tube.curve is None} <= told


def test_a_mark_tells_faults_of_the_tube_and_those_that_it_has_part_in():
    # as_found: a stump was left under a new tube on one nipple; its way is hidden, and it is at fault too.
    lay = lay_of("as_found")
    marks = {tube.name: mark for tube, mark in zip(lay.tubes, marks_of(lay), strict=True)}
    number = [finding.rule == "unconnected" and finding.tube == "soft" for finding in lay.findings].index(
        True
    ) + 1
    both = "soft, old soft are all on pedal pneumatics 2"
    assert f"fault {number}: {both}" in marks["soft"]
    assert marks["old soft"] == (
        "stays as it lies: its way is hidden (a stump, cut off flush under the new tube); "
        f"fault {number}, of soft: {both}"
    )


@pytest.mark.parametrize("name", NAMES)
def test_both_ends_of_a_tube_bear_the_same_number(name):
    tubes, every = lay_of(name).tubes, tags_of(lay_of(name))
    assert len(every) == 2 * len(tubes)
    for tube, one, other in zip(tubes, every[::2], every[1::2], strict=True):
        assert one.number == other.number == tube.tag
        assert (one.here, one.there) == (other.there, other.here)


def test_inches_first_holds_for_every_table():
    for table in tables_of("harbour_hall", first_unit="in").values():
        assert first_in(table, "in") == table
    (head,) = [
        [column.unit for column in table.columns if column.name.startswith("length")]
        for table in tables_of("harbour_hall", first_unit="in").values()
        if table.name == "tube-list"
    ]
    assert head == ["in", "mm"]


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_told_to_use_the_mouth(name):
    for table in tables_of(name).values():
        for text in (*table.notes, *(str(cell) for row in table.rows for cell in row)):
            assert "mouth" not in text or "never by mouth" in text
