"""Registers of a case and its tubes: names that lead on, no kink, and what a separate reader finds."""

import numpy as np
import pytest
from archive.plain_distances import Line
from archive.rows import rows_of
from benched import NAMES, SCENES, lay_of
from builders import a_scene, a_table, corners_of, with_box, with_nipple, with_part, with_tube, written
from builders import place as at
from verifier.lays import case_of

from routeviz.archive.all_registers import CASE, registers_of
from routeviz.pipeline import check_scene

GRAIN_MM = 2e-4  # two roundings to 0.0001


@pytest.fixture(scope="module", params=NAMES)
def name(request):
    return request.param


@pytest.fixture(scope="module")
def tables(name):
    return _case(lay_of(name))


def _case(lay):
    return {one.name: rows_of(one) for one in (register(lay) for register in CASE)}


def _small(folder, *pieces, **head):
    lay = check_scene(written(folder, a_scene(*pieces, **head)))
    return _case(lay)


def _xyz(row, prefix=""):
    return np.array([row[f"{prefix}{axis}_mm"] for axis in "xyz"])


def _way(row, prefix):
    return np.array([row[f"{prefix}_{axis}"] for axis in "xyz"])


def test_what_a_column_refers_to_stands_there(name):
    registers = {one.name: one for one in registers_of(lay_of(name))}
    for register in registers.values():
        for column, (table, there) in register.refers.items():
            known = {row.get(there) for row in rows_of(registers[table])}
            said = {row[column] for row in rows_of(register) if column in row}
            assert said <= known, f"{register.name}.{column}"


def test_nipples_are_where_a_separate_reader_of_the_scene_finds_them(name, tables):
    case = case_of(SCENES / f"{name}.toml")
    rows = {row["nipple"]: row for row in tables["nipples"]}
    assert rows.keys() == case.nipples.keys()
    for which, nipple in case.nipples.items():
        row = rows[which]
        assert _xyz(row, "tip_") == pytest.approx(nipple.tip, abs=GRAIN_MM)
        assert _way(row, "way") == pytest.approx(nipple.direction, abs=1e-8)
        assert row["outside_mm"] == pytest.approx(nipple.outside, abs=GRAIN_MM)
        assert row["on_nipple_mm"] == pytest.approx(nipple.over, abs=GRAIN_MM)
        assert row.get("carrier") == nipple.carrier


def test_boxes_and_keys_have_the_corners_that_a_separate_reader_of_the_scene_finds(name, tables):
    corners = {}
    for row in tables["solid-corners"]:
        corners.setdefault((row["solid"], row["piece"]), []).append((row["u_mm"], row["v_mm"]))
    pieces = {}
    for row in tables["solids"]:
        pieces.setdefault(row["solid"], []).append(row)
    seen = 0
    for which, thing in case_of(SCENES / f"{name}.toml").things.items():
        if which in pieces and thing.kind in (
            "box",
            "keyboard",
            "keep_clear",
        ):  # some go before the last stage
            found = sorted(_ends(row, corners[which, row["piece"]]) for row in pieces[which])
            wanted = sorted(_box_ends(shape) for shape in thing.shapes)
            assert np.array(found) == pytest.approx(np.array(wanted), abs=5 * GRAIN_MM), which
            seen += 1
    assert seen > 50


def _ends(row, outline):
    """A piece's corners in the case's frame, in order, as one list of numbers."""
    first, second, third = (_way(row, axis) for axis in ("first", "second", "third"))
    points = [
        _xyz(row, "origin_") + u * first + v * second + w * third
        for u, v in outline
        for w in (-row["half_mm"], row["half_mm"])
    ]
    return _in_order(points)


def _box_ends(shape):
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    return _in_order((signs * shape.halves) @ shape.turn.T + shape.place)


def _in_order(points):
    return [value for point in sorted(np.round(point, 2).tolist() for point in points) for value in point]


def test_motions_are_those_that_a_separate_reader_of_the_scene_finds(name, tables):
    things = case_of(SCENES / f"{name}.toml").things
    rows = {row["solid"]: row for row in tables["motions"]}
    moving = {which: thing.motion for which, thing in things.items() if thing.motion is not None}
    assert rows.keys() == moving.keys()
    corner = np.array([100.0, 200.0, 300.0])
    for which, motion in moving.items():
        row, (turn, shift) = rows[which], motion.pose(1.0)
        assert _moved(row, corner) == pytest.approx(turn @ corner + shift, abs=1e-3)


def _moved(row, point):
    """A point of a solid at full travel, as README.txt says it."""
    way = _way(row, "way")
    if row["kind"] == "slide":
        return point + row["full_mm"] * way
    angle, axis = np.radians(row["full_deg"]), _xyz(row, "axis_")
    off = point - axis
    turned = (
        np.cos(angle) * off + np.sin(angle) * np.cross(way, off) + (1 - np.cos(angle)) * (way @ off) * way
    )
    return axis + turned


def test_each_piece_of_a_centreline_begins_where_the_one_before_ends_and_in_its_direction(tables):
    by_tube = {}
    for row in tables["centreline-pieces"]:
        by_tube.setdefault(row["tube"], []).append(row)
    for tube in tables["tubes"]:
        if tube["tube"] not in by_tube:
            continue
        rows = by_tube[tube["tube"]]
        for row, after in zip(rows, [*rows[1:], None], strict=True):
            point, way = (
                found[0] for found in _line([row]).at(np.array([row["along_mm"] + row["length_mm"]]))
            )
            if after is None:
                assert point == pytest.approx(_xyz(tube, "to_"), abs=5 * GRAIN_MM)
            else:
                assert point == pytest.approx(_xyz(after, "start_"), abs=5 * GRAIN_MM)
                assert way == pytest.approx(_way(after, "tangent"), abs=1e-5)


def _line(rows):
    return Line(
        starts=np.array([_xyz(row, "start_") for row in rows]),
        tangents=np.array([_way(row, "tangent") for row in rows]),
        normals=np.array([_way(row, "normal") if row["kind"] == "arc" else np.zeros(3) for row in rows]),
        bends=np.array([1 / row["radius_mm"] if row["kind"] == "arc" else 0.0 for row in rows]),
        lengths=np.array([row["length_mm"] for row in rows]),
        alongs=np.array([row["along_mm"] for row in rows]),
        radius=0.0,
    )


def test_taped_points_are_told_with_how_far_the_centreline_passes_by_dense_sampling():
    tables = _case(lay_of("as_found"))
    assert len(tables["measured-points"]) > 50
    for row in tables["measured-points"]:
        pieces = [one for one in tables["centreline-pieces"] if one["tube"] == row["tube"]]
        line = _line(pieces)
        along = np.arange(0.0, line.end, 0.01)
        off = np.linalg.norm(line.at(along)[0] - _xyz(row), axis=1)
        assert row["off_mm"] == pytest.approx(off.min(), abs=0.006)  # half a sample
        assert row["along_mm"] == pytest.approx(along[off.argmin()], abs=0.2)


def test_nearest_places_are_as_far_apart_as_is_told(tables):
    """Places on the middle lines of two tubes, sleeves left out: their distance less both walls."""
    outsides = {row["tube"]: row["outside_mm"] for row in tables["tubes"]}
    seen = 0
    for row in tables["clearances"]:
        if row["against"] == "tube" and row["near"] and not row["sleeve"]:
            apart = np.linalg.norm(_xyz(row) - _xyz(row, "other_"))
            walls = (outsides[row["tube"]] + outsides[row["other_tube"]]) / 2
            assert apart - walls == pytest.approx(row["high_mm"], abs=0.001)
            pieces = [one for one in tables["centreline-pieces"] if one["tube"] == row["tube"]]
            place = _line(pieces).at(np.array([row["along_mm"]]))[0][0]
            assert place == pytest.approx(_xyz(row), abs=0.001)
            seen += 1
    assert seen


def test_loose_ends_that_wait_for_one_unit_are_each_a_step_of_20_mm_longer(tmp_path):
    tables = _small(
        tmp_path,
        with_nipple("a", (0, 0, 0), faces="right"),
        with_nipple("b", (0, 50, 0), faces="right"),
        *(
            with_tube(
                f"{one} 1",
                "loose",
                name=one,
                corners=[],
                ends_at=at(300, back, 0),
                spare=100,
                waits_for="bells",
            )
            for one, back in (("a", 0), ("b", 50))
        ),
    )
    rows = {row["tube"]: row for row in tables["tubes"]}
    assert rows["a"]["cut_mm"] == 300 + 11 + 100  # centreline, over the nipple, spare
    assert rows["b"]["cut_mm"] == 300 + 11 + 100 + 20
    assert (rows["a"]["step_mm"], rows["b"]["step_mm"]) == (0, 20)
    assert (rows["b"]["over_from_mm"], rows["b"]["over_to_mm"]) == (11, 0)
    assert rows["b"]["waits_for"] == "bells"


def test_what_a_centreline_rests_on_is_told(tmp_path):
    tables = _small(
        tmp_path,
        *(with_nipple(name, (100 * k, 0, 0)) for k, name in enumerate("abcd")),
        *(with_nipple(f"{name}{name}", (100 * k, 200, 0)) for k, name in enumerate("abcd")),
        with_tube("a 1", "aa 1", name="drawn", corners=corners_of((0, 0, 90), (0, 200, 90))),
        with_tube(
            "b 1", "bb 1", name="taped", measured=corners_of((100, 30, 80), (100, 100, 95), (100, 170, 80))
        ),
        with_tube("c 1", "cc 1", name="covered", hidden="in the wall"),
        with_tube("d 1", "dd 1", name="bare"),
    )
    assert {row["tube"]: row["basis"] for row in tables["tubes"]} == {
        "drawn": "drawn",
        "taped": "taped",
        "covered": "hidden",
        "bare": "none",
    }
    covered = next(row for row in tables["tubes"] if row["tube"] == "covered")
    assert covered["hidden"] == "in the wall"
    assert "cut_mm" not in covered
    assert "centreline_mm" not in covered
    assert (covered["from_x_mm"], covered["to_y_mm"]) == (200, 200)


def test_a_length_to_cut_is_told_to_the_next_whole_millimetre_too(tmp_path):
    """A corner of 90 degrees, radius 30 mm, in legs of 100 and 60 mm; 11 mm go over either nipple."""
    tables = _small(
        tmp_path,
        with_nipple("a", (0, 0, 0), faces="back"),
        with_nipple("b", (60, 100, 0), faces="left"),
        with_tube("a 1", "b 1", name="t", corners=corners_of((0, 100, 0), radius=30)),
    )
    whole, row = 100 + 60 - 2 * 30 + np.pi / 2 * 30 + 2 * 11, tables["tubes"][0]
    assert row["cut_mm"] == pytest.approx(whole, abs=1e-4)
    assert row["cut_up_mm"] == 170 == int(np.ceil(whole))


def test_what_a_tube_carries_and_how_sure_it_is_are_empty_where_nobody_said(tmp_path):
    tables = _small(
        tmp_path,
        *(with_nipple(name, (100 * k, 0, 0)) for k, name in enumerate("ab")),
        *(with_nipple(f"{name}{name}", (100 * k, 200, 0)) for k, name in enumerate("ab")),
        with_tube("a 1", "aa 1", name="told", carries="signal", doubt={"status": "inferred"}),
        with_tube("b 1", "bb 1", name="untold"),
    )
    rows = {row["tube"]: row for row in tables["tubes"]}
    assert (rows["told"]["carries"], rows["told"]["status"]) == ("signal", "inferred")
    assert rows["untold"].keys().isdisjoint({"carries", "status"})


def test_each_passage_is_told_that_a_tube_goes_through_or_is_meant_to(tmp_path):
    """Two gaps of 40 by 40 mm across the way, 100 mm apart, and one aside; the tube names far and aside."""

    def gap(name, right, back):
        size = {"deep": 40, "high": 40}
        return a_table(f"passage.{name}", at=at(right, back, 80), along="right", size=size)

    tables = _small(
        tmp_path,
        with_nipple("a", (0, 0, 100), faces="right"),
        with_nipple("b", (400, 0, 100), faces="left"),
        gap("near", 100, -20),
        gap("far", 200, -20),
        gap("aside", 300, 80),
        with_tube("a 1", "b 1", name="t", corners=[], through=["far", "aside"]),
    )
    rows = [
        (row["passage"], row["named"], row.get("order"), row["goes_through"], row.get("along_mm"))
        for row in tables["tube-passages"]
    ]
    assert rows[0] == ("far", True, 1, True, 200)
    assert rows[1][:4] == ("aside", True, 2, False)
    assert rows[2] == ("near", False, None, True, 100)
    assert len(rows) == 3
    assert {row["passage"]: row["tubes"] for row in tables["passage-use"]} == {
        "near": 1,
        "far": 1,
        "aside": 0,
    }


def test_as_many_rows_of_tubes_go_through_a_passage_as_it_is_told_to_hold(tables):
    for row in tables["passage-use"]:
        rows = [one for one in tables["tube-passages"] if one["passage"] == row["passage"]]
        assert sum(one.get("goes_through", False) for one in rows) == row["tubes"], row["passage"]


def test_what_is_farther_than_was_looked_is_told_as_at_least_so_far(tmp_path):
    """Limits 2, 3 and 0 mm, no doubt in the survey: looked to 3 + 5 mm."""
    tables = _small(
        tmp_path,
        with_nipple("a", (0, 0, 0), faces="right"),
        with_nipple("b", (300, 0, 0), faces="left"),
        with_box("far", (100, 40, -20), (60, 40, 40)),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    for row in tables["clearances"]:
        assert row["near"] is False
        assert row["low_mm"] == 8
        assert "high_mm" not in row
    assert [row["limit_mm"] for row in tables["clearances"]] == [0, 2, 3, 0]


def test_of_a_part_the_measures_are_named_that_are_least_sure(tmp_path):
    tables = _small(
        tmp_path,
        with_part(
            "bells",
            kind="box",
            at=at(0, 0, 0),
            size={"wide": 100, "deep": {"is": 370, "status": "inferred"}, "high": 10},
            doubt={"status": "measured"},
        ),
        with_box("rail", (200, 0, 0), (10, 10, 90), doubt={"status": "assumed"}),
        with_box("post", (300, 0, 0), (10, 10, 90)),
    )
    known = {row["name"]: (row.get("least_sure_status"), row.get("least_sure")) for row in tables["parts"]}
    assert known["bells"] == ("inferred", "part.bells.size.deep")
    assert known["rail"] == ("assumed", None)
    assert known["post"] == (None, None)


def test_a_hinge_is_told_with_its_doubt_and_a_part_with_its_own_clearance(tmp_path):
    tables = _small(
        tmp_path,
        with_part(
            "lever",
            kind="box",
            at=at(0, 0, 0),
            size={"wide": 100, "deep": 10, "high": 10},
            clearance=7,
            motion={"turns_about": "back", "at": at(0, 0, 5), "travel": -6, "doubt": 0.5},
        ),
        with_box("post", (300, 0, 0), (10, 10, 90)),
    )
    motion, parts = tables["motions"][0], {row["name"]: row for row in tables["parts"]}
    assert motion["full_deg"] == -6.5
    assert _way(motion, "way").tolist() == [0, 1, 0]
    assert (parts["lever"]["asks_mm"], parts["lever"]["own_clearance_mm"], parts["lever"]["moves"]) == (
        7,
        7,
        True,
    )
    assert (parts["post"]["asks_mm"], parts["post"]["moves"]) == (2, False)
    # The lever's free end, 100 mm from the hinge, sinks or rises by 100 sin 6.5 degrees: right-handed about
    # the line to the back, x turns towards -z, so a negative angle lifts it.
    end = _moved(motion, np.array([100.0, 0.0, 5.0]))
    assert end[2] - 5.0 == pytest.approx(100 * np.sin(np.radians(6.5)))
