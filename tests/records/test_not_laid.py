"""On every list a tube that is not laid says so, and has neither a length to cut nor a test."""

import pytest
from benched import column, lay_of
from builders import place, read, with_box, with_nipple, with_part, with_row, with_tube, with_tubing

from routeviz.pipeline import check_reading
from routeviz.records.bench_tables import bench_tables
from routeviz.records.cut_lengths import expected_lengths
from routeviz.records.settings import Settings
from routeviz.records.tags import tags_of
from routeviz.records.taking_out import takings_out
from routeviz.records.wall import wall_sheet

# As the scene says: lead; a stump; ends that are missing and unknown; behind the cheek; a tube that is gone.
LEAVE = {"lead feed", "old soft"}
TRACE = {"wind trunk", "dial", "switch wire", "accent"}


@pytest.fixture(scope="module")
def tables():
    return {table.name: table for table in bench_tables(lay_of("as_found"), Settings())}


def rows_of(table):
    names = [one.name for one in table.columns]
    return [dict(zip(names, row, strict=True)) for row in table.rows]


def tags(names):
    return {tube.tag for tube in lay_of("as_found").tubes if tube.name in names}


def test_the_order_of_work_begins_with_what_is_not_laid(tables):
    rows = rows_of(tables["order-of-work"])
    told = {what: {row["tube"] for row in rows if row["what"] == what} for what in ("leave", "trace")}
    assert told == {"leave": LEAVE, "trace": TRACE}
    first = rows[: len(LEAVE | TRACE)]
    assert {row["tube"] for row in first} == LEAVE | TRACE
    for row in first:
        assert (row["turn"], row["length_mm"], row["length_in"], row["first_end"]) == (None, None, None, "")
        assert row["look_out"].startswith(("stays as it lies", "to be traced first", "no way"))
    turns = [row["turn"] for row in rows if row["what"] == "lay"]
    assert turns == list(range(1, len(lay_of("as_found").tubes) - len(first) + 1))


def test_it_has_no_length_anywhere(tables):
    lengths = expected_lengths(lay_of("as_found"), Settings())
    bare = {tube.name for tube, mm in zip(lay_of("as_found").tubes, lengths, strict=True) if mm is None}
    assert bare == LEAVE | TRACE
    for name in ("tube-list", "loose-ends"):
        told = {row["tube"]: row["length_mm"] for row in rows_of(tables[name])}
        assert {told[tube] for tube in (LEAVE | TRACE) & set(told)} == {None}


def test_how_many_have_none_is_told_under_the_list(tables):
    assert f"{len(LEAVE | TRACE)} tubes without a length: see the last column" in tables["tube-list"].notes


def test_it_is_not_tested_and_why_is_told(tables):
    rows = [row for row in rows_of(tables["note-by-note"]) if row["tags"] in tags(LEAVE | TRACE)]
    assert len(rows) == len(LEAVE | TRACE)
    for row in rows:
        assert (row["open"], row["answers"]) == ("", "")
        assert row["how"].startswith(f"no test: {row['tags']} ")
    others = [row for row in rows_of(tables["note-by-note"]) if row not in rows]
    assert all(row["open"] and row["answers"] for row in others)
    assert not {"cut", "missing", "unknown"} & {row["answers"] for row in others}


def test_what_meets_it_in_a_tee_is_not_tested_either(tmp_path):
    tee = with_part("t", kind="tee", at=place(100, 0, 100), runs="up", branches="right", outside=3.97)
    pump, chest = with_nipple("pump", (0, 0, 0)), with_nipple("chest", (0, 0, 300), faces="down")
    known = with_tube("pump 1", "t 1", corners=[], name="known")
    through = with_tube("t 2", "chest 1", corners=[], name="through")
    lay = check_reading(
        read(tmp_path, tee, pump, chest, known, through, with_tube("t 3", "missing", hidden="?"))
    )
    table = {one.name: one for one in bench_tables(lay, Settings())}["note-by-note"]
    assert column(table, "tags") == ["1, 2, 3"]
    assert column(table, "how") == ["no test: 3 to be traced first: its way is hidden (?)"]


def test_its_two_tags_say_so():
    told = {}
    for tag in tags_of(lay_of("as_found")):
        told.setdefault(tag.tube, set()).add(tag.left.split(":")[0])
    assert {name for name, says in told.items() if says == {"stays as it lies"}} == LEAVE
    assert {name for name, says in told.items() if says not in ({"stays as it lies"}, {""})} == TRACE


def test_the_wall_says_so_of_each_run():
    lay = lay_of("as_found")
    for run in wall_sheet(lay, Settings()).runs:
        told = " ".join(run.exceptions)
        mine = {lay.tubes[k].name for k in run.tubes}
        for tag in tags(mine & LEAVE):
            assert f"{tag}: stays as it lies" in told
        for tag in tags(mine & TRACE - {"accent"}):
            assert f"{tag}: to be traced first" in told
        assert (mine <= LEAVE | TRACE) == run.first.startswith("nothing")


def test_the_wall_counts_what_is_not_laid_where_it_is_much(tmp_path):
    bar, chest = (
        with_row("bar", "1..6", (0, 0, 0), (100, 0, 0)),
        with_row("chest", "1..6", (0, 0, 300), (100, 0, 300), faces="down"),
    )
    hidden = with_tube("bar 1..6", "chest 1..6", hidden="behind the post")
    (run,) = wall_sheet(check_reading(read(tmp_path, bar, chest, hidden)), Settings()).runs
    assert run.exceptions == ("not laid, see the tube list: 1..6",)


def test_lead_across_the_way_of_a_part_is_not_pulled(tmp_path):
    lead = with_tubing("old", material="lead", least_bend=None)
    box = with_box("box", (40, -20, 100), (40, 40, 40), comes_out="left")
    ends = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 300), faces="down")
    across = with_tube("low 1", "high 1", "old", corners=[])
    (taking,) = takings_out(check_reading(read(tmp_path, lead, box, *ends, across)), Settings())
    (pull,) = taking.pulls
    assert pull.at.startswith("nowhere: it stays as it lies: old lead is neither cut nor bent")


@pytest.mark.parametrize(
    ("others", "answers", "how"),
    [
        ([with_tube("t 2", "chest 1", corners=[])], "chest 1", "pump low; open alone, then close"),
        ([], "nothing", "closed and tagged: nothing may leak"),
    ],
)
def test_nothing_answers_at_a_plug(tmp_path, others, answers, how):
    tee = with_part("t", kind="tee", at=place(100, 0, 100), runs="up", branches="right", outside=3.97)
    pump, chest = with_nipple("pump", (0, 0, 0)), with_nipple("chest", (0, 0, 300), faces="down")
    plugged = with_tube("t 3", "blocked", corners=[], ends_at=place(200, 0, 100))
    tubes = (with_tube("pump 1", "t 1", corners=[]), *others, plugged)
    lay = check_reading(read(tmp_path, tee, pump, chest, *tubes))
    table = {one.name: one for one in bench_tables(lay, Settings())}["note-by-note"]
    assert (column(table, "answers"), column(table, "how")) == ([answers], [how])
