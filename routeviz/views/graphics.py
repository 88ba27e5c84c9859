"""Can this machine draw? Asked before drawing, because without graphics libraries the drawing code crashes.

A missing library ends the whole process, with no exception to catch: so a child process is asked.
"""

import os
import subprocess
import sys
from pathlib import Path

# What the drawing library itself draws with: by itself it answers in a third of the time.
_PROBE = """
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow
window = vtkRenderWindow()
window.SetOffScreenRendering(True)
window.SetSize(32, 32)
window.AddRenderer(vtkRenderer())
window.Render()
"""
_SECONDS = 60  # importing the drawing library from a cold disk takes some of them
REMEDY = "install the system packages libegl1 and libgl1-mesa-dri (apt-get install libegl1 libgl1-mesa-dri)"


def has_screen() -> bool:
    """Return whether there is a screen to open a window on."""
    return sys.platform in ("win32", "darwin") or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )


def choose_graphics() -> None:
    """Let pictures be drawn without a screen; to be called before the drawing library is imported."""
    if sys.platform.startswith("linux") and not has_screen():
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")


def why_no_picture() -> str | None:
    """Return why no picture can be drawn, with the remedy, or None where one can."""
    choose_graphics()
    try:
        probe = subprocess.run(
            [sys.executable, "-c", _PROBE],
            capture_output=True,
            timeout=_SECONDS,
            check=False,
            cwd=Path.home(),
        )
    except (OSError, subprocess.TimeoutExpired):
        return f"no picture can be drawn: the drawing library does not answer\n  remedy: {REMEDY}"
    if probe.returncode == 0:
        return None
    return f"no picture can be drawn: this machine lacks graphics libraries\n  remedy: {REMEDY}"


def why_no_window() -> str | None:
    """Return why no window can be opened, with the remedy, or None where one can."""
    if not has_screen():
        return "no window can be opened: there is no screen here\n  remedy: use `routeviz picture` instead"
    return why_no_picture()
