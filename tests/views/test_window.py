"""The window on a screen that exists only in memory, its keys struck as a person would."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

STRIKES = """
import sys
from pathlib import Path

sys.path.insert(0, {tests!r})
from small_lay import a_lay

from routeviz.views import window as windows

windows.SIZE = (480, 300)

window = windows.Window(a_lay(Path({folder!r})))
window.plotter.show(interactive_update=True, auto_close=False)
interactor = window.plotter.iren.interactor
colours = []
for key in "nnkkfrgfhw":
    interactor.SetKeySym(key)
    interactor.SetKeyCode(key)
    interactor.InvokeEvent("KeyPressEvent")
    interactor.InvokeEvent("CharEvent")
    seen = window.looking
    picture = window.plotter.screenshot(return_img=True)
    eye = [round(float(c)) for c in window.plotter.camera.position]
    print(key, seen.tube, seen.finding, seen.pressed, seen.helps, picture.std() > 10, eye)
window.plotter.close()
"""


@pytest.fixture(scope="module")
def screen() -> Iterator[str]:
    """A screen in memory; the X server chooses a free number and writes it once it can be used."""
    server = shutil.which("Xvfb")
    assert server, "Xvfb is missing: .ci/set_up test installs it"
    reads, writes = os.pipe()
    command = [server, "-displayfd", str(writes), "-screen", "0", "1400x900x24", "-nolisten", "tcp"]
    process = subprocess.Popen(command, pass_fds=(writes,), stderr=subprocess.DEVNULL)
    os.close(writes)
    with os.fdopen(reads) as numbers:
        yield f":{numbers.readline().strip()}"
    process.terminate()
    process.wait(timeout=10)


def test_every_key_does_what_the_help_says_and_the_window_stays_up(screen: str, tmp_path: Path) -> None:
    script = STRIKES.format(tests=str(Path(__file__).parents[1]), folder=str(tmp_path))
    environment = {
        k: v for k, v in os.environ.items() if k not in ("VTK_DEFAULT_OPENGL_WINDOW", "WAYLAND_DISPLAY")
    }
    run = subprocess.run(
        [sys.executable, "-c", script],
        env=environment | {"DISPLAY": screen},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    rows = [line.split(" ", 6) for line in run.stdout.splitlines()]
    assert [row[:5] for row in rows] == [
        ["n", "0", "None", "0", "True"],
        ["n", "1", "None", "0", "True"],
        ["k", "1", "None", "1", "True"],
        ["k", "1", "None", "2", "True"],
        ["f", "None", "0", "2", "True"],
        ["r", "None", "None", "0", "True"],
        ["g", "None", "5", "0", "True"],
        ["f", "None", "0", "0", "True"],
        ["h", "None", "0", "0", "False"],
        ["w", "None", "0", "0", "False"],
    ]
    assert all(row[5] == "True" for row in rows)
    eyes = [row[6] for row in rows]
    assert eyes[0] == eyes[3] == eyes[5]  # stepping through tubes leaves the eye, r brings it back
    assert eyes[4] == eyes[7] == eyes[9] != eyes[0]  # each finding has its own eye
