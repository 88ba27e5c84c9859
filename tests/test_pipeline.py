"""The stages in order: findings of every stage of the work, told once, each with its place in the file."""

from dataclasses import replace
from pathlib import Path

import pytest
from builders import (
    a_scene,
    read,
    with_board,
    with_box,
    with_nipple,
    with_row,
    with_stage,
    with_tube,
    written,
)
from verdicts import a_tube_up

from routeviz.checks.findings import Finding
from routeviz.errors import SceneError
from routeviz.lay import Lay
from routeviz.pipeline import check_reading, check_scene

BENCH, FITTED = with_stage("bench"), with_stage("fitted")
RAIL = ((3.78, -20, 40), (10, 40, 20))  # 1 mm from the wall of a tube up from the case's zero; 2 are wanted


def rules(lay: Lay) -> list[tuple[str, str | None, str | None]]:
    """Rule, tube and stage of every finding."""
    return [(f.rule, f.tube, f.stage) for f in lay.findings]


def test_a_scene_without_stages_is_checked_once(tmp_path: Path) -> None:
    lay = check_reading(read(tmp_path, a_tube_up(long=100), with_box("rail", *RAIL)))
    assert rules(lay) == [("touch", "a", None)]


def test_a_finding_that_lasts_is_told_once_with_its_first_stage(tmp_path: Path) -> None:
    lay = check_reading(read(tmp_path, BENCH, FITTED, a_tube_up(long=100), with_box("rail", *RAIL)))
    assert rules(lay) == [("touch", "a", "bench")]


def test_what_a_later_stage_brings_is_told_with_that_stage(tmp_path: Path) -> None:
    rail = with_box("rail", *RAIL, stage="fitted")
    lay = check_reading(read(tmp_path, BENCH, FITTED, a_tube_up(long=100), rail))
    assert rules(lay) == [("touch", "a", "fitted")]
    assert {solid.name for solid in lay.cabinet.solids} >= {"rail"}


def test_what_is_connected_only_later_is_not_missing_before(tmp_path: Path) -> None:
    later = a_tube_up(long=100).replace("[[tubes]]", "[[tubes]]\nstage = 'fitted'")
    assert rules(check_reading(read(tmp_path, BENCH, FITTED, later))) == []


def test_what_is_never_connected_is_told_with_the_last_stage(tmp_path: Path) -> None:
    spare = with_nipple("spare", (90, 0, 0))
    lay = check_reading(read(tmp_path, BENCH, FITTED, a_tube_up(long=100), spare))
    assert rules(lay) == [("unconnected", None, "fitted")]


def test_faults_come_before_cautions_whichever_stage_brings_them(tmp_path: Path) -> None:
    pieces = (a_tube_up(long=100), with_nipple("spare", (90, 0, 0)), with_box("rail", *RAIL, stage="fitted"))
    lay = check_reading(read(tmp_path, BENCH, FITTED, *pieces))
    assert [(f.severity, f.rule) for f in lay.findings] == [("fault", "touch"), ("caution", "unconnected")]


def test_a_scene_is_read_from_its_file(tmp_path: Path) -> None:
    lay = check_scene(written(tmp_path, a_scene(a_tube_up(long=100))))
    assert (lay.cabinet.title, [tube.name for tube in lay.tubes], lay.findings) == ("A small case", ["a"], ())
    assert lay.proved[0].startswith("1 of 1 tubes were measured")


def test_what_cannot_be_placed_is_an_error_with_its_place(tmp_path: Path) -> None:
    path = written(tmp_path, a_scene(with_box("rail", (0, 0, 0), (1, 1, 1), zero="bed")))
    with pytest.raises(SceneError) as told:
        check_scene(path)
    (problem,) = told.value.problems
    assert problem.key == "part.rail.zero"


# ── places ───────────────────────────────────────────────────────────────────────────────────────
OPENING = {"at": {"right": 10, "back": 10}, "size": {"wide": 20, "deep": 20}}
PLACED = a_scene(
    a_tube_up(long=100),
    a_tube_up("b", at=(50, 0, 0), long=100),
    with_board("key bed", (200, 0, 0), (100, 100, 20), opening={"bass": OPENING}),
    with_box("keys", (400, 0, 0), (10, 10, 10)),
)


def finding(**more: object) -> Finding:
    return replace(
        Finding(rule="touch", severity="fault", tube=None, other=None, says="is", remedy="mend it"), **more
    )


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return check_scene(written(tmp_path_factory.mktemp("placed"), PLACED))


def lines(lay: Lay, **more: object) -> list[str]:
    """The lines of the file at which a finding is mended."""
    text = PLACED.splitlines()
    return [text[place.line - 1] for place in lay.places_of(finding(**more))]


def test_a_finding_is_mended_at_its_tube(lay: Lay) -> None:
    (place,) = lay.places_of(finding(tube="b", other="keys 3"))
    assert PLACED.splitlines()[place.line - 1] == "[[tubes]]"
    assert PLACED.splitlines()[place.line] == 'from = "b low 1"'
    assert place.file == lay.reading.file


def test_a_finding_between_tubes_is_mended_at_either(lay: Lay) -> None:
    assert lines(lay, tube="a", other="b") == ["[[tubes]]", "[[tubes]]"]
    assert len(set(lay.places_of(finding(tube="a", other="b")))) == 2


@pytest.mark.parametrize(
    ("other", "line"),
    [
        ("keys", "[part.keys]"),
        ("keys 30", "[part.keys]"),
        ("key bed", '[part."key bed"]'),
        ("note", "[tubing.note]"),
        ("spare low 1", None),
    ],
)
def test_a_finding_without_a_tube_is_mended_where_the_other_thing_stands(
    other: str, line: str | None, lay: Lay
) -> None:
    assert lines(lay, other=other) == ([line] if line else [])


def test_a_passage_is_found_in_its_board(lay: Lay) -> None:
    (place,) = lay.places_of(finding(other="key bed bass"))
    row = PLACED.splitlines()[place.line - 1]
    assert row.startswith("opening = ")
    assert row[place.column - 1 :].startswith("bass = ")


def test_a_finding_about_many_tubes_alone_is_mended_at_these(lay: Lay) -> None:
    assert lines(lay, tubes=("b",)) == ["[[tubes]]"]
    assert lines(lay, other="keys", tubes=("a", "b")) == ["[part.keys]"]


def test_a_tube_of_a_wiring_table_is_mended_there(tmp_path: Path) -> None:
    (tmp_path / "wires.csv").write_text("from,to,tubing\nspare 1,loose,note\n")
    scene = a_scene(with_nipple("spare", (0, 0, 0)), top='wiring = "wires.csv"')
    lay = check_scene(written(tmp_path, scene))
    places = {place for one in lay.findings for place in lay.places_of(one)}
    assert {(Path(place.file).name, place.line) for place in places} == {("wires.csv", 2)}


def test_a_run_of_tubes_is_mended_at_its_one_entry(tmp_path: Path) -> None:
    row = with_row("bar", "1..3", (0, 0, 0), (20, 0, 0))
    lay = check_reading(read(tmp_path, row, with_tube("bar 1..3", "loose")))
    assert {one.tube for one in lay.findings} >= {"bar 1", "bar 2", "bar 3"}
    assert len({place for one in lay.findings for place in lay.places_of(one)}) == 1
