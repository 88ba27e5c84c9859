"""Findings for a machine: every value as the schema says, and never a number that JSON does not know."""

import json
import math
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

from routeviz.checks.findings import Finding
from routeviz.views.listing import (
    FINDINGS_SCHEMA,
    Told,
    counted,
    findings_json,
    subject,
    summary,
)

BARE = Finding(rule="trap", severity="note", tube=None, other="stack", says="is trapped", remedy="pull two")
FULL = Finding(
    rule="rub",
    severity="fault",
    tube="bar 3",
    other="keys 30",
    says="comes near",
    remedy="lead it away",
    low=1.23456789,
    high=1.25,
    limit=3.0,
    unit="mm",
    point=np.array([1.0, 2.5, -3.25]),
    along_mm=210.0,
    travel=0.5,
    stage="bench",
    tubes=("bar 4", "bar 5"),
)


def whole(*findings: Finding) -> dict[str, object]:
    """The JSON of these findings, read again; what is no JSON is refused."""
    places = (("case.toml", 7), ("case.toml", 12))
    told = [Told(number=n, finding=f, places=places) for n, f in enumerate(findings, 1)]
    text = findings_json("case.toml", "A case", [], told, ["all"])
    read = json.loads(text, parse_constant=lambda word: pytest.fail(word))
    assert isinstance(read, dict)
    return read


def test_every_entry_is_as_the_schema_says() -> None:
    jsonschema.validate(whole(FULL, BARE), FINDINGS_SCHEMA, jsonschema.Draft202012Validator)


def test_an_entry_carries_all_that_a_finding_holds() -> None:
    (entry,) = whole(FULL)["findings"]
    assert entry == {
        "number": 1,
        "rule": "rub",
        "severity": "fault",
        "tube": "bar 3",
        "other": "keys 30",
        "says": "comes near",
        "remedy": "lead it away",
        "low": 1.2346,
        "high": 1.25,
        "limit": 3.0,
        "unit": "mm",
        "point_mm": [1.0, 2.5, -3.25],
        "along_mm": 210.0,
        "travel": 0.5,
        "stage": "bench",
        "tubes": ["bar 4", "bar 5"],
        "file": "case.toml",
        "line": 7,
    }


def test_every_field_of_a_finding_has_its_place_in_the_schema() -> None:
    listed = FINDINGS_SCHEMA["properties"]["findings"]["items"]["properties"].keys()
    fields = {"point_mm" if name == "point" else name for name in Finding.__dataclass_fields__}
    assert listed - fields == {"number", "file", "line"}
    assert fields <= listed


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_a_number_that_json_does_not_know_becomes_null(value: float) -> None:
    (entry,) = whole(replace(FULL, low=value, high=value, travel=value))["findings"]
    assert (entry["low"], entry["high"], entry["travel"]) == (None, None, None)


@pytest.mark.parametrize(
    "wrong",
    [
        {"severity": "error"},
        {"number": 0},
        {"line": 0},
        {"point_mm": [1.0, 2.0]},
        {"low": "1"},
        {"colour": "red"},
    ],
)
def test_the_schema_refuses_what_is_wrong(wrong: dict[str, object]) -> None:
    told = whole(FULL)
    (entry,) = told["findings"]
    entry.update(wrong)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, FINDINGS_SCHEMA, jsonschema.Draft202012Validator)


def test_severities_are_counted_faults_always() -> None:
    assert counted([FULL, FULL, BARE]) == {"fault": 2, "caution": 0, "note": 1}
    assert whole(FULL, BARE)["counts"] == {"fault": 1, "caution": 0, "note": 1}
    assert summary([FULL, FULL, BARE], 30) == "2 faults, 1 note in 30 tubes"
    assert summary([BARE], 1) == "no faults, 1 note in 1 tube"
    assert summary([], 0) == "no faults in no tubes"


def test_a_finding_is_about_its_tube_else_the_other_thing_else_the_scene() -> None:
    assert [subject(f) for f in (FULL, BARE, replace(BARE, other=None))] == ["bar 3", "stack", "the scene"]
