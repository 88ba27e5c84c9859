"""The commands as a user calls them: what they print, where, in which colours, and their exit codes."""

import fcntl
import json
import os
import pty
import re
import signal
import struct
import subprocess
import sys
import termios
import tomllib
from pathlib import Path
from textwrap import dedent

import jsonschema
import pytest
from builders import a_scene, toml, with_box, with_nipple, written
from called import START, called, called_apart
from verdicts import a_tube_up

from routeviz import cli
from routeviz.checks.checking import RULES
from routeviz.commands import lays
from routeviz.scene.reading import read_scene
from routeviz.views import graphics
from routeviz.views.listing import FINDINGS_SCHEMA

COMMANDS = (
    "archive",
    "check",
    "compare",
    "completion",
    "demo",
    "doctor",
    "explain",
    "new",
    "page",
    "picture",
    "plan",
    "sheets",
    "window",
)

# A tube straight up, 5.56 outside, so its wall is 2.78 from its centreline; the rail begins 3.78 from it:
# 1 mm is free, and 2 mm are wanted to what stands still. Held at both ends over 100 mm it hardly hangs.
RAIL = with_box("rail", (3.78, -20, 40), (10, 40, 20))
ASIDE = with_box("rail", (33.78, -20, 40), (10, 40, 20))
FAULT = a_scene(a_tube_up(long=100), RAIL)
CLEAN = a_scene(a_tube_up(long=100), ASIDE)
CAUTION = a_scene(a_tube_up(long=100), ASIDE, with_nipple("spare", (90, 0, 0)))

Capture = pytest.CaptureFixture[str]


def line_of(words: str, text: str) -> int:
    """The line of a text in which words stand."""
    (line,) = [number for number, line in enumerate(text.splitlines(), 1) if words in line]
    return line


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


# ── check ────────────────────────────────────────────────────────────────────────────────────────
def test_a_fault_is_told_with_number_rule_tube_place_sentence_and_remedy(
    folder: Path, capsys: Capture
) -> None:
    written(folder, FAULT)
    left = called(capsys, "check", "scene.toml")
    place, says, remedy, empty, count, *rest = left.out.splitlines()
    assert (left.code, left.err) == (1, "")
    assert place == f"fault 1 touch: a  scene.toml:{line_of('[[tubes]]', FAULT)}"
    assert re.fullmatch(r"  comes within 1\.0 mm of rail, (4\d|5\d|60) mm along; 2\.0 mm wanted", says)
    assert remedy == "  remedy: lead the tube 1.0 mm further away here, or tie it back"
    assert (empty, count) == ("", "1 fault in 1 tube")
    assert rest[:2] == ["", "What was proved, and what was not looked at:"]
    assert all(line.startswith("- ") for line in rest[2:-3])
    assert rest[-3:] == [
        "",
        "next: routeviz explain touch       tells what a rule holds and how to mend it",
        "      routeviz picture scene.toml  shows the case, and each fault from near by",
    ]


def test_a_scene_without_faults_leaves_0_and_says_what_was_proved(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    left = called(capsys, "check", "scene.toml")
    assert (left.code, left.err) == (0, "")
    assert left.out.startswith(
        "no faults in 1 tube\n\nWhat was proved, and what was not looked at:\n- 1 of 1 tubes were measured"
    )
    assert left.out.endswith("\n\nnext: routeviz picture scene.toml  shows the case\n")


def test_cautions_and_notes_alone_leave_0(folder: Path, capsys: Capture) -> None:
    written(folder, CAUTION)
    left = called(capsys, "check", "scene.toml")
    assert left.code == 0
    assert left.out.startswith(
        f"caution 1 unconnected: spare  scene.toml:{line_of('[part.spare]', CAUTION)}\n  no tube on spare 1\n"
    )
    assert "\nno faults, 1 caution in 1 tube\n" in left.out


def test_names_that_would_command_the_terminal_are_spelt_out(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "explain", "\x1b]0;owned\x07")
    assert left.code == 2
    assert "\x1b" not in left.err
    assert "\x07" not in left.err


def test_a_path_with_blanks_is_quoted_where_it_can_be_copied(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN, "my piano.toml")
    assert "routeviz picture 'my piano.toml'  shows" in called(capsys, "check", "my piano.toml").out


def test_a_terminal_of_few_letters_shows_all_names(folder: Path) -> None:
    written(folder, a_scene(a_tube_up(name="b♭", long=100), RAIL))
    left = called_apart("check", "scene.toml", folder=folder, settings={"PYTHONIOENCODING": "latin-1"})
    assert (left.returncode, left.stderr) == (1, "")
    assert "fault 1 touch: b\\u266d  scene.toml" in left.stdout


# ── check --json ─────────────────────────────────────────────────────────────────────────────────
def strictly(text: str) -> dict[str, object]:
    """The JSON of a text; what is no JSON, as NaN, is refused."""

    def refuse(word: str) -> None:
        raise AssertionError(word)

    whole = json.loads(text, parse_constant=refuse)
    assert isinstance(whole, dict)
    return whole


@pytest.mark.parametrize(
    "scene", [FAULT, CLEAN, CAUTION, a_scene()], ids=["fault", "clean", "caution", "bare"]
)
def test_json_is_as_its_schema_says(scene: str, folder: Path, capsys: Capture) -> None:
    written(folder, scene)
    plain, left = called(capsys, "check", "scene.toml"), called(capsys, "check", "--json", "scene.toml")
    told = strictly(left.out)
    jsonschema.validate(told, FINDINGS_SCHEMA, jsonschema.Draft202012Validator)
    assert (left.code, left.err) == (plain.code, "")
    assert [one["number"] for one in told["findings"]] == list(range(1, len(told["findings"]) + 1))
    assert all(f" {one['rule']}: " in plain.out for one in told["findings"])
    assert all(f"- {line}" in plain.out for line in told["proved"])


def test_json_carries_the_numbers_of_a_finding(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    told = strictly(called(capsys, "check", "--json", "scene.toml").out)
    (one,) = told["findings"]
    assert told["counts"] == {"fault": 1, "caution": 0, "note": 0}
    assert (one["rule"], one["severity"], one["tube"], one["other"]) == ("touch", "fault", "a", "rail")
    assert (one["file"], one["line"]) == ("scene.toml", line_of("[[tubes]]", FAULT))
    assert one["low"] <= 3.78 - 2.78 <= one["high"]
    assert one["high"] - one["low"] <= 0.05
    assert (one["limit"], one["unit"], one["travel"], one["stage"]) == (2.0, "mm", None, None)
    assert 40 <= one["along_mm"] <= 60
    assert one["point_mm"][:2] == [0.0, 0.0]
    (tube,) = told["tubes"]
    assert (tube["name"], tube["length_mm"], tube["tightest_bend_mm"]) == ("a", 100.0, None)


# ── explain, new, doctor, completion ─────────────────────────────────────────────────────────────
def test_explain_lists_every_rule_in_a_line_and_tells_more_of_each(capsys: Capture) -> None:
    listed = called(capsys, "explain")
    rows = listed.out.split("\n\n")[0].splitlines()
    assert listed.code == 0
    assert [row.split()[0] for row in rows] == list(RULES)
    for rule, row in zip(RULES, rows, strict=True):
        told = called(capsys, "explain", rule)
        assert (told.code, told.err) == (0, "")
        first = told.out.splitlines()[0]
        assert first == f"{rule}: {row[13:]}"
        assert "\nMend it: " in told.out


@pytest.mark.parametrize("topic", ["scene", "plan", "findings", "changes"])
def test_explain_prints_schemas_that_are_schemas(topic: str, capsys: Capture) -> None:
    schema = strictly(called(capsys, "explain", topic).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("topic", ["record", "doubt"])
def test_explain_tells_what_a_scene_says_of_itself_by_an_example_that_can_be_read(
    topic: str, folder: Path, capsys: Capture
) -> None:
    told = called(capsys, "explain", topic)
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith(f"{topic}: ")
    example = "\n".join(dedent(piece) for piece in told.out.split("\n\n") if piece.startswith("    ["))
    reading = read_scene(written(folder, f"format = 1\ntitle = 'A shelf'\nunits = 'mm'\n{example}\n"))
    if topic == "record":
        assert reading.scene.record is not None
        assert set(tomllib.loads(example)["record"]) == reading.scene.record.model_fields_set
    else:
        up, high = ("part", "shelf", "at", "up"), ("part", "shelf", "size", "high")
        assert [reading.doubt_at(key).status for key in (up, high)] == ["measured", "inferred"]
        assert (reading.doubt_at(up).spread_mm, reading.doubt_at(high).why) == (5, "fits the groove")


def test_explain_does_not_mind_capitals(capsys: Capture) -> None:
    assert called(capsys, "explain", "KINK") == called(capsys, "explain", "kink")


def test_explain_of_a_misspelt_rule_names_the_nearest(capsys: Capture) -> None:
    left = called(capsys, "explain", "sqeeze")
    assert (left.code, left.out) == (2, "")
    assert left.err.startswith("routeviz: nothing is known of 'sqeeze'\n  allowed: squeeze, ")
    assert left.err.endswith("\n  remedy: did you mean 'squeeze'?\n")


def test_new_writes_a_scene_that_has_no_fault_and_says_what_comes_next(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "new", "mine.toml")
    assert (left.code, left.err) == (0, "")
    assert left.out == (
        "wrote mine.toml\n\nnext: routeviz check mine.toml  checks it; change it step by step into your own\n"
    )
    assert called(capsys, "check", "mine.toml").code == 0
    assert os.listdir(folder) == ["mine.toml"]


def test_new_leaves_a_file_that_is_there_alone(folder: Path, capsys: Capture) -> None:
    (folder / "mine.toml").write_text("dear to me")
    left = called(capsys, "new", "mine.toml")
    assert (left.code, left.out) == (2, "")
    assert left.err == (
        "mine.toml: is there already, and was left as it is\n  remedy: choose another name, or move it away\n"
    )
    assert (folder / "mine.toml").read_text() == "dear to me"


def test_doctor_tells_of_everything_that_is_needed(capsys: Capture) -> None:
    left = called(capsys, "doctor")
    assert left.err == ""
    for what in ("Python", "packages", "models of parts and tubing", "measuring code", "pictures", "screen"):
        assert re.search(rf"^(ok     |missing) {what}: ", left.out, re.MULTILINE), what
    assert left.code == 0


SOURCED = """
set -eu
routeviz() {{ {routeviz} "$@"; }}
PATH={folder}:$PATH
source <({folder}/routeviz completion bash)
complete -p routeviz
ask() {{
    COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=()
    _routeviz_completion routeviz
    echo "${{COMPREPLY[@]}}"
}}
ask routeviz ch
ask routeviz check --j
ask routeviz completion ''
ask routeviz explain squ
"""


def test_bash_completes_commands_options_shells_and_rules_once_it_is_told(tmp_path: Path) -> None:
    routeviz = tmp_path / "routeviz"
    routeviz.write_text(f"#!{sys.executable}\nfrom routeviz.cli import main\nmain()\n")
    routeviz.chmod(0o755)
    script = SOURCED.format(routeviz=routeviz, folder=tmp_path)
    asked = subprocess.run(
        ["bash", "--norc", "-c", script], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert asked.stdout.splitlines() == [
        "complete -o nosort -F _routeviz_completion routeviz",
        "check",
        "--json",
        "bash zsh fish",
        "squeeze square",
    ]


@pytest.mark.parametrize(
    ("shell", "place", "says"),
    [
        ("bash", "~/.bashrc", "complete "),
        ("zsh", "~/.zshrc", "#compdef routeviz"),
        ("fish", "~/.config/fish/completions/routeviz.fish", "complete "),
    ],
)
def test_completion_says_first_where_it_is_kept(shell: str, place: str, says: str, capsys: Capture) -> None:
    left = called(capsys, "completion", shell)
    assert (left.code, left.err) == (0, "")
    assert left.out.splitlines()[0] == f"# to keep this: routeviz completion {shell} >> {place}"
    assert says in left.out


# ── calls ────────────────────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize("words", [["-h"], ["--help"]])
def test_help_names_every_command_whole_and_the_exit_codes(words: list[str], capsys: Capture) -> None:
    left = called(capsys, *words)
    assert (left.code, left.err) == (0, "")
    assert sorted(cli.commands.commands) == list(COMMANDS)
    for command in COMMANDS:
        assert re.search(rf"^  {command} +[A-Z].*\.$", left.out, re.MULTILINE)
    assert "Exit codes: 0 no faults, 1 faults found, 2" in left.out
    assert max(map(len, left.out.splitlines())) <= 80


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command: str, capsys: Capture) -> None:
    left = called(capsys, command, "-h")
    assert left.code == 0
    assert left.out.startswith(f"Usage: routeviz {command} [OPTIONS]")


def test_the_commands_can_be_run_as_a_module(folder: Path) -> None:
    words = [sys.executable, "-m", "routeviz", "explain", "touch"]
    left = subprocess.run(words, cwd=folder, capture_output=True, text=True, check=True)
    assert left.stdout.startswith("touch: ")


def test_the_version_is_that_of_the_package(capsys: Capture) -> None:
    from importlib.metadata import version

    assert called(capsys, "--version").out == f"routeviz {version('routeviz')}\n"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["chek"], "Error: No such command 'chek'. Did you mean 'check'?"),
        (["check", "--jsn", "s.toml"], "Error: No such option '--jsn'. Did you mean '--json'?"),
        (["check"], "Error: Missing argument 'SCENE'."),
        (["check", "a.toml", "b.toml"], "Error: Got unexpected extra argument (b.toml)"),
        (["completion", "tcsh"], "Error: Invalid value for '{bash|zsh|fish}': 'tcsh' is not one of"),
        ([], "Usage: routeviz [OPTIONS] COMMAND [ARGS]..."),
    ],
)
def test_a_call_that_cannot_be_understood_leaves_2(words: list[str], told: str, capsys: Capture) -> None:
    left = called(capsys, *words)
    assert (left.code, left.out) == (2, "")
    assert told in left.err


def test_what_goes_wrong_inside_is_written_down_for_whoever_mends_it(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_scene: str) -> None:
        raise ZeroDivisionError("a seeded fault")

    monkeypatch.setattr(lays, "checked", fail)
    left = called(capsys, "check", "scene.toml")
    report = re.fullmatch(r"routeviz: something went wrong inside routeviz; please report (.*)\n", left.err)
    assert (left.code, left.out) == (2, "")
    assert report
    kept = Path(report[1])
    assert "ZeroDivisionError: a seeded fault" in kept.read_text()
    kept.unlink()


def test_no_screen_is_told_in_a_sentence_with_the_remedy(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, CLEAN)
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    left = called(capsys, "window", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert left.err == (
        "routeviz: no window can be opened: there is no screen here\n"
        "  remedy: use `routeviz picture` instead\n"
    )


def test_a_folder_for_pictures_that_cannot_be_made_is_told(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    (folder / "taken").write_text("a file")
    left = called(capsys, "picture", "scene.toml", "--into", "taken")
    assert left.code == 2
    assert left.err == (
        "taken: is there already, and was left as it is\n  remedy: choose another name, or move it away\n"
    )
    assert sorted(os.listdir(folder)) == ["scene.toml", "taken"]


# ── pipes, terminals, signals ────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize("words", [("explain", "scene"), ("explain",), ("check", "scene.toml")])
def test_a_reader_who_goes_away_is_no_error(words: tuple[str, ...], folder: Path) -> None:
    written(folder, FAULT)
    reading, writing = os.pipe()
    os.close(reading)
    left = subprocess.run(
        [*START, *words], cwd=folder, stdout=writing, stderr=subprocess.PIPE, text=True, check=False
    )
    os.close(writing)
    assert (left.returncode, left.stderr) == (141, "")


def on_a_terminal(*words: str, folder: Path, columns: int, **settings: str) -> tuple[int, str]:
    """Exit code and everything printed by a command whose screen has so many columns."""
    child, screen = pty.fork()
    if child == 0:
        os.chdir(folder)
        environment = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR")}
        os.execve(START[0], [*START, *words], {**environment, "TERM": "xterm-256color", **settings})
    fcntl.ioctl(screen, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    printed = b""
    while True:
        try:
            more = os.read(screen, 65536)
        except OSError:
            break
        printed += more
    os.close(screen)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), printed.decode().replace("\r\n", "\n")


def test_a_terminal_gets_colours_beside_the_words_and_lines_that_fit(folder: Path) -> None:
    written(folder, FAULT)
    code, shown = on_a_terminal("check", "scene.toml", folder=folder, columns=44)
    plain = re.sub(r"\x1b\[[0-9;]*m", "", shown)
    assert code == 1
    assert "\x1b[31m\x1b[1mfault 1\x1b[0m touch: " in shown
    assert plain.startswith("fault 1 touch: a  scene.toml:")
    report, _, commands = plain.partition("next: ")
    assert all(len(line) <= 44 for line in report.splitlines())
    assert "\n  remedy: lead the tube 1.0 mm further away\n    here, or tie it back\n" in report
    assert commands.startswith("routeviz explain touch")


@pytest.mark.parametrize("settings", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_terminal_that_wants_no_colours_gets_none(settings: dict[str, str], folder: Path) -> None:
    written(folder, FAULT)
    _, shown = on_a_terminal("check", "scene.toml", folder=folder, columns=80, **settings)
    assert shown.startswith("fault 1 touch: a  scene.toml:")
    assert "\x1b" not in shown


SLOW = """
import time
from routeviz import cli
from routeviz.commands import lays
def slow(scene):
    print("measuring", flush=True)
    time.sleep(60)
lays.checked = slow
cli.main(["picture", "scene.toml"])
"""


def test_ctrl_c_leaves_130_and_nothing_behind(folder: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", SLOW], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder
    ) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "measuring\n"
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=30)
    assert (running.returncode, out, err) == (130, "", "\nrouteviz: stopped\n")
    assert os.listdir(folder) == []


HELD_UP = """
import os, time
from routeviz import cli
def slow(_file):
    print("written, but not under its name", flush=True)
    time.sleep(60)
os.fsync = slow
cli.main(["new", "mine.toml"])
"""


def test_ctrl_c_while_a_file_is_being_written_leaves_nothing_half_written(folder: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HELD_UP], stdout=subprocess.PIPE, text=True, cwd=folder
    ) as new:
        assert new.stdout is not None
        assert new.stdout.readline() == "written, but not under its name\n"
        assert len(os.listdir(folder)) == 1
        new.send_signal(signal.SIGINT)
        assert new.wait(timeout=30) == 130
    assert os.listdir(folder) == []


# ── picture ──────────────────────────────────────────────────────────────────────────────────────
def test_picture_prints_the_findings_and_writes_pictures_with_the_same_numbers(
    folder: Path, capsys: Capture
) -> None:
    written(folder, FAULT)
    left = called(capsys, "picture", "scene.toml")
    assert (left.code, left.err) == (1, "")
    assert left.out.startswith("fault 1 touch: a  scene.toml:")
    assert (
        "\nwrote 5 pictures into scene-pictures, from scene-overview.png to scene-fault-01.png\n" in left.out
    )
    sides = [f"scene-{name}.png" for name in ("fault-01", "front", "overview", "side", "top")]
    assert sorted(os.listdir(folder / "scene-pictures")) == sides


def test_demo_and_picture_say_when_nothing_can_be_drawn(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, FAULT)
    monkeypatch.setattr(graphics, "why_no_picture", lambda: "no picture can be drawn\n  remedy: install it")
    for words in (["demo"], ["picture", "scene.toml"]):
        left = called(capsys, *words)
        assert (left.code, left.out) == (2, "")
        assert left.err == "routeviz: no picture can be drawn\n  remedy: install it\n"
    assert os.listdir(folder) == ["scene.toml"]


def test_a_title_may_hold_anything(folder: Path, capsys: Capture) -> None:
    title = "A \"quoted\" 'case' – ½ é"
    written(folder, a_scene(a_tube_up(long=100)).replace(toml("A small case"), toml(title)))
    assert strictly(called(capsys, "check", "--json", "scene.toml").out)["title"] == title
