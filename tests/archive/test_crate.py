"""The RO-Crate of an archive, held to the RO-Crate validator, and what it says of files, people and tools."""

import json
from pathlib import Path

import pytest
from archive.crated import issues
from archive.deposits import FULL, a_deposit, filed, laid_out

from routeviz.archive.deposit import Earlier

# What is recommended and an archive cannot say. The validator refuses types of encoding formats whatever they
# are: it holds each of a thing's types to it, also those that it adds itself.
NOT_SAID = {
    "SHOULD have an organizational affiliation": "nobody is asked where they work",
    "specifies the organizational `affiliation`": "nobody is asked where they work",
    "SHOULD have an ORCID identifier": "nobody is asked for one",
    "SHOULD have a contactPoint": "nobody is asked for an address",
    "SHOULD include WebPage and/or Standard types": "they are of type WebPage: the validator does not see it",
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    deposit = a_deposit(tmp_path_factory.mktemp("scene"), **FULL)
    return laid_out(tmp_path_factory.mktemp("archive"), deposit)


def things(folder: Path):
    graph = json.loads((folder / "ro-crate-metadata.json").read_text(encoding="utf-8"))["@graph"]
    return {thing["@id"]: thing for thing in graph}


def test_the_validator_requires_nothing_more_and_recommends_nothing_but_what_nobody_was_asked(
    whole, tmp_path
):
    said = [message for _, message, _ in issues(whole, tmp_path / "cache", "RECOMMENDED")]
    assert [one for one in said if not any(known in one for known in NOT_SAID)] == []


def test_the_validator_finds_nothing_required_in_the_smallest_record(tmp_path):
    deposit = a_deposit(tmp_path)
    (tmp_path / "archive").mkdir()
    assert list(issues(laid_out(tmp_path / "archive", deposit), tmp_path / "cache", "REQUIRED")) == []


def test_the_validator_would_find_what_is_left_out(whole, tmp_path):
    path = whole / "ro-crate-metadata.json"
    content = path.read_bytes()
    crate = json.loads(content)
    known = {thing["@id"]: thing for thing in crate["@graph"]}
    del known["./"]["license"], known["#routeviz"]["url"], known["./"]["hasPart"][-1]
    path.write_text(json.dumps(crate), encoding="utf-8")
    try:
        said = " ".join(message for _, message, _ in issues(whole, tmp_path / "cache", "REQUIRED"))
    finally:
        path.write_bytes(content)
    for missing in ("MUST have a `license`", "MUST have a `url`", "MUST reference all Data Entities"):
        assert missing in said


def test_every_file_is_described_with_its_size_and_no_other(whole):
    told = {name: thing for name, thing in things(whole).items() if thing["@type"] == "File"}
    there = {path.relative_to(whole).as_posix(): path for path in whole.rglob("*") if path.is_file()}
    assert told.keys() == there.keys() - {"ro-crate-metadata.json", "ro-crate-preview.html"}
    assert all(thing["contentSize"] == str(there[name].stat().st_size) for name, thing in told.items())
    assert all(thing["name"] and thing["description"] and thing["encodingFormat"] for thing in told.values())


def test_what_is_referred_to_is_there_and_no_id_stands_twice(whole):
    crate = json.loads((whole / "ro-crate-metadata.json").read_text(encoding="utf-8"))
    names = [thing["@id"] for thing in crate["@graph"]]
    assert len(set(names)) == len(names)

    def references(value):
        if isinstance(value, dict):
            yield from ([value["@id"]] if value.keys() == {"@id"} else [])
            value = list(value.values())
        if isinstance(value, list):
            for one in value:
                yield from references(one)

    assert set(references(crate["@graph"])) - set(names) == {"https://w3id.org/ro/crate/1.3"}


def test_people_whose_names_are_nearly_the_same_are_told_apart(tmp_path):
    names = ["A.Finder", "A Finder", "A/Finder", "a finder"]
    known = things(laid_out(tmp_path / "whole", a_deposit(tmp_path, by=names)))
    assert [known[one["@id"]]["name"] for one in known["./"]["author"]] == names


def test_people_tools_instrument_and_evidence_are_told(whole):
    known = things(whole)
    root, survey = known["./"], known["#survey"]
    assert root["datePublished"] == "2026-11-03"
    assert root["dateCreated"] == "2026-05-14"
    assert [known[one["@id"]]["name"] for one in root["author"]] == FULL["by"]
    assert known[root["license"]["@id"]]["name"] == "CC-BY-4.0"
    assert root["license"]["@id"] == "https://spdx.org/licenses/CC-BY-4.0"
    assert known[root["identifier"]["@id"]]["value"] == "TM 1926.12"
    assert {
        known[one["@id"]]["name"]: known[one["@id"]]["description"] for one in survey["instrument"]
    } == FULL["tools"]
    instrument = known[survey["object"]["@id"]]
    assert (instrument["name"], instrument["manufacturer"], instrument["serialNumber"]) == (
        "Thistlebank No. 4",
        "Thistle & Sons",
        "0417",
    )
    photo = known["evidence/photos/bass-end.jpg"]
    assert photo["description"] == "Photo: The bass end from <above> & behind"
    assert photo["alternateName"] == "photos/Bass End.JPG"
    assert known[photo["author"]["@id"]]["name"] == "B. Looker"
    assert photo["copyrightNotice"] == "ask B. Looker"
    assert {"@id": "source/scene.toml"} in survey["result"]
    archiving = known["#archiving"]
    assert archiving["endTime"] == "2026-11-03T12:00:00+00:00"
    assert known[archiving["instrument"]["@id"]]["name"] == "routeviz"


def test_the_older_archive_is_told_with_the_sum_of_its_manifest(tmp_path):
    earlier = Earlier(identifier="TM 1926.12", date="1998-02-01", shows="as found", manifest_sha512="ab" * 64)
    deposit = a_deposit(tmp_path, earlier=earlier)
    graph = json.loads(filed(deposit)["ro-crate-metadata.json"].content)["@graph"]
    known = {thing["@id"]: thing for thing in graph}
    older = known[known["./"]["isBasedOn"]["@id"]]
    assert older["identifier"] == "TM 1926.12"
    for part in ("as found", "1998-02-01", "ab" * 64):
        assert part in older["description"]
