"""What the makers of the glTF format have to say of a GLB file: the Khronos validator, in node."""

import json
import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[1]
VALIDATE = """
const { validateBytes } = require("gltf-validator");
const { readFileSync } = require("fs");
const reports = process.argv.slice(1).map((file) => validateBytes(new Uint8Array(readFileSync(file))));
Promise.all(reports).then((all) => console.log(JSON.stringify(all.map((report) => report.issues))));
"""


def the_validator_finds(folder: Path, *files: bytes) -> list[dict]:
    """What the validator has to say of each file."""
    paths = [folder / f"{number}.glb" for number in range(len(files))]
    for path, data in zip(paths, files, strict=True):
        path.write_bytes(data)
    run = subprocess.run(
        ["node", "-e", VALIDATE, *paths],
        cwd=ROOT / "routeviz/views/page",
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(run.stdout)


def is_clean(issues: dict) -> bool:
    """Whether it has nothing to say, not even a hint."""
    return not issues["messages"] and not issues["truncated"]
