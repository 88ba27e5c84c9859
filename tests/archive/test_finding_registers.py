"""The registers of findings, held to what an example scene says that it is made to show."""

import math
import tomllib
from dataclasses import replace
from itertools import pairwise

import pytest
from archive.rows import rows_of
from benched import SCENES, lay_of

from routeviz.archive.finding_registers import (
    expected_register,
    finding_tubes_register,
    findings_register,
    proved_register,
)


@pytest.fixture(scope="module")
def told():
    return tomllib.loads((SCENES / "as_found.toml").read_text(encoding="utf-8"))


def test_each_expected_finding_stands_there_with_its_value_between_low_and_high(told):
    rows = rows_of(findings_register(lay_of("as_found")))
    assert len(rows) == len(told["expect"])
    for wanted in told["expect"]:
        about = [wanted["rule"], wanted.get("severity", "fault"), wanted.get("tube")]
        found = [row for row in rows if [row["rule"], row["severity"], row.get("tube")] == about]
        found = [row for row in found if "other" not in wanted or row.get("other") == wanted["other"]]
        assert found, wanted
        if "value" in wanted:
            held = [row["low"] - 0.05 <= wanted["value"] <= row["high"] + 0.05 for row in found]
            assert any(held), (wanted, found)


@pytest.mark.parametrize("scene", ["as_found", "harbour_hall"])
def test_findings_stand_by_severity_then_rule_by_rule_the_farthest_off_first(scene):
    rows = rows_of(findings_register(lay_of(scene)))
    assert [row["finding"] for row in rows] == list(range(1, len(rows) + 1))
    ranks = [("fault", "caution", "note").index(row["severity"]) for row in rows]
    assert ranks == sorted(ranks)
    groups = [(row["severity"], row["rule"]) for row in rows]
    begun = list(dict.fromkeys(groups))
    assert groups == sorted(groups, key=begun.index)  # no rule is taken up again
    for group in begun:
        off = [
            abs(row["limit"] - row["low"])
            for row in rows
            if (row["severity"], row["rule"]) == group and "limit" in row
        ]
        assert all(one >= other - 0.011 for one, other in pairwise(off))


def test_a_finding_names_the_line_of_the_scene_where_its_tube_is_asked_for():
    lines = (SCENES / "as_found.toml").read_text(encoding="utf-8").split("\n")
    rows = [row for row in rows_of(findings_register(lay_of("as_found"))) if row.get("tube") == "soft"]
    assert rows
    for row in rows:
        file, line = row["lines"].split("; ")[0].split(":")
        assert file == "as_found.toml"
        assert lines[int(line)].split() == ["name", "=", '"soft"']  # the line after [[tubes]]


def test_what_nothing_bounds_from_above_is_left_empty():
    lay = lay_of("as_found")
    sags = replace(lay.findings[0], low=1.5, high=math.inf)  # as of a tube that sags too far for an estimate
    [row] = rows_of(findings_register(replace(lay, findings=(sags,))))
    assert row["low"] == 1.5
    assert "high" not in row


def test_a_finding_about_many_tubes_names_each(told):
    trap = next(row for row in rows_of(findings_register(lay_of("as_found"))) if row["rule"] == "trap")
    tubes = [
        row
        for row in rows_of(finding_tubes_register(lay_of("as_found")))
        if row["finding"] == trap["finding"]
    ]
    on_it = {one["name"] for one in told["tubes"] if "control box" in (one["to"] + one["from"])}
    assert {row["tube"] for row in tubes} == on_it
    assert {row["as_what"] for row in tubes} == {"further"}


def test_what_an_example_is_to_show_is_kept_as_it_stands(told):
    rows = rows_of(expected_register(lay_of("as_found")))
    keys = ("rule", "tube", "other", "value", "reckoned")
    assert [{k: row[k] for k in keys if k in row} for row in rows] == [
        {k: one[k] for k in keys if k in one} for one in told["expect"]
    ]


def test_what_was_proved_says_which_tubes_nobody_measured():
    says = " ".join(row["says"] for row in rows_of(proved_register(lay_of("as_found"))))
    assert "34 of 38 tubes were measured" in says  # four are hidden: see the scene
    assert "Nothing was tested of the 4 tubes without a centreline." in says
