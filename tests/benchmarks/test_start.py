"""How long does a person wait for a command? Whole processes, warm and for the first time.

Run by ``pytest tests/benchmarks``; times are printed, ratios of times in one run are asserted.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCENE = ROOT / "scenes" / "as_found.toml"
HELP = 5  # times a bare interpreter start
REPEATS = 7


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[[str], None]:
    """Print past pytest's capture."""

    def printed(text: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n    {text}")

    return printed


def seconds(*command: str, cache: Path | None = None) -> float:
    """How long a whole process takes."""
    environment = dict(os.environ)
    if cache is not None:
        environment["NUMBA_CACHE_DIR"] = str(cache)
    begun = time.perf_counter()
    done = subprocess.run([sys.executable, *command], capture_output=True, env=environment, check=False)
    taken = time.perf_counter() - begun
    assert done.returncode in (0, 1), done.stderr.decode()
    return taken


def test_how_long_does_help_take_against_a_bare_interpreter(say):
    pairs = [(seconds("-c", "pass"), seconds("-m", "routeviz", "--help")) for _ in range(REPEATS)]
    bare, helped = (min(times) for times in zip(*pairs, strict=True))
    say(f"bare interpreter {bare * 1e3:.0f} ms, help {helped * 1e3:.0f} ms: {helped / bare:.1f} times")
    assert helped <= HELP * bare


def test_how_long_does_a_check_take_as_a_whole_process_for_the_first_time_and_again(say, tmp_path):
    first = seconds("-m", "routeviz", "check", str(SCENE), cache=tmp_path)
    again = min(seconds("-m", "routeviz", "check", str(SCENE), cache=tmp_path) for _ in range(3))
    say(f"check {SCENE.name}: first ever {first:.1f} s (wanted: at most 10), warm {again:.2f} s (at most 2)")
    assert again < first
