"""From the tables alone, with nothing of the program, lengths and clearances come out as they are tabled."""

import random

import pytest
from archive.rebuilding import Case, cut_list, tables_of
from benched import NAMES, lay_of

from routeviz.archive.case_registers import case_registers
from routeviz.archive.registers import csv_of

SEED, CHOSEN = 1926, 10
WITHIN_MM = 0.05  # what is promised of every length and clearance
SORTS = ("tube", "fixed", "moving")


@pytest.fixture(scope="module", params=NAMES)
def tables(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp(request.param) / "tables"
    folder.mkdir()
    for register in case_registers(lay_of(request.param)):
        (folder / f"{register.name}.csv").write_bytes(csv_of(register))
    return tables_of(folder.parent)


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
    case, wrong, figures = Case(tables), [], 0
    rows = {(row["tube"], row["against"]): row for row in tables["clearances"]}
    for name in _chosen(tables):
        for sort in (*SORTS, "keep clear"):
            row = rows[name, sort]
            distance, other = case.least(name, sort)
            low = float(row["low_mm"])
            high = float(row["high_mm"]) if row["near"] == "true" else float("inf")
            figures += row["near"] == "true"
            if not low - WITHIN_MM <= distance <= high + WITHIN_MM:
                wrong.append(f"{name} to {sort}: {low} to {high} tabled, {distance} to {other} rebuilt")
    assert not wrong
    assert figures > CHOSEN
