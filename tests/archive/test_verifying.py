"""An archive that is as it was made holds; one that says otherwise than its scene is told."""

import pytest
from archive.archived import CRATE, an_archive, changed, replaced, sealed_anew, sealed_as_it_lies, with_cell
from archive.bags import by_bagit, files_of, put
from mesh_files import SIDES, binary_stl, box

from routeviz.archive.documents import MOST_BYTES
from routeviz.archive.verifying import verified
from routeviz.pipeline import check_scene

TUBES, LISTING = "data/tables/tubes.csv", "data/tables/files.csv"


@pytest.fixture(scope="module")
def archive(tmp_path_factory):
    return an_archive(tmp_path_factory.mktemp("made"))


@pytest.fixture
def folder(archive, tmp_path):
    """A copy that may be changed."""
    for path in files_of(archive):
        put(tmp_path / "copy" / path.relative_to(archive), path.read_bytes())
    return tmp_path / "copy"


def answers(folder):
    return {one.about: one for one in verified(folder, check_scene).answers}


def refused(folder, about):
    """What is told of one question; no other may have problems."""
    given = answers(folder)
    assert [name for name, one in given.items() if one.problems] == [about]
    return given[about].problems


# ── what holds ───────────────────────────────────────────────────────────────────────────────────
def test_an_archive_as_it_was_made_holds_in_all_questions(archive):
    verification = verified(archive, check_scene)
    count = len(files_of(archive)) - 1  # the tag manifest lists all others
    assert not verification.fails
    assert [(one.about, one.says, one.problems) for one in verification.answers if not one.holds] == []
    assert f"{count} files, all as they were sealed" in [one.says for one in verification.answers]


def test_nothing_in_an_archive_is_changed_by_looking(archive):
    before = {
        path: (path.stat().st_mtime_ns, path.read_bytes()) for path in archive.rglob("*") if path.is_file()
    }
    verified(archive, check_scene)
    assert before == {
        path: (path.stat().st_mtime_ns, path.read_bytes()) for path in archive.rglob("*") if path.is_file()
    }


def test_sealing_again_what_was_not_changed_changes_nothing_that_counts(folder):
    sealed_anew(folder)
    assert not verified(folder, check_scene).fails


# ── what is sealed well, but is not so ───────────────────────────────────────────────────────────
def longer(by_mm):
    """The tube's length, told longer; it goes straight up for 100 mm."""
    return with_cell("centreline_mm", str(100 + by_mm))


def test_a_length_that_is_not_the_scenes_is_told_with_both_values(folder):
    changed(folder / TUBES, longer(1))
    sealed_anew(folder)
    [problem] = refused(folder, "recomputation")
    assert problem.found == "centreline_mm of 'a': stored '101', made anew '100.0'"
    assert (problem.file, problem.line) == (TUBES, 2)


def test_a_length_within_what_two_machines_may_be_apart_holds(folder):
    changed(folder / TUBES, longer(0.04))
    sealed_anew(folder)
    assert not verified(folder, check_scene).fails


def test_a_word_that_is_not_the_scenes_is_told(folder):
    changed(folder / "data/tables/parts.csv", replaced("rail", "rall"))
    sealed_anew(folder)
    problems = answers(folder)["recomputation"].problems
    assert any("the row 'rall' is stored, but does not come anew" in one.found for one in problems)
    assert any("the row 'rail' comes anew, but is not stored" in one.found for one in problems)


def test_a_finding_that_was_taken_out_is_told_by_its_rule(tmp_path):
    near = an_archive(tmp_path, title="A rail in the way")
    scene = near / "data/source/scene.toml"
    changed(scene, replaced("33.78", "3.78"))  # the rail touches the tube, and no table says so
    sealed_anew(near)
    found = [one.found for one in answers(near)["recomputation"].problems]
    assert any(one.startswith("findings of the rule ") and ": 0 stored, " in one for one in found)


def test_a_table_that_was_taken_out_is_told(folder):
    (folder / "data/tables/corners.csv").unlink()
    given = answers(folder)
    assert any(one.file == "data/tables/corners.csv" for one in given["recomputation"].problems)
    assert any(one.file == "data/tables/corners.csv" for one in given["fixity"].problems)


def test_what_differs_is_no_fault_where_the_archive_was_made_with_another_model(folder):
    put(folder / "data/source/models/tubing/gum_rubber_9-64.toml", b"another")
    changed(folder / TUBES, longer(1))
    sealed_anew(folder)
    told = answers(folder)["recomputation"]
    assert (told.open, told.holds) == (True, False)
    assert told.says.endswith("difference, but nothing follows: the model gum_rubber_9-64 is another here")


def test_an_archive_of_another_version_is_not_blamed_for_what_this_one_finds(folder):
    sealed_anew(folder, agent="routeviz 0.0.1")
    assert answers(folder)["recomputation"].holds  # nothing differs
    changed(folder / TUBES, longer(1))
    sealed_anew(folder, agent="routeviz 0.0.1")
    verification = verified(folder, check_scene)
    told = verification.answers[-1]
    assert (verification.fails, told.about, told.open, told.holds) == (False, "recomputation", True, False)
    assert "it was made by routeviz 0.0.1, and this is routeviz " in told.says
    assert told.problems


@pytest.mark.parametrize(
    ("path", "old", "new", "place"),
    [
        ("source/scene-schema.json", '"const": 1,', '"const": 2,', "properties.format.const"),
        ("source/scene.json", '"shows": "as found"', '"shows": "proposed"', "record.shows"),
        ("source/format.txt", "units", "unities", "one of its lines"),
        (
            "tables/tubes.csv-metadata.json",
            "Its name, unlike",
            "Its number, unlike",
            "tableSchema.columns.0.dc:description",
        ),
        ("tables/csvw.json", '"Tubes"', '"Pipes"', "tables."),
    ],
)
def test_a_document_that_says_otherwise_than_when_it_is_made_anew_is_told(folder, path, old, new, place):
    changed(folder / "data" / path, replaced(old, new))
    sealed_anew(folder)
    [problem] = refused(folder, "recomputation")
    assert problem.file == f"data/{path}"
    assert place in problem.found.removeprefix("says otherwise than when it is made anew, first at ")


def test_a_statement_of_the_record_that_is_not_the_scenes_is_told_both_ways(folder):
    changed(folder / "data/tables/record.csv", replaced("Thistlebank No. 4", "Thistlebank No. 5"))
    sealed_anew(folder)
    assert [one.found for one in refused(folder, "recomputation")] == [
        "the record says name: 'Thistlebank No. 5', which the scene does not",
        "the scene says name: 'Thistlebank No. 4', which the record does not",
    ]


def test_what_is_said_on_the_outside_is_held_to_the_scene_too(folder):
    changed(folder / "bag-info.txt", replaced("State-Shown: as found", "State-Shown: proposed"))
    sealed_anew(folder)
    assert [(one.file, one.found) for one in refused(folder, "recomputation")] == [
        ("bag-info.txt", "State-Shown: stored 'proposed', made anew 'as found'")
    ]


def test_a_catalogues_record_that_is_not_the_scenes_is_told(folder):
    changed(folder / "data/metadata/lido.xml", replaced("TM 1926.12", "TM 1926.13"))
    sealed_anew(folder)
    assert [one.file for one in refused(folder, "recomputation")] == ["data/metadata/lido.xml"]


def test_what_only_this_version_makes_is_not_asked_of_an_archive_of_another(folder):
    (folder / "data/metadata/lido.xml").unlink()
    sealed_anew(folder)
    assert not answers(folder)["archive"].open
    sealed_anew(folder, agent="routeviz 0.0.1")
    told = answers(folder)["archive"]
    assert (told.open, told.holds) == (True, False)
    assert told.says.startswith("made by routeviz 0.0.1; this is routeviz ")


# ── what does not describe what is there ─────────────────────────────────────────────────────────
def test_a_file_that_nobody_describes_is_told(folder):
    put(folder / "data/pictures/more.png", b"more")
    sealed_anew(folder)
    assert [(one.file, one.found) for one in refused(folder, "description")] == [
        (f"data/{CRATE}", "the file 'pictures/more.png' is not described"),
        (LISTING, "the file 'pictures/more.png' is not listed"),
    ]


def test_a_description_of_a_file_that_is_not_there_is_told(folder):
    (folder / "data/evidence/notes/page-1.txt").unlink()
    sealed_anew(folder)
    found = [one.found for one in answers(folder)["description"].problems]
    assert "the file 'evidence/notes/page-1.txt' is described, but is not there" in found


@pytest.mark.parametrize(
    "content",
    [
        b"[]",
        b"{}",
        b'{"@graph": 1}',
        b'{"@graph": [1]}',
        b'{"@graph": [{"@id": 1}]}',
        b'{"@graph": []}',
        b'{"@graph": [{"@id": "./", "hasPart": 3}]}',
    ],
)
def test_a_description_that_is_none_is_told(folder, content):
    put(folder / "data" / CRATE, content)
    assert answers(folder)["description"].problems


def test_a_description_that_cannot_be_read_leaves_its_question_open(folder):
    put(folder / "data" / CRATE, b"{")
    given = answers(folder)
    assert given["description"].open
    assert [one.file for one in given["documents"].problems] == [f"data/{CRATE}"]


def test_a_photo_that_was_exchanged_is_told_by_the_record_that_was_written_with_it(folder):
    changed(folder / "data/evidence/photos/bass-end.jpg", lambda content: content[::-1])
    sealed_as_it_lies(folder)
    assert [one.found for one in refused(folder, "description")] == [
        "the file 'data/evidence/photos/bass-end.jpg' is another one than it tells of: other sum or size"
    ]


# ── hostile documents and tables ─────────────────────────────────────────────────────────────────
LAUGHS = b'<!DOCTYPE l [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><l>&b;</l>'


@pytest.mark.parametrize(
    ("path", "content", "found"),
    [
        ("metadata/lido.xml", LAUGHS, "a document type"),
        ("models/case.x3d", b"<a>" * 10_000, "elements more than 64 deep"),
        ("drawings/front.svg", b"<svg>", "no XML: no element found"),
        ("source/scene.json", b"[" * 100_000, "lists or tables too deep"),
        ("source/scene.json", b'{"a": 1, "a": 2}', "the key 'a' twice"),
        ("source/scene.json", b" " * (MOST_BYTES + 1), "34 MB, too large to be looked into"),
    ],
)
def test_a_document_without_end_is_told_and_not_followed(folder, path, content, found):
    put(folder / "data" / path, content)
    sealed_anew(folder)
    problems = answers(folder)["documents"].problems
    assert [one.file for one in problems] == [f"data/{path}"]
    assert problems[0].found.startswith(found)


def test_a_table_too_large_to_be_read_is_told(folder):
    put(folder / TUBES, b"x" * (MOST_BYTES + 1))
    sealed_anew(folder)
    [problem] = answers(folder)["documents"].problems
    assert (problem.file, problem.found) == (TUBES, "34 MB, too large to be looked into")


def test_a_cell_that_does_not_fit_is_told_once(folder):
    changed(folder / TUBES, with_cell("centreline_mm", "long"))
    sealed_anew(folder)
    problems = refused(folder, "tables")
    assert {(one.file, one.line) for one in problems} == {(TUBES, 2)}
    assert all(one.found.startswith("'long' under ") for one in problems)


def test_two_descriptions_of_a_table_that_differ_are_told(folder):
    changed(folder / f"{TUBES}-metadata.json", replaced('"double"', '"string"'))
    sealed_anew(folder)
    given = answers(folder)
    assert [one.found for one in given["tables"].problems] == ["other columns than in tables/csvw.json"]
    assert [name for name, one in given.items() if one.problems] == ["tables", "recomputation"]


# ── hostile names and scenes ─────────────────────────────────────────────────────────────────────
@pytest.fixture
def watched(tmp_path, monkeypatch):
    """Where temporary folders are made; nothing may be left there or written beside."""
    place = tmp_path / "tmp"
    place.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(place))
    yield place
    assert list(place.iterdir()) == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["copy", "tmp"]


@pytest.mark.parametrize(
    "name",
    [
        "../out.toml",
        "/out.toml",
        "a/../../out.toml",
        "C:\\out.toml",
        "c:out.toml",
        "\\\\server\\x\\out.toml",
        "..\\out.toml",
        "~/out.toml",
        "sub/x\ty.toml",
        "x:y.toml",
        "x" * 300 + ".toml",
    ],
)
def test_a_file_that_was_called_by_a_name_outside_is_not_written(folder, watched, name):
    changed(
        folder / LISTING,
        replaced("source/scene.toml,scene.toml", f'source/scene.toml,"{name}"'),
    )
    sealed_anew(folder)
    problems = answers(folder)["recomputation"].problems
    assert [one.file for one in problems] == [LISTING]
    assert "'source/scene.toml' was called " in problems[0].found


def with_row(path, was):
    """A change of the list of files: one more in it."""
    row = f"{path},{was},A file,what it tells,a form,text/plain,1\r\n"
    return lambda content: content + row.encode()


def test_two_files_that_were_called_the_same_are_not_written(folder, watched):
    put(folder / "data/source/other.toml", b"other")
    changed(folder / LISTING, with_row("source/other.toml", "SCENE.toml"))
    sealed_anew(folder)
    assert any("as source/scene.toml was" in one.found for one in answers(folder)["recomputation"].problems)


def with_mesh(file):
    """A change of the scene: a part from a mesh file."""
    place = "at = { right = 50, back = 0, up = 0 }"
    part = f'\n[part.lump]\nkind = "mesh"\nfile = "{file}"\nunit = "mm"\n{place}\n'
    return lambda content: content + part.encode()


@pytest.mark.parametrize(
    "file", ["../../secret.stl", "/etc/passwd.stl", "C:/secret.stl", "~/secret.stl", "nothing.stl"]
)
def test_a_scene_that_names_a_mesh_elsewhere_is_refused(folder, watched, file):
    changed(folder / "data/source/scene.toml", with_mesh(file))
    sealed_anew(folder)
    [problem] = refused(folder, "recomputation")
    assert (problem.file, problem.key.split(".")[:2]) == ("scene: scene.toml", ["part", "lump"])


@pytest.mark.parametrize(
    "mesh",
    [b"", b"solid x", b"\0" * 84, b"\0" * 80 + b"\xff\xff\xff\xff", binary_stl(box(9, 9, 9), SIDES)[:-10]],
)
def test_a_mesh_that_is_none_is_refused_by_who_reads_meshes(folder, watched, mesh):
    changed(folder / "data/source/scene.toml", with_mesh("sub/lump.stl"))
    put(folder / "data/source/lump.stl", mesh)
    changed(folder / LISTING, with_row("source/lump.stl", "sub/lump.stl"))
    sealed_anew(folder)
    [problem] = answers(folder)["recomputation"].problems
    assert (problem.file, problem.key) == ("scene: scene.toml", "part.lump.file")


@pytest.mark.parametrize("table", ["../secret.csv", "/etc/passwd", "nothing.csv"])
def test_a_scene_that_names_a_wiring_table_elsewhere_is_refused(folder, watched, table):
    changed(folder / "data/source/scene.toml", lambda content: f'wiring = "{table}"\n'.encode() + content)
    sealed_anew(folder)
    assert all(one.file.startswith("scene: ") for one in refused(folder, "recomputation"))


def test_a_scene_that_is_none_is_refused(folder, watched):
    put(folder / "data/source/scene.toml", b"\x00\xff")
    sealed_anew(folder)
    [problem] = refused(folder, "recomputation")
    assert problem.file == "scene: scene.toml"


@pytest.mark.parametrize(
    "listing",
    [
        b"",
        b"file,was\r\n",
        b"\xff",
        b'file,was\r\n"a',
        b"a,b\r\nc,d\r\n",
        b"file,was\r\nsource/scene.json,scene.json\r\n",
    ],
)
def test_an_archive_that_does_not_tell_which_is_its_scene_is_told(folder, watched, listing):
    put(folder / LISTING, listing)
    sealed_anew(folder)
    assert [one.file for one in answers(folder)["recomputation"].problems] == [LISTING]


# ── what is no archive of ours ───────────────────────────────────────────────────────────────────
def test_a_bag_of_another_program_is_told_as_it_is_and_no_scene_is_looked_for(tmp_path):
    folder = by_bagit(tmp_path)
    verification = verified(folder, check_scene)
    assert [(one.about, one.holds) for one in verification.answers] == [
        ("bag", True),
        ("fixity", True),
        ("archive", False),
    ]
    assert (
        "not a routeviz archive: it says it was made by 'bagit.py"
        in verification.answers[-1].problems[0].found
    )
