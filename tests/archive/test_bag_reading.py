"""Whatever the tag files of a bag hold, there is a report or a plain refusal; what is sound is read."""

from pathlib import Path

import bagit
import pytest
from archive.bags import problems_of, put, sealed, valid_for_bagit, wants_nothing
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from routeviz.archive.bag import info_of
from routeviz.archive.bag_opening import NotABagError, opened
from routeviz.archive.bag_reading import facts_in, manifest_in, oxum_in, why_unsafe
from routeviz.archive.fixity import fixity

TAGS = ("bagit.txt", "bag-info.txt", "manifest-sha512.txt", "tagmanifest-sha512.txt")
REUSED = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150, deadline=None
)
LINES = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@pytest.fixture(scope="module")
def bag(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return sealed(tmp_path_factory.mktemp("fuzzed") / "bag")


@st.composite
def mutations(draw: st.DrawFn, content: bytes) -> bytes:
    """Some bytes with pieces of them cut out, doubled, exchanged or replaced by others."""
    for _ in range(draw(st.integers(1, 4))):
        begin, end = sorted(draw(st.tuples(*2 * [st.integers(0, len(content))])))
        piece = draw(
            st.sampled_from(
                [b"", content[begin:end] * 2, b"\n", b"\r\n", b"\0", b"../", b"data/", b"%0a", b"\xff"]
            )
            | st.binary(max_size=8)
            | LINES.map(str.encode)
        )
        content = content[:begin] + piece + content[end:]
    return content


@pytest.mark.parametrize("name", TAGS)
@REUSED
@given(data=st.data())
def test_any_tag_file_gives_a_report_or_a_refusal(bag: Path, name: str, data: st.DataObject) -> None:
    before, told = (bag / name).read_bytes(), ""
    other = data.draw(mutations(before))
    try:
        put(bag / name, other)
        problems = problems_of(bag)
        assert problems or other == before or name.startswith("tag")  # that one is held to its form elsewhere
        assert problems or valid_for_bagit(bag)  # never more lenient than the general library
        assert all(line.isprintable() for one in problems for line in str(one).split("\n"))
    except NotABagError as refused:
        told = str(refused)
    finally:
        put(bag / name, before)
    assert not told or "remedy: " in told


@REUSED
@given(content=st.binary(max_size=300))
def test_any_bytes_as_a_manifest_give_a_report(content: bytes) -> None:
    manifest, problems = manifest_in("manifest-md5.txt", content)
    assert manifest.sums or problems or not content.strip(b"\r\n")
    assert all(path.startswith("data/") and not why_unsafe(path) for path in manifest.sums)


@given(
    st.lists(
        st.tuples(
            st.text(st.characters(categories=["Lu", "Ll", "Nd", "Pd"]), min_size=1),
            st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1),
        )
    )
)
def test_facts_are_read_as_they_were_written_and_as_bagit_reads_them(tmp_path_factory, facts) -> None:
    content = info_of(facts)
    read, problems = facts_in(content)
    assert problems == ()
    assert [(label, value) for label, values in read.items() for value in values] == sorted(
        facts, key=lambda one: list(dict(facts)).index(one[0])
    )
    path = put(tmp_path_factory.getbasetemp() / "bag-info.txt", content)
    told = bagit._load_tag_file(str(path))
    assert {label: values if isinstance(values, list) else [values] for label, values in told.items()} == {
        label: list(values) for label, values in read.items()
    }


def test_a_fact_that_goes_on_in_the_next_line_is_one(tmp_path: Path) -> None:
    content = b"External-Description: a case\n  of oak,\n\tpainted\nB: c\n"
    assert facts_in(content) == ({"External-Description": ("a case of oak, painted",), "B": ("c",)}, ())


@pytest.mark.parametrize(
    ("said", "octets", "files"), [("0.0", 0, 0), ("12.3", 12, 3), ("999999999999999999.1", 10**18 - 1, 1)]
)
def test_a_size_is_read(said: str, octets: int, files: int) -> None:
    oxum, problems = oxum_in({"Payload-Oxum": (said,)})
    assert oxum is not None
    assert (oxum.octets, oxum.files, problems) == (octets, files, ())


def test_a_bag_without_facts_and_without_a_list_of_tags_is_a_bag_all_the_same(tmp_path: Path) -> None:
    folder = sealed(tmp_path / "bag")
    (folder / "bag-info.txt").unlink()
    (folder / "tagmanifest-sha512.txt").unlink()
    assert problems_of(folder) == ()  # RFC 8493 asks for neither
    assert bagit.Bag(str(folder)).is_valid()


def test_thousands_of_files_that_were_added_are_told_in_few_words(tmp_path: Path) -> None:
    folder = sealed(tmp_path / "bag")
    (folder / "data/many").mkdir()
    for number in range(3000):
        (folder / f"data/many/{number}").touch()
    told = fixity(opened(folder, wants_nothing))
    assert told.says == "3,000 files added"
    assert len(told.problems) == 21
    assert told.problems[-1].found == "2,981 more problems like these"


def test_a_bag_of_more_files_than_can_be_looked_through_is_told(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr("routeviz.archive.bag_walking.MOST_FOUND", 10)
    folder = sealed(tmp_path / "bag", {f"{number}": b"" for number in range(30)})
    assert any("more files than can be looked through" in one.found for one in problems_of(folder))
