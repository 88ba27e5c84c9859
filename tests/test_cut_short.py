"""Planning that is stopped, out of time or killed at any moment, with the planner itself on thirty tubes.

Moments are counted in the processor's time, so that others at work on the machine change nothing.
"""

import gc
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from benchmarks.cabinets import a_cabinet

from routeviz import laying
from routeviz.geometry.warming import LAYING, first_run_helped
from routeviz.laying import Laying, plan_scene
from routeviz.pipeline import check_scene
from routeviz.tubes.plan_file import plan_beside

SHARES = (0.05, 0.3, 0.5, 0.75, 0.95)  # of what planning takes to its end
LATE_S = 0.5


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, bytes, float]]:
    """A scene with its plan, and what planning takes once all is compiled."""
    path = tmp_path_factory.mktemp("cut") / "scene.toml"
    path.write_text(a_cabinet(0, 30).text, encoding="utf-8")
    with first_run_helped(LAYING):
        plan_scene(path)
    check_scene(path)
    plan_scene(path, fresh=True)
    gc.collect()  # what compilers leave is not looked through while planning is timed and stopped
    gc.freeze()
    begun = time.process_time()
    plan_scene(path, fresh=True)
    yield path, plan_beside(path).read_bytes(), time.process_time() - begun
    gc.unfreeze()


@pytest.fixture
def old(planned: tuple[Path, bytes, float]) -> bytes:
    """What stands beside the scene before: a plan that is none of those that planning comes to."""
    path, plan, _ = planned
    earlier = plan.replace(b'"format": 1', b'"format":  1')
    assert earlier != plan
    plan_beside(path).write_bytes(earlier)
    return earlier


@contextmanager
def stopped_after(seconds: float) -> Iterator[None]:
    """Stop what goes on in the block as Ctrl-C does, after so many seconds of the processor's time.

    Where that comes before or after planning, while files are read or written, it ends the block.
    """

    def ring(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
    except KeyboardInterrupt:
        pass
    finally:
        signal.signal(signal.SIGPROF, before)


def assert_nothing_more_is_claimed_than_is_so(path: Path, old: bytes, came: Laying) -> None:
    if came.plan is None:
        assert plan_beside(path).read_bytes() == old
        return
    lay = check_scene(path)
    assert lay.taken is not None
    assert not lay.taken.stale
    assert lay.taken.laid == tuple(one.name for one in came.plan.tubes)
    if came.lay is not None:
        assert [(f.rule, f.tube, f.says) for f in came.lay.findings] == [
            (f.rule, f.tube, f.says) for f in lay.findings
        ]


@pytest.mark.parametrize("share", SHARES)
def test_stopped_at_any_moment_what_is_kept_is_whole_and_claims_nothing_more_than_the_checks(
    share: float, planned: tuple[Path, bytes, float], old: bytes
) -> None:
    path, plan, takes = planned
    begun, came = time.process_time(), None
    with stopped_after(share * takes):
        came = plan_scene(path, fresh=True)
    if came is None:
        assert share in (SHARES[0], SHARES[-1])
        assert plan_beside(path).read_bytes() in (old, plan)
        return
    assert came.ended in ("stopped", "found")
    assert came.ended == "stopped" or share > 0.5
    assert time.process_time() - begun <= share * takes + LATE_S
    assert_nothing_more_is_claimed_than_is_so(path, old, came)


@pytest.mark.parametrize("share", SHARES)
def test_a_deadline_is_held_within_half_a_second_at_any_moment(
    share: float, planned: tuple[Path, bytes, float], old: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _, takes = planned
    by_processor = SimpleNamespace(
        setitimer=signal.setitimer,
        signal=signal.signal,
        ITIMER_REAL=signal.ITIMER_PROF,
        SIGALRM=signal.SIGPROF,
    )
    monkeypatch.setattr(laying, "signal", by_processor)
    monkeypatch.setattr(laying, "time", SimpleNamespace(monotonic=time.process_time))
    begun = time.process_time()
    came = plan_scene(path, seconds=share * takes, fresh=True)
    assert time.process_time() - begun <= share * takes + LATE_S
    assert came.ended in ("time", "found")
    assert came.ended == "time" or share > 0.5
    assert_nothing_more_is_claimed_than_is_so(path, old, came)


TOLD = """
import os, sys, time
from routeviz.laying import plan_scene
replace = os.replace
def late(*names):
    print("writing", flush=True)
    time.sleep(60)
os.replace = late
plan_scene(sys.argv[1], fresh=True, tell=lambda step: print(step.stage, step.part, flush=True))
"""


@pytest.mark.parametrize(
    "moment",
    ["choosing passages", "finding ways", "spreading 1 of 3", "spreading 3 of 3", "checking", "writing"],
)
def test_what_is_killed_leaves_the_old_plan_whole(
    moment: str, planned: tuple[Path, bytes, float], old: bytes
) -> None:
    path, _, _ = planned
    words = [sys.executable, "-c", TOLD, str(path)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        assert any(line.strip() == moment for line in running.stdout)
        running.kill()
    assert running.returncode == -signal.SIGKILL
    assert plan_beside(path).read_bytes() == old
