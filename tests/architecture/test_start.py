"""The command line answers a call for help without loading what only the work itself needs."""

import re
import subprocess
import sys

LATER = {"numpy", "numba", "scipy", "shapely", "trimesh", "pydantic", "pyvista", "vtk", "vtkmodules"}


def test_help_comes_without_loading_numbers_drawing_or_the_schema() -> None:
    start = "import sys; from routeviz.cli import main; sys.argv[0] = 'routeviz'; main()"
    asked = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", start, "--help"],
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(re.findall(r"^import time:.*\|\s*(\S+)$", asked.stderr, re.MULTILINE))
    assert "Usage: routeviz" in asked.stdout
    assert "routeviz.cli" in loaded
    assert not LATER & {module.partition(".")[0] for module in loaded}
