"""Feed the mesh readers bytes that are chosen by the code they reach; any error but a refusal stops the run.

Run: ``pip install atheris`` (CPython 3.11, Linux), then
``python tests/experiments/fuzz_meshes.py [seconds a reader, 20 unless said]``.
"""

import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["routeviz.cabinet", "trimesh.exchange"]):
    from routeviz.cabinet.meshes import CLAIMS, MeshError

sys.path.insert(0, str(Path(__file__).parents[1]))
from mesh_files import SIDES, WRITERS, box
from mesh_reading import surface


def fuzz(suffix: str, seconds: int) -> None:
    """Run one reader; atheris ends the process."""
    warnings.simplefilter("error")

    def one(data: bytes) -> None:
        try:
            surface(data, suffix)
        except MeshError as error:
            if not error.found.isprintable():
                raise AssertionError(error.found) from None

    with tempfile.TemporaryDirectory() as corpus:
        for kind, (name, write) in WRITERS.items():
            if name.endswith(suffix):
                (Path(corpus) / kind.replace(" ", "-")).write_bytes(write(box(120, 80, 30), SIDES))
        limits = [f"-max_total_time={seconds}", "-max_len=4096", "-timeout=10", "-rss_limit_mb=2000"]
        limits += ["-print_final_stats=1", f"-artifact_prefix={tempfile.gettempdir()}/"]
        atheris.Setup([sys.argv[0], *limits, corpus], one)
        atheris.Fuzz()


if __name__ == "__main__":
    if len(sys.argv) == 3:
        fuzz(sys.argv[1], int(sys.argv[2]))
    else:
        wanted = sys.argv[1] if len(sys.argv) == 2 else "20"
        codes = [
            subprocess.run([sys.executable, __file__, s, wanted], check=False).returncode
            for s in (suffix[1:] for suffix in CLAIMS)
        ]
        sys.exit(max(map(abs, codes)))
