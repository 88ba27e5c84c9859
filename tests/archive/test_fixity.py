"""A bag is as it was sealed, or every file that is not is named; held against the general bagit library."""

import os
import socket

import pytest
from archive.bags import PAYLOAD, by_bagit, files_of, problems_of, put, sealed, valid_for_bagit, wants_nothing
from archive.tampering import altered, cuts, flips, renamed

from routeviz.archive import bag_opening
from routeviz.archive.bag_opening import NotABagError, opened
from routeviz.archive.fixity import fixity, form

TAGS = ("bagit.txt", "bag-info.txt", "manifest-sha512.txt", "tagmanifest-sha512.txt")


def payload_of(folder):
    return [path for path in files_of(folder) if "data" in path.relative_to(folder).parts]


def told(folder):
    """Each problem as its file and the beginning of what was found."""
    return {problem.file: problem.found.split(";")[0].split(":")[0] for problem in problems_of(folder)}


# ── what holds ───────────────────────────────────────────────────────────────────────────────────
def test_a_bag_as_it_was_sealed_holds_for_us_and_for_bagit(tmp_path):
    folder = sealed(tmp_path / "bag")
    bag = opened(folder, wants_nothing)
    assert form(bag).says == "BagIt 1.0, its tag files can be read"
    assert fixity(bag).says == "8 files, all as they were sealed"  # five in data/, three in the tag manifest
    assert problems_of(folder) == ()
    assert valid_for_bagit(folder)


@pytest.mark.parametrize("algorithms", [(), ("sha512",), ("md5", "sha1", "sha256", "sha512")])
def test_a_bag_that_another_program_made_holds_too(tmp_path, algorithms):
    folder = by_bagit(tmp_path, {**PAYLOAD, "é.txt": b"NFC", "in a folder/a b.txt": b"blanks"}, *algorithms)
    assert problems_of(folder) == ()
    assert valid_for_bagit(folder)


def test_letters_in_another_form_are_the_same_name(tmp_path):
    folder = by_bagit(tmp_path, {"é.txt": b"one letter"})
    (folder / "data/é.txt").rename(folder / "data/é.txt")
    assert problems_of(folder) == ()
    assert valid_for_bagit(folder)


# ── what was tampered with ───────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize("path", PAYLOAD)
def test_any_byte_changed_in_the_payload_is_caught_by_us_and_by_bagit(tmp_path, path):
    folder = sealed(tmp_path / "bag")
    file = folder / "data" / path
    content = file.read_bytes()
    for what, other in [*flips(content, 1), *cuts(content, 2)]:
        with altered(file, other):
            assert f"data/{path}" in told(folder), what
            assert not valid_for_bagit(folder), what
    assert problems_of(folder) == ()


@pytest.mark.parametrize("name", TAGS[:3])
def test_any_byte_changed_in_a_tag_file_is_caught(tmp_path, name):
    folder = sealed(tmp_path / "bag")
    content = (folder / name).read_bytes()
    for what, other in [*flips(content, 3), *cuts(content, 4)]:
        with altered(folder / name, other):
            assert name in told(folder), what


def test_a_file_of_another_name_is_told_with_the_name_that_it_had(tmp_path):
    folder = sealed(tmp_path / "bag")
    with renamed(folder / "data/source/case.toml", "other.toml"):
        problems = {one.file: one for one in problems_of(folder)}
        assert problems["data/source/case.toml"].found.startswith(
            "missing; it is listed in manifest-sha512.txt, line"
        )
        assert (
            "sealed as 'data/source/case.toml': name it so again" in problems["data/source/other.toml"].remedy
        )
        assert not valid_for_bagit(folder)


def test_two_files_that_were_swapped_are_told_each_with_its_name(tmp_path):
    folder = sealed(tmp_path / "bag")
    first, second = folder / "data/README.txt", folder / "data/source/case.toml"
    with altered(first, second.read_bytes()), altered(second, PAYLOAD["README.txt"]):
        remedies = {one.file: one.remedy for one in problems_of(folder)}
        assert remedies["data/README.txt"].startswith("it holds what was sealed as 'data/source/case.toml'")
        assert remedies["data/source/case.toml"].startswith("it holds what was sealed as 'data/README.txt'")
        assert not valid_for_bagit(folder)


def test_what_was_added_and_what_was_taken_away_is_told_and_the_size_with_it(tmp_path):
    folder = sealed(tmp_path / "bag")
    put(folder / "data/pictures/Thumbs.db", b"left")
    (folder / "data/README.txt").unlink()
    octets = sum(map(len, PAYLOAD.values()))
    problems = {one.file: one for one in problems_of(folder)}
    assert problems["data/README.txt"].found.startswith("missing")
    assert problems["data/pictures/Thumbs.db"].found == "added: manifest-sha512.txt does not list it"
    assert problems["data/pictures/Thumbs.db"].remedy.startswith("a desktop program has left it there")
    assert problems["bag-info.txt"].found == (
        f"Payload-Oxum {octets}.5, but data/ holds {octets - 9 + 4} bytes in 5 files"
    )
    assert not valid_for_bagit(folder)


# ── what lies ────────────────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize(
    "oxum", ["0.0", "1.5", "-1.5", "99999999999999999999.5", "x", "1", "5.1\nPayload-Oxum: 1.2"]
)
def test_a_size_that_is_none_or_not_that_of_the_payload_is_told(tmp_path, oxum):
    folder = sealed(tmp_path / "bag")
    info = folder / "bag-info.txt"
    lines = [line for line in info.read_text().splitlines() if not line.startswith("Payload-Oxum")]
    info.write_text("\n".join([*lines, f"Payload-Oxum: {oxum}", ""]))
    assert any(one.file == "bag-info.txt" and "Payload-Oxum" in one.found for one in problems_of(folder))


def test_a_number_of_files_that_is_not_that_of_the_payload_is_told(tmp_path):
    folder = sealed(tmp_path / "bag")
    info = folder / "bag-info.txt"
    info.write_text(info.read_text().replace(".5\n", ".4\n"))
    assert any(one.found.startswith("Payload-Oxum ") for one in problems_of(folder))


@pytest.mark.parametrize(
    ("path", "why"),
    [
        ("/etc/passwd", "begins at the top of a disk"),
        ("data/../../secret", "leads out"),
        ("data/..", "leads out"),
        ("..\\secret", "backslash"),
        ("data\\README.txt", "backslash"),
        ("C:/secret", "top of a disk"),
        ("c:secret", "top of a disk"),
        ("//server/share", "top of a disk"),
        ("~/secret", "home"),
        ("~root/secret", "home"),
        ("data/./README.txt", "an empty part"),
        ("data//README.txt", "an empty part"),
        ("data/", "an empty part"),
        ("data/a%0Ab", "cannot be printed"),
        ("data/a\x1bb", "cannot be printed"),
        ("README.txt", "the path 'README.txt'"),
        ("data", "the path 'data'"),
    ],
)
def test_a_path_that_leads_out_is_refused_and_nothing_of_that_name_is_opened(
    tmp_path, monkeypatch, path, why
):
    folder = sealed(tmp_path / "bag")
    put(tmp_path / "secret", b"secret")
    manifest = folder / "manifest-sha512.txt"
    manifest.write_text(f"{manifest.read_text()}{'0' * 128}  {path}\n")
    asked = []
    open_file = os.open
    monkeypatch.setattr(
        os, "open", lambda name, *more, **also: (asked.append(str(name)), open_file(name, *more, **also))[1]
    )
    problems = [one for one in problems_of(folder) if one.file == "manifest-sha512.txt" and one.line == 6]
    assert [why in one.found for one in problems] == [True]
    assert sorted(asked) == sorted(str(one) for one in files_of(folder))


@pytest.mark.parametrize("kind", ["link to a file", "link to a folder", "link to nothing", "pipe", "socket"])
def test_what_is_no_file_is_told_and_never_opened(tmp_path, monkeypatch, kind):
    folder = sealed(tmp_path / "bag")
    place = folder / "data/guest"
    outside = put(tmp_path / "outside/secret", b"secret")
    match kind:
        case "link to a file":
            place.symlink_to(outside)
        case "link to a folder":
            place.symlink_to(outside.parent)
        case "link to nothing":
            place.symlink_to("nothing")
        case "pipe":
            os.mkfifo(place)
        case _:
            monkeypatch.chdir(folder / "data")  # a socket's path has at most some hundred letters
            with socket.socket(socket.AF_UNIX) as ours:
                ours.bind("guest")
    [problem] = problems_of(folder)
    assert problem.file == "data/guest"
    assert problem.found in ("a link to another place; it was not followed", "neither a file nor a folder")
    assert not any(path.startswith("data/guest") for path in opened(folder, wants_nothing).lying)


def test_a_listed_file_that_became_a_link_is_missing(tmp_path):
    folder = sealed(tmp_path / "bag")
    file = folder / "data/README.txt"
    file.rename(tmp_path / "kept.txt")
    file.symlink_to(tmp_path / "kept.txt")
    found = sorted(one.found for one in problems_of(folder) if one.file == "data/README.txt")
    assert [one.split(";")[0] for one in found] == ["a link to another place", "missing"]


def test_a_file_that_is_exchanged_for_a_link_after_it_was_found_is_not_followed(tmp_path, monkeypatch):
    folder = sealed(tmp_path / "bag")
    secret = put(tmp_path / "secret", b"Read me.\n")  # the same bytes: a link that is followed would hold
    find = bag_opening.found_in

    def exchanged_afterwards(place):
        found = find(place)
        (folder / "data/README.txt").unlink()
        (folder / "data/README.txt").symlink_to(secret)
        return found

    monkeypatch.setattr(bag_opening, "found_in", exchanged_afterwards)
    assert [one.file for one in problems_of(folder)] == ["data/README.txt"]


def test_a_folder_that_is_exchanged_after_it_was_looked_into_is_noticed(tmp_path, monkeypatch):
    folder = sealed(tmp_path / "bag")
    put(tmp_path / "other/case.toml", PAYLOAD["source/case.toml"])
    find = bag_opening.found_in

    def exchanged_afterwards(place):
        found = find(place)
        (folder / "data/source").rename(tmp_path / "kept")
        (folder / "data/source").symlink_to(tmp_path / "other")
        return found

    monkeypatch.setattr(bag_opening, "found_in", exchanged_afterwards)
    [problem] = problems_of(folder)
    assert problem.found == "a file that was changed while it was looked at"


def test_a_huge_file_that_was_not_sealed_is_not_read(tmp_path):
    folder = sealed(tmp_path / "bag")
    with (folder / "data/README.txt").open("r+b") as file:
        file.truncate(10**10)
    problems = {one.file: one.found for one in problems_of(folder)}
    assert problems["data/README.txt"] == "not read: 10,000 MB are too many"
    assert "but data/ holds 10,000,000," in problems["bag-info.txt"]


def test_many_files_that_together_are_huge_are_read_as_far_as_there_is_room(tmp_path, monkeypatch):
    monkeypatch.setattr(bag_opening, "ROOM", 1000)
    folder = sealed(tmp_path / "bag")
    for number in range(30):
        put(folder / f"data/more/{number}", b"x" * 100)
    assert len(opened(folder, wants_nothing).unread) >= 20


def test_a_list_too_large_to_be_read_is_told_and_not_said_to_be_missing(tmp_path):
    folder = sealed(tmp_path / "bag")
    with (folder / "manifest-sha512.txt").open("r+b") as file:
        file.truncate(10**9)
    bag = opened(folder, wants_nothing)
    [problem] = [one for one in form(bag).problems if one.file == "manifest-sha512.txt"]
    assert (problem.found, problem.allowed) == (
        "not read: 1,000 MB are too many",
        "at most 64 MB of files beside data/",
    )
    assert fixity(bag).open


def test_a_folder_without_a_file_is_told(tmp_path):
    folder = sealed(tmp_path / "bag")
    (folder / "data/nothing").mkdir()
    assert told(folder) == {"data/nothing/": "an empty folder"}


def test_folders_without_end_are_not_gone_through(tmp_path):
    folder = sealed(tmp_path / "bag")
    deep = folder / "data" / "/".join("a" * 60)
    deep.mkdir(parents=True)
    assert any("folders more than 40 deep" in found for found in told(folder).values())


def test_names_that_differ_in_capitals_alone_are_told_in_the_folder_and_in_the_list(tmp_path):
    folder = by_bagit(tmp_path, {"a.txt": b"small", "A.txt": b"large"})
    assert valid_for_bagit(folder)  # bagit asks this of a manifest only where the names are the same
    found = [one.found for one in problems_of(folder)]
    assert any("a name that some systems take for that of 'data/A.txt'" in one for one in found)
    assert any("a name that differs in its capitals alone: line 1" in one for one in found)


def test_a_line_that_stands_twice_is_told(tmp_path):
    folder = sealed(tmp_path / "bag")
    manifest = folder / "manifest-sha512.txt"
    lines = manifest.read_text().splitlines(keepends=True)
    manifest.write_text("".join([*lines, lines[0]]))
    assert [one.line for one in problems_of(folder) if "again" in one.found] == [6]


@pytest.mark.parametrize("digest", ["0" * 64, "0" * 127, "A" * 128, "g" * 128, "", "0" * 129])
def test_a_sum_that_is_none_of_its_kind_is_told(tmp_path, digest):
    folder = sealed(tmp_path / "bag")
    manifest = folder / "manifest-sha512.txt"
    _, *lines = manifest.read_text().splitlines(keepends=True)
    manifest.write_text("".join([f"{digest}  data/README.txt\n", *lines]))
    problems = problems_of(folder)
    assert any((one.file, one.line) == ("manifest-sha512.txt", 1) for one in problems)
    assert any((one.file, one.found[:5]) == ("data/README.txt", "added") for one in problems)


def test_files_that_would_have_to_be_fetched_are_refused(tmp_path):
    folder = sealed(tmp_path / "bag")
    put(folder / "fetch.txt", b"https://example.org/x 12 data/x\n")
    assert told(folder) == {"fetch.txt": "a list of files to be fetched from elsewhere"}


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"\xef\xbb\xbf", "a byte order mark at its beginning"),
        ("x".encode("utf-16"), "a byte order mark at its beginning"),
        (b"\xff\n", "letters that are not UTF-8"),
        (b"a: \0\n", "a zero byte"),
        (b"\n", "''"),
        (b"no label\n", "'no label'"),
    ],
)
def test_a_tag_file_that_is_no_text_is_told(tmp_path, content, found):
    folder = sealed(tmp_path / "bag")
    put(folder / "bag-info.txt", content)
    assert found in [one.found for one in problems_of(folder) if one.file == "bag-info.txt"]


def test_lines_that_end_as_windows_ends_them_are_read_where_another_program_made_them(tmp_path):
    folder = by_bagit(tmp_path, PAYLOAD, "sha512")
    for name in ("tagmanifest-sha512.txt", "manifest-sha512.txt"):
        (folder / name).write_bytes((folder / name).read_bytes().replace(b"\n", b"\r\n"))
    (folder / "tagmanifest-sha512.txt").unlink()
    assert problems_of(folder) == ()
    assert valid_for_bagit(folder)


# ── what is no bag ───────────────────────────────────────────────────────────────────────────────
def test_what_is_no_bag_is_refused_with_what_to_do(tmp_path):
    inner = sealed(tmp_path / "outer/inner")
    for place, says in [
        (tmp_path / "nothing", "No such file"),
        (
            put(tmp_path / "a.zip", b"PK\3\4"),
            "a zip file, not a folder\n  allowed: the folder of an archive\n  remedy: unpack",
        ),
        (
            put(tmp_path / "a.txt", b"text"),
            "a file, not a folder\n  allowed: the folder of an archive\n  remedy: name",
        ),
        (tmp_path / "outer", f"remedy: did you mean {inner}"),
        (inner / "data", "remedy: fetch the archive anew"),
    ]:
        with pytest.raises(NotABagError) as refused:
            opened(place, wants_nothing)
        assert says in str(refused.value)


def test_a_bag_without_a_list_of_sums_is_told_and_nothing_is_said_to_hold(tmp_path):
    folder = sealed(tmp_path / "bag")
    (folder / "manifest-sha512.txt").unlink()
    bag = opened(folder, wants_nothing)
    assert any(one.file == "manifest-sha512.txt" for one in form(bag).problems)
    assert not fixity(bag).holds


def test_a_list_of_sums_of_an_unknown_kind_is_told(tmp_path):
    folder = sealed(tmp_path / "bag")
    (folder / "manifest-sha512.txt").rename(folder / "manifest-whirlpool.txt")
    assert any("'whirlpool'" in one.found for one in problems_of(folder))
    assert not fixity(opened(folder, wants_nothing)).holds
