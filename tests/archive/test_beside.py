"""Two works at once: whatever becomes of the child, both are done, and nothing of it is left."""

import os
import signal
import time

import pytest

from routeviz.archive import beside
from routeviz.archive.beside import both


def no_child_is_left() -> bool:
    try:
        os.waitpid(-1, os.WNOHANG)
    except ChildProcessError:
        return True
    return False


@pytest.fixture(autouse=True)
def parted(monkeypatch):
    """A machine with two processors, whatever this one has."""
    monkeypatch.setattr(os, "cpu_count", lambda: 2)


def test_one_is_done_in_another_process_and_what_it_gives_comes_back_whole():
    given = bytes(range(256)) * 4000  # more than a pipe holds
    (content, there), here = both(lambda: (given, os.getpid()), os.getpid)
    assert content == given
    assert here == os.getpid() != there
    assert no_child_is_left()


def test_with_one_processor_both_are_done_here(monkeypatch):
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    assert both(os.getpid, os.getpid) == (os.getpid(), os.getpid())


def test_where_no_process_can_be_had_both_are_done_here(monkeypatch):
    def none_left():
        raise OSError("Resource temporarily unavailable")

    monkeypatch.setattr(os, "fork", none_left)
    assert both(os.getpid, lambda: 1) == (os.getpid(), 1)


def test_a_child_that_is_killed_has_its_work_done_here():
    first = os.getpid()

    def dies_elsewhere():
        if os.getpid() != first:
            os.kill(os.getpid(), signal.SIGKILL)
        return "done"

    assert both(dies_elsewhere, lambda: 1) == ("done", 1)
    assert no_child_is_left()


def test_a_child_that_hangs_has_its_work_done_here(monkeypatch):
    monkeypatch.setattr(beside, "PATIENCE_S", 0.2)
    first = os.getpid()

    def hangs_elsewhere():
        if os.getpid() != first:
            time.sleep(60)
        return "done"

    assert both(hangs_elsewhere, lambda: 1) == ("done", 1)
    assert no_child_is_left()


def test_what_goes_wrong_in_a_child_comes_out_here():
    def wrong():
        raise ValueError("what is wrong")

    with pytest.raises(ValueError, match="what is wrong"):
        both(wrong, lambda: 1)
    assert no_child_is_left()


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt])
def test_what_goes_wrong_here_ends_the_child(error):
    def wrong():
        raise error

    begun = time.monotonic()
    with pytest.raises(error):
        both(lambda: time.sleep(60), wrong)
    assert time.monotonic() - begun < 30
    assert no_child_is_left()


def test_nothing_is_kept_open(monkeypatch):
    before = len(os.listdir("/proc/self/fd")) if os.path.isdir("/proc/self/fd") else None
    both(lambda: 1, lambda: 2)
    with pytest.raises(KeyError):
        both(lambda: 1, lambda: {}[0])
    monkeypatch.setattr(beside.os, "cpu_count", lambda: 1)
    both(lambda: 1, lambda: 2)
    assert before is None or len(os.listdir("/proc/self/fd")) == before
