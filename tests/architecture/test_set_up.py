"""The set-up script on invented machines: a folder of programs, some of them stand-ins that note their calls.

Nothing is fetched or installed: the stand-in for Python makes an environment that holds itself.
"""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOOLS = ["bash", "cat", "cksum", "cp", "dirname", "env", "find", "mkdir", "rm", "sort"]
NOTE = 'echo "${0##*/} $*" >>"$CALLS"\n'
PYTHON = """
case "$*" in
"-m venv "*) mkdir -p .venv/bin; cp "$0" .venv/bin/python ;;
esac
"""
Machine = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """Return a folder with the script and as much of the project as it looks at."""
    folder = tmp_path / "a clone"
    (folder / ".ci").mkdir(parents=True)
    shutil.copy(ROOT / ".ci/set_up", folder / ".ci/set_up")
    for name in ("pyproject.toml", "README.md"):
        (folder / name).write_text("as it was")
    for name in ("routeviz", "models", "scenes"):
        (folder / name).mkdir()
    page = folder / "routeviz/views/page"
    page.mkdir(parents=True)
    for name in ("package.json", "package-lock.json"):
        (page / name).write_text("as it was")
    return folder


@pytest.fixture
def machine(tmp_path: Path, clone: Path) -> Machine:
    """Return a function that runs the script where only the given stand-ins are to be found."""
    programs = tmp_path / "programs"
    programs.mkdir()
    for tool in TOOLS:
        found = shutil.which(tool)
        assert found
        (programs / tool).symlink_to(found)

    def run(*arguments: str, **stand_ins: str) -> subprocess.CompletedProcess[str]:
        (tmp_path / "calls").write_text("")
        for name, body in stand_ins.items():
            path = programs / name.replace("_", "-")
            path.write_text(f"#!{programs / 'bash'}\n{NOTE}{body}\n")
            path.chmod(0o755)
        return subprocess.run(
            [clone / ".ci/set_up", *arguments],
            cwd=tmp_path,
            env={"PATH": str(programs), "CALLS": str(tmp_path / "calls")},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )

    return run


@pytest.fixture
def calls(tmp_path: Path) -> Callable[[str], list[str]]:
    """Return a function that gives the noted calls that hold a word."""
    return lambda word: [call for call in (tmp_path / "calls").read_text().splitlines() if word in call]


NPM = 'case "$*" in *" ci "*) mkdir -p "$2/node_modules" ;; esac'
DEBIAN = {"python3": PYTHON, "dpkg_query": "exit 1", "apt_get": "", "id": "echo 0"}
WITH_NODE = {"node": "", "npm": NPM, "chromium": ""}


def test_a_bare_debian_gets_what_draws_then_the_package(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    run = machine(**DEBIAN)
    assert run.returncode == 0
    assert run.stderr.endswith("Ready. Next: .venv/bin/routeviz demo\n")
    assert calls("apt-get") == [
        "apt-get -qq update",
        "apt-get -qq install --yes --no-install-recommends libegl1 libgl1-mesa-dri",
    ]
    assert calls("install --quiet") == [
        "python -m pip --disable-pip-version-check --no-input install --quiet ."
    ]


def test_for_the_tests_the_package_runs_from_its_folder(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    run = machine("test", **DEBIAN)
    assert run.stderr.endswith("Ready. Next: .venv/bin/python -m pytest\n")
    assert calls("install --quiet")[0].endswith("install --quiet -e .[test]")
    wanted = "libegl1 libgl1-mesa-dri xvfb chromium-headless-shell nodejs npm"
    assert calls("apt-get -qq install") == [f"apt-get -qq install --yes --no-install-recommends {wanted}"]


@pytest.mark.parametrize("browser", ["chromium", "chromium_headless_shell"])
def test_a_browser_and_node_that_are_there_are_left_alone(
    browser: str, machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    machine("test", **DEBIAN | {"node": "", "npm": NPM, browser: ""})
    assert calls("apt-get -qq install") == [
        "apt-get -qq install --yes --no-install-recommends libegl1 libgl1-mesa-dri xvfb"
    ]
    assert calls("npm") == ["npm --prefix routeviz/views/page ci --silent"]


def test_who_only_uses_it_gets_neither_browser_nor_node(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    run = machine(**DEBIAN | {"npm": NPM})
    assert "Node.js" not in run.stderr
    assert not calls("npm ") + calls("node ")


def test_what_builds_the_viewer_is_installed_anew_only_after_a_change(
    machine: Machine, clone: Path, calls: Callable[[str], list[str]]
) -> None:
    machine("test", **DEBIAN | WITH_NODE)
    machine("test", **DEBIAN | WITH_NODE)
    assert not calls("npm")
    (clone / "routeviz/views/page/package-lock.json").write_text("changed")
    machine("test", **DEBIAN | WITH_NODE)
    assert len(calls("npm")) == 1


@pytest.mark.parametrize(
    ("stand_ins", "said"),
    [
        ({}, "Node.js 18 or newer, with npm, was not found. Install both"),
        ({"node": "exit 1", "npm": NPM}, "Node.js 18 or newer, with npm, was not found. Install both"),
        ({"node": "", "npm": "exit 1"}, "a connection to the npm registry is needed."),
    ],
)
def test_without_what_builds_the_viewer_one_sentence_says_so_and_the_next_run_tries_again(
    machine: Machine, stand_ins: dict[str, str], said: str, calls: Callable[[str], list[str]]
) -> None:
    run = machine("test", **DEBIAN | stand_ins)
    assert run.returncode == 0
    assert said in run.stderr
    assert "Until then the tests of the page fail; all else works." in run.stderr
    machine("test", **DEBIAN | WITH_NODE)
    assert len(calls("npm")) == 1


def test_only_what_is_missing_is_installed(machine: Machine, calls: Callable[[str], list[str]]) -> None:
    has_egl = 'case "$*" in *libegl1) echo -n "install ok installed" ;; *) exit 1 ;; esac'
    machine(**DEBIAN | {"dpkg_query": has_egl})
    assert calls("apt-get -qq install") == [
        "apt-get -qq install --yes --no-install-recommends libgl1-mesa-dri"
    ]


def test_a_second_run_changes_nothing(machine: Machine, calls: Callable[[str], list[str]]) -> None:
    has_all = DEBIAN | WITH_NODE | {"dpkg_query": 'echo -n "install ok installed"'}
    machine("test", **has_all)
    for arguments in (["test"], []):
        run = machine(*arguments, **has_all)
        assert run.returncode == 0
        assert run.stderr.startswith("Ready.")
        assert not calls("apt-get") + calls("-m venv") + calls("pip --") + calls("npm")


def test_after_a_change_of_the_package_it_is_installed_anew(
    machine: Machine, clone: Path, calls: Callable[[str], list[str]]
) -> None:
    machine(**DEBIAN)
    (clone / "routeviz/cli.py").write_text("changed")
    machine(**DEBIAN)
    assert len(calls("install --quiet")) == 1
    assert not calls("-m venv")


def test_an_installation_that_failed_is_tried_again(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    no_index = PYTHON + 'case "$*" in *"install --quiet"*) exit 1 ;; esac'
    run = machine(**DEBIAN | {"python3": no_index})
    assert run.returncode == 1
    assert "A connection to the Python package index is needed." in run.stderr
    assert "Ready" not in run.stderr
    machine(**DEBIAN | {"python3": no_index})
    assert len(calls("install --quiet")) == 1


@pytest.mark.parametrize(
    ("stand_ins", "said"),
    [
        ({"id": "echo 1000"}, "This user may not install them; have root run: apt-get install libegl1"),
        ({"apt_get": "exit 100"}, "could not be installed; have root run: apt-get install libegl1"),
        ({"id": "echo 1000", "sudo": "exit 1"}, "could not be installed; have root run: apt-get install"),
    ],
)
def test_without_what_draws_all_else_is_made_ready_and_one_sentence_says_what_is_missing(
    machine: Machine, stand_ins: dict[str, str], said: str
) -> None:
    run = machine(**DEBIAN | stand_ins)
    assert run.returncode == 0
    assert said in run.stderr
    assert "Until then there are no pictures; all else works." in run.stderr


def test_where_nobody_can_answer_sudo_does_not_ask(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    machine(**DEBIAN | {"id": "echo 1000", "sudo": 'while [ "$1" = -n ]; do shift; done; exec "$@"'})
    assert calls("sudo")
    assert all(
        call.startswith("sudo -n env DEBIAN_FRONTEND=noninteractive apt-get") for call in calls("sudo")
    )
    assert calls("apt-get -qq install")


def test_other_systems_are_left_to_their_own_package_managers(machine: Machine) -> None:
    run = machine(python3=PYTHON)
    assert run.returncode == 0
    assert "system packages" not in run.stderr


def test_a_python_that_is_too_old_is_passed_over_for_a_newer_one(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    machine(**{"python3": "exit 1", "python3.12": PYTHON})
    assert calls("-m venv") == ["python3.12 -m venv --clear .venv"]


def test_no_python_new_enough_is_said_with_the_remedy(machine: Machine, clone: Path) -> None:
    run = machine(python3="exit 1")
    assert run.returncode == 1
    assert run.stderr.startswith("No Python 3.11 or newer was found. Install one")
    assert not (clone / ".venv").exists()


def test_python_without_environments_gets_its_package(
    machine: Machine, calls: Callable[[str], list[str]]
) -> None:
    lacking = 'case "$*" in *ensurepip*) exit 1 ;; esac' + PYTHON
    machine(**DEBIAN | {"python3": lacking})
    assert calls("python3-venv") == ["apt-get -qq install --yes --no-install-recommends python3-venv"]


def test_python_that_can_make_no_environment_is_said_with_the_remedy(machine: Machine) -> None:
    run = machine(python3='case "$*" in *ensurepip*) exit 1 ;; esac')
    assert run.returncode == 1
    assert "its modules venv and ensurepip are missing. Install them, then run this again." in run.stderr


def test_an_environment_that_no_longer_runs_is_made_anew(
    machine: Machine, clone: Path, calls: Callable[[str], list[str]]
) -> None:
    machine(**DEBIAN)
    (clone / ".venv/bin/python").write_text("#!/nowhere\n")
    machine(**DEBIAN)
    assert len(calls("-m venv")) == 1


@pytest.mark.parametrize("arguments", [["tests"], ["test", "use"], [""]])
def test_a_word_that_is_not_known_is_refused(machine: Machine, arguments: list[str]) -> None:
    run = machine(*arguments, python3=PYTHON)
    assert run.returncode == 2
    assert run.stderr.endswith("allowed: .ci/set_up, or .ci/set_up test\n")
