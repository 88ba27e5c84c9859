"""How long does it take to archive the largest example and to look at the archive, and how large is it?

Each as a user calls it, on a machine that does nothing else; best of three.
"""

import sys
import time
from pathlib import Path

import pytest
from called import called_apart

SCENE = Path(__file__).parents[2] / "scenes" / "harbour_hall.toml"
MOST_BYTES = 20_000_000
MOST_S = 10.0
MOST_CHECK_S = 3.0


def test_the_largest_example_is_archived_and_looked_at_within_its_time_and_size(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made, looked = [], []
    for name in ("first", "second", "third"):
        begun = time.perf_counter()
        left = called_apart("archive", SCENE, "--into", name, folder=tmp_path)
        made.append(time.perf_counter() - begun)
        assert left.returncode == 0, left.stderr
        begun = time.perf_counter()
        left = called_apart("archive", "--check", name, folder=tmp_path)
        looked.append(time.perf_counter() - begun)
        assert left.returncode == 0, left.stdout
    size = sum(path.stat().st_size for path in (tmp_path / "first").rglob("*") if path.is_file())
    with capsys.disabled():
        told = f"archived in {min(made):.1f} s, looked at in {min(looked):.1f} s, {size / 1e6:.1f} MB"
        sys.stdout.write(f"\n    {told}")
    assert min(made) <= MOST_S
    assert min(looked) <= MOST_CHECK_S
    assert size <= MOST_BYTES
