"""What the repository holds, and that its documents say what its scripts do."""

import re
import subprocess
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "routeviz", "models", "tests", "scenes"}
UNFINISHED = re.compile(r"\b(TO" r"DO|FIX" r"ME|X" r"XX)\b")
SET_UP = ".ci/set_up && .venv/bin/routeviz demo"
TEST = ".ci/set_up test && .venv/bin/python -m pytest"


def tracked() -> list[Path]:
    """Return the files that git keeps."""
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [ROOT / name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()]


def test_the_top_level_holds_nothing_but_what_it_must() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert top
    assert not {name for name in top if not name.startswith(".")} - TOP


def test_nothing_tracked_is_marked_as_unfinished() -> None:
    marked = []
    for path in tracked():
        content = path.read_bytes()
        if b"\0" not in content and UNFINISHED.search(content.decode("utf-8")):
            marked.append(path.relative_to(ROOT).as_posix())
    assert not marked


def test_what_is_made_by_running_is_not_tracked() -> None:
    made = re.compile(r"(^|/)(__pycache__|\.venv|node_modules|\.hypothesis|\.[a-z_]+_cache|dist|build)/")
    assert not [path for path in tracked() if made.search(path.relative_to(ROOT).as_posix())]


def commands_of_readme() -> list[str]:
    """Return the lines of the shell blocks under the heading Set up."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    section = text.split("\n## Set up\n")[1].split("\n## ")[0]
    return [
        line for block in re.findall(r"```sh\n(.*?)```", section, re.DOTALL) for line in block.splitlines()
    ]


def test_two_commands_set_up_the_first_to_use_and_the_second_to_test() -> None:
    assert commands_of_readme() == [SET_UP, TEST]


def test_every_check_of_a_change_runs_the_test_command_of_the_readme() -> None:
    run = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    steps = [run.index(step) for step in commands_of_readme()[1].split(" && ")]
    assert steps == sorted(steps)
    assert "set -euo pipefail" in run


def test_setting_up_names_the_next_command_as_the_readme_does() -> None:
    script = (ROOT / ".ci/set_up").read_text(encoding="utf-8")
    assert re.findall(r'Ready\. Next: (.*)"', script) == [
        TEST.split(" && ")[1],
        SET_UP.split(" && ")[1],
    ]


def test_the_scripts_can_be_run() -> None:
    assert all((ROOT / ".ci" / script).stat().st_mode & 0o100 for script in ("set_up", "run"))


def test_the_readme_names_the_system_packages_that_are_installed() -> None:
    script = (ROOT / ".ci/set_up").read_text(encoding="utf-8")
    packages = re.search(r'^drawing_packages="(.*)"$', script, re.MULTILINE)
    assert packages
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert all(f"`{package}`" in text for package in packages[1].split())


def test_the_oldest_python_is_the_same_wherever_it_is_named() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["requires-python"] == ">=3.11"
    assert project["tool"]["ruff"]["target-version"] == "py311"
    assert "Python 3.11 or newer" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert "(3, 11)" in (ROOT / ".ci/set_up").read_text(encoding="utf-8")
