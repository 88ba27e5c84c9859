"""A new scene is a whole, commented one of the user's own; an old file is never touched."""

from pathlib import Path

import pytest

from routeviz.scene.catalogue import scene_file
from routeviz.scene.reading import read_scene
from routeviz.scene.starting import write_new
from routeviz.writing import WritingError


def test_a_new_scene_says_what_the_example_says_comments_included(tmp_path: Path) -> None:
    example = scene_file("first_six")
    write_new(tmp_path / "mine.toml", example)
    assert (tmp_path / "mine.toml").read_bytes() == example.read_bytes()
    assert read_scene(tmp_path / "mine.toml").scene == read_scene(example).scene


def test_a_file_that_is_there_is_left_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text("dear to me")
    with pytest.raises(WritingError, match=r"mine\.toml: is there already, and was left as it is"):
        write_new(file, scene_file("first_six"))
    assert file.read_text() == "dear to me"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(WritingError, match="there is no folder"):
        write_new(tmp_path / "pianos" / "mine.toml", scene_file("first_six"))
    assert not list(tmp_path.iterdir())
