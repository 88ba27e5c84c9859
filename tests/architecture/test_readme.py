"""What the README shows is what happens: commands are called, scenes read, and the output compared."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from called import called

from routeviz import cli
from routeviz.pipeline import check_scene
from routeviz.scene.reading import status_of_part

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
LEFT_OUT = "..."


def blocks(language: str, text: str = README) -> list[str]:
    """The fenced blocks in a language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)


def section(title: str) -> str:
    """What stands under a heading, up to the next."""
    return README.split(f"\n## {title}\n")[1].split("\n## ")[0]


def steps(block: str) -> list[tuple[list[str], str]]:
    """The calls of a console block, each with what it is said to print."""
    found = re.findall(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", block, re.MULTILINE)
    return [(shlex.split(call), printed) for call, printed in found]


def shows(printed: str, shown: str) -> bool:
    """Whether what is shown was printed; a line of dots stands for whatever was left out."""
    parts = [re.escape(part) for part in re.split(rf"^{re.escape(LEFT_OUT)}\n", shown, flags=re.MULTILINE)]
    return re.fullmatch("(?s:.*)".join(parts), printed) is not None


def test_the_walk_through_prints_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    change = re.search(r"change `([^`]*)` to `([^`]*)`", README)
    assert change
    called_at_all = 0
    for index, block in enumerate(blocks("console", section("First steps"))):
        if index == 1:  # the reader has edited the file
            file = tmp_path / "my_piano.toml"
            text = file.read_text(encoding="utf-8")
            assert change[1] in text
            file.write_text(text.replace(change[1], change[2], 1), encoding="utf-8")
        for words, shown in steps(block):
            assert words[0] == "routeviz"
            left = called(capsys, *words[1:])
            assert left.err == ""
            assert shows(left.out, shown), left.out
            assert left.code == (1 if "\nfault " in f"\n{left.out}" else 0)
            called_at_all += 1
    assert called_at_all == 5


def test_the_archive_of_the_old_cabinet_piano_is_made_and_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(Path(__file__).parents[2] / "scenes", tmp_path / "scenes")
    monkeypatch.chdir(tmp_path)
    (block,) = blocks("console", section("For those who come after"))
    codes = []
    for words, shown in steps(block):
        left = called(capsys, *words[1:])
        assert left.err == ""
        assert shows(left.out, shown), left.out
        codes.append(left.code)
    assert codes == [1, 0]


def test_what_is_not_as_it_was_in_a_copy_of_the_old_cabinet_piano_is_told_as_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(Path(__file__).parents[2] / "scenes", tmp_path / "scenes")
    monkeypatch.chdir(tmp_path)
    told = section("As found, as restored")
    change = re.search(r"`([^`]*)` was made `([^`]*)`", told)
    assert change
    text = Path("scenes/as_found.toml").read_text(encoding="utf-8")
    assert text.count(change[1]) == 1
    Path("scenes/restored.toml").write_text(text.replace(*change.groups()), encoding="utf-8")
    (block,) = blocks("console", told)
    ((words, shown),) = steps(block)
    left = called(capsys, *words[1:])
    assert (left.code, left.err) == (1, "")
    assert shows(left.out, shown), left.out


def test_a_line_of_dots_stands_for_what_was_left_out_and_for_nothing_else() -> None:
    assert shows("a\nb\nc\n", "a\n...\nc\n")
    assert shows("a\nc\n", "a\n...\nc\n")
    assert not shows("a\nb\nc\n", "a\nc\n")
    assert not shows("a\nb\nc\n", "a\n...\n d\n")


def test_the_scene_shown_can_be_used_and_has_no_fault(tmp_path: Path) -> None:
    block, _ = blocks("toml")
    path = tmp_path / "shown.toml"
    path.write_text(block, encoding="utf-8")
    lay = check_scene(path)
    assert [tube.name for tube in lay.tubes] == ["tracker bar 1"]
    assert not lay.findings


def test_what_the_scene_shown_may_say_besides_is_understood(tmp_path: Path) -> None:
    path = tmp_path / "shown.toml"
    path.write_text("\n".join(blocks("toml")), encoding="utf-8")
    lay = check_scene(path)
    assert not lay.findings
    assert lay.reading.scene.record is not None
    assert lay.reading.scene.record.shows == "as found"
    said = {name: status_of_part(lay.reading, name) for name in lay.reading.scene.part}
    assert said == {"shelf": "measured", "tracker bar": "measured", "stack": "measured", "rail": "inferred"}


def test_every_command_stands_in_the_table_and_no_other() -> None:
    named = re.findall(r"^\| `routeviz ([a-z]+)", README, re.MULTILINE)
    assert sorted(named) == sorted(cli.commands.commands)
    everywhere = set(re.findall(r"`(?:\.venv/bin/)?routeviz ([a-z]+)", README))
    assert everywhere <= set(cli.commands.commands)


def test_every_file_and_model_that_is_named_is_there() -> None:
    root = Path(__file__).parents[2]
    for name in re.findall(r"`((?:scenes|models)/[^`]*)`", README):
        assert (root / name).exists(), name
    models = re.findall(r'model = "([^"]*)"', README)
    assert models
    for model in models:
        assert list((root / "models").glob(f"*/{model}.toml")), model
