"""From the tables alone, with nothing of the program, lengths and clearances come out as they are tabled."""

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
from archive.archived import an_archive
from archive.rebuilding import Case, cut_list, tables_of
from benched import NAMES, lay_of
from builders import a_scene, corners_of, with_box, with_nipple, with_part, with_tube, written
from builders import place as at

from routeviz.archive.all_registers import registers_of
from routeviz.archive.registers import csv_of
from routeviz.pipeline import check_scene

SEED, CHOSEN = 1926, 10
WITHIN_MM = 0.05  # what is promised of every length and clearance
SORTS = ("tube", "fixed", "moving")


@pytest.fixture(scope="module", params=NAMES)
def tables(request, tmp_path_factory):
    return _tables(lay_of(request.param), tmp_path_factory.mktemp(request.param))


def _tables(lay, folder):
    (folder / "tables").mkdir()
    for register in registers_of(lay):
        (folder / "tables" / f"{register.name}.csv").write_bytes(csv_of(register))
    return tables_of(folder)


def _chosen(tables):
    """Ten tubes by a seed, of those with the most figures: beside tubes, what stands and what moves."""
    figures = {}
    for row in tables["clearances"]:
        if row["against"] in SORTS and row["near"] == "true":
            figures[row["tube"]] = figures.get(row["tube"], 0) + 1
    most = sorted(figures, key=lambda name: (-figures[name], name))
    full = [name for name in most if figures[name] == len(SORTS)]
    return random.Random(SEED).sample(full if len(full) >= CHOSEN else most, CHOSEN)


def test_the_cut_list_follows_from_corners_and_nipples(tables):
    rebuilt = cut_list(tables)
    tabled = {row["tube"]: float(row["cut_mm"]) for row in tables["tubes"] if row["cut_mm"]}
    assert rebuilt == pytest.approx(tabled, abs=WITHIN_MM)
    assert tabled


def test_least_clearances_of_ten_tubes_follow_from_the_form_of_things(tables):
    wrong, figures = _held(tables, _chosen(tables))
    assert not wrong
    assert figures > CHOSEN


def _held(tables, names):
    """What is not as it is tabled, and how many figures were held against the tables."""
    case, wrong, figures = Case(tables), [], 0
    rows = {(row["tube"], row["against"]): row for row in tables["clearances"]}
    for name in names:
        for sort in (*SORTS, "keep clear"):
            row = rows[name, sort]
            distance, other = case.least(name, sort)
            low = float(row["low_mm"])
            high = float(row["high_mm"]) if row["near"] == "true" else float("inf")
            figures += row["near"] == "true"
            if not low - WITHIN_MM <= distance <= high + WITHIN_MM:
                wrong.append(f"{name} to {sort}: {low} to {high} tabled, {distance} to {other} rebuilt")
    return wrong, figures


def test_slides_turned_parts_discs_and_what_overlaps_are_rebuilt_too(tmp_path):
    """Things that the example scenes have little of, each beside a tube of its own or in it."""
    size = {"wide": 60, "deep": 30, "high": 20}
    things = {
        "slider": {"kind": "box", "size": size, "motion": {"slides": "down", "travel": 9, "doubt": 1}},
        "turned": {"kind": "box", "size": size, "turned": {"about": "back", "by": 25}},
        "sunken": {"kind": "box", "size": size},
        "door": {
            "kind": "keep_clear",
            "size": size,
            "why": "it swings",
            "motion": {"turns_about": "right", "travel": -12},
        },
    }
    ups = {"slider": 16, "turned": 14, "sunken": -2, "door": 8}
    pieces = []
    for k, (name, values) in enumerate(things.items()):
        pieces += _a_tube(f"t{name}", 200 * k)
        pieces.append(with_part(name, at=at(170, 200 * k - 15, ups[name]), **values))
    pieces += _a_tube("tround", 800)
    pieces.append(with_part("round", kind="cylinder", at=at(205, 780, 25), to=at(215, 820, 24), diameter=38))
    pieces += _a_tube("tfree", 1000)
    pieces.append(with_box("end", (398.5, 990, -20), (10, 20, 40)))
    tables = _tables(check_scene(written(tmp_path, a_scene(*pieces))), tmp_path)
    wrong, figures = _held(tables, [row["tube"] for row in tables["tubes"]])
    assert not wrong
    assert figures >= 6
    lows = {(row["tube"], row["against"]): float(row["low_mm"]) for row in tables["clearances"]}
    assert lows["tsunken", "fixed"] < 0


def test_a_sealed_archive_is_rebuilt_where_the_program_cannot_be_imported(tmp_path):
    folder = an_archive(tmp_path)
    (tmp_path / "routeviz.py").write_text("raise ImportError('nothing of the program')", encoding="utf-8")
    tests = Path(__file__).parents[1]
    tables = tables_of(folder)
    tube = tables["tubes"][0]
    done = subprocess.run(
        [sys.executable, "-m", "archive.rebuilding", str(folder), tube["tube"]],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), str(tests)])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert f"{tube['tube']}: cut {float(tube['cut_mm']):.2f} mm" in done.stdout
    assert done.stdout.count("mm to ") == len(SORTS) + 1


def _a_tube(name, back):
    """A tube to the right, a little up and down on its way, between two nipples of its own."""
    way = corners_of((120, back, 0), (200, back, 6), (280, back, 0))
    return [
        with_nipple(f"{name} a", (0, back, 0), faces="right"),
        with_nipple(f"{name} b", (400, back, 0), faces="left"),
        with_tube(f"{name} a 1", f"{name} b 1", name=name, corners=way),
    ]
