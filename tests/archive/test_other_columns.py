"""Archives that are sealed well, but whose tables or description hold what this program never wrote."""

import json
from pathlib import Path
from typing import Any

import pytest
from archive.archived import an_archive, changed, sealed_as_it_lies

from routeviz.archive.verifying import Verification, verified
from routeviz.pipeline import check_scene


def renamed(columns: list[dict[str, Any]], old: str, new: str) -> None:
    for one in columns:
        if one["name"] == old:
            one["name"] = one["titles"] = new


def with_another_heading(folder: Path, table: str, old: str, new: str) -> None:
    """Call a column otherwise, in the table and in both of its descriptions."""

    def heading(content: bytes) -> bytes:
        first, end, rest = content.partition(b"\r\n")
        return (
            b",".join(new.encode() if one == old.encode() else one for one in first.split(b",")) + end + rest
        )

    def group(content: bytes) -> bytes:
        whole = json.loads(content)
        for one in whole["tables"]:
            if one["url"] == f"{table}.csv":
                renamed(one["tableSchema"]["columns"], old, new)
        return json.dumps(whole).encode()

    def alone(content: bytes) -> bytes:
        whole = json.loads(content)
        renamed(whole["tableSchema"]["columns"], old, new)
        return json.dumps(whole).encode()

    for name, change in (
        (f"{table}.csv", heading),
        (f"{table}.csv-metadata.json", alone),
        ("csvw.json", group),
    ):
        changed(folder / "data/tables" / name, change)


def problems_of(verification: Verification) -> list[str]:
    return [str(problem) for answer in verification.answers for problem in answer.problems]


@pytest.mark.parametrize(
    ("table", "column"), [("files", "bytes"), ("record", "statement"), ("findings", "rule"), ("tubes", "tag")]
)
def test_a_column_of_another_name_is_told_and_all_else_is_looked_at(
    table: str, column: str, tmp_path: Path
) -> None:
    folder = an_archive(tmp_path)
    with_another_heading(folder, table, column, "called_otherwise")
    sealed_as_it_lies(folder)
    verification = verified(folder, check_scene)
    assert [one.about for one in verification.answers][-1] == "recomputation"
    description = f"data/tables/{table}.csv-metadata.json: says otherwise than when it is made anew"
    assert any(one.startswith(description) for one in problems_of(verification))


def test_a_part_of_the_archive_that_has_no_name_is_no_part(tmp_path: Path) -> None:
    folder = an_archive(tmp_path)

    def nameless(content: bytes) -> bytes:
        crate = json.loads(content)
        (root,) = (one for one in crate["@graph"] if one["@id"] == "./")
        root["hasPart"] = [{"@id": [1]}, *root["hasPart"][1:]]
        return json.dumps(crate).encode()

    changed(folder / "data/ro-crate-metadata.json", nameless)
    sealed_as_it_lies(folder)
    told = problems_of(verified(folder, check_scene))
    assert any("is not among the parts of the archive" in one for one in told)
