"""Tag files as RFC 8493 has them, read back by the Library of Congress's own reader and by ``sha512sum``."""

import shutil
import subprocess

import bagit
import pytest

from routeviz.archive.bag import info_of, manifest_of, sum_of, tag_files

PAYLOAD = {
    "README.txt": b"Read this.\n",
    "tables/tubes.csv": b"name\r\na\r\n",
    "evidence/photos/a.jpg": bytes(300),
}
INFO = [
    ("Source-Organization", "Thistle Museum"),
    ("External-Description", "A piano,\n  as found\tin ä room\x07"),
]


def a_bag(folder, payload=None):
    payload = payload or PAYLOAD
    files = tag_files(INFO, {path: sum_of(content) for path, content in payload.items()})
    files |= {f"data/{path}": content for path, content in payload.items()}
    for path, content in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(content)
    return files


def test_another_reader_takes_it_for_a_whole_bag_of_version_1_0(tmp_path):
    a_bag(tmp_path)
    bag = bagit.Bag(str(tmp_path))
    bag.validate()
    assert (bag.version_info, bag.encoding, bag.algorithms) == ((1, 0), "UTF-8", ["sha512"])
    assert sorted(bag.payload_entries()) == sorted(f"data/{path}" for path in PAYLOAD)
    assert bag.info["Payload-Oxum"] == f"{11 + 9 + 300}.3"
    assert bag.info["Source-Organization"] == "Thistle Museum"


def test_what_is_said_stands_on_one_line_whatever_signs_are_in_it(tmp_path):
    a_bag(tmp_path)
    lines = (tmp_path / "bag-info.txt").read_text(encoding="utf-8").splitlines()
    assert lines[:2] == [
        "Source-Organization: Thistle Museum",
        "External-Description: A piano, as found in ä room\ufffd",
    ]
    assert bagit.Bag(str(tmp_path)).info["External-Description"] == "A piano, as found in ä room\ufffd"


def test_manifests_are_sorted_and_sha512sum_agrees(tmp_path):
    a_bag(tmp_path)
    for manifest in ("manifest-sha512.txt", "tagmanifest-sha512.txt"):
        lines = (tmp_path / manifest).read_bytes().split(b"\n")
        paths = [line.split(b"  ")[1] for line in lines[:-1]]
        assert lines[-1] == b""
        assert paths == sorted(paths)
        if shutil.which("sha512sum"):
            subprocess.run(
                ["sha512sum", "--check", "--strict", "--quiet", manifest], cwd=tmp_path, check=True
            )


def test_every_tag_file_but_the_last_is_in_the_last(tmp_path):
    files = a_bag(tmp_path)
    named = {line.split()[1] for line in files["tagmanifest-sha512.txt"].decode().splitlines()}
    assert named == {"bagit.txt", "bag-info.txt", "manifest-sha512.txt"}


@pytest.mark.parametrize(
    "path", ["data/README.txt", "data/evidence/photos/a.jpg", "bag-info.txt", "manifest-sha512.txt"]
)
def test_a_byte_changed_anywhere_is_noticed(path, tmp_path):
    content = bytearray(a_bag(tmp_path)[path])
    content[len(content) // 2] ^= 1
    (tmp_path / path).write_bytes(content)
    with pytest.raises(bagit.BagError):
        bagit.Bag(str(tmp_path)).validate()


@pytest.mark.parametrize("label", ["", "A: b", "A\n", " A"])
def test_a_label_that_no_reader_could_tell_apart_is_refused(label):
    with pytest.raises(ValueError, match="cannot be a label"):
        info_of([(label, "b")])


@pytest.mark.parametrize("path", ["data/../../x", "data/A.txt", "data/a%.txt", "data/a\n", "/data/a"])
def test_a_path_that_would_have_to_be_escaped_is_refused(path):
    with pytest.raises(ValueError, match="cannot be the name"):
        manifest_of({path: sum_of(b"")})
