"""A missing or stale plan is refused with the command to run; a tube that could not be laid is not."""

import pytest
from builders import a_scene, with_nipple, with_tube, written
from planned import HIGH, LOW, SCENE, UNDRAWN, a_plan, a_route, planned

from routeviz.pipeline import check_scene
from routeviz.records.bench_tables import bench_tables
from routeviz.records.refusing import why_refused
from routeviz.records.settings import Settings
from routeviz.tubes.plans import NoWay

DRAWN = with_nipple("top", (0, 0, 300), faces="down"), with_tube("low 1", "top 1", name="b", corners=[])


def test_without_a_plan_the_command_is_told(tmp_path):
    path = written(tmp_path, SCENE, "my scene.toml")
    message = why_refused(check_scene(path))
    assert message.splitlines()[0] == f"{path}: 1 tube awaits a route, and there is no plan"
    assert message.splitlines()[2] == f"  remedy: routeviz plan '{path}'"


def test_a_stale_plan_is_refused(tmp_path):
    path = planned(tmp_path, SCENE, a_plan(a_route()))
    assert why_refused(check_scene(path)) is None
    path.write_text(path.read_text(encoding="utf-8").replace("205.28", "206"), encoding="utf-8")
    message = why_refused(check_scene(path))
    assert "is stale" in message
    assert f"remedy: routeviz plan {path}" in message


def test_a_scene_that_is_drawn_needs_no_plan(tmp_path):
    assert why_refused(check_scene(written(tmp_path, a_scene(LOW, *DRAWN)))) is None


def test_a_scene_without_tubes_is_not_refused(tmp_path):
    assert why_refused(check_scene(written(tmp_path, a_scene(LOW)))) is None


@pytest.fixture
def a_lay_with_no_way(tmp_path):
    why = NoWay(tubes=("a",), passage=None, point=None, cause="the board is in the way", frees="move it")
    return check_scene(planned(tmp_path, a_scene(LOW, HIGH, UNDRAWN), a_plan(no_ways=(why,))))


def test_a_tube_without_a_way_is_no_reason_and_is_marked_wherever_it_stands(a_lay_with_no_way):
    assert why_refused(a_lay_with_no_way) is None
    tables = {table.name: table for table in bench_tables(a_lay_with_no_way, Settings())}
    for name in ("tube-list", "order-of-work", "note-by-note", "tags", "wall"):
        assert "the board is in the way" in " ".join(str(cell) for row in tables[name].rows for cell in row)
    (bought,) = tables["what-to-buy"].rows
    assert bought[-1] == "1"
