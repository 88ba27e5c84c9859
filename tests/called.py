"""Words to call a command in tests as a user does: in this process, or as one of its own."""

import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from routeviz.cli import main

START = [sys.executable, "-c", "from routeviz.cli import main; main()"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """What a command left: its exit code and what it printed."""

    code: int
    out: str
    err: str


def called(capsys: pytest.CaptureFixture[str], *words: str | Path) -> Called:
    """Call a command in this process."""
    capsys.readouterr()
    code = 0
    try:
        main([str(word) for word in words])
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 0
    printed = capsys.readouterr()
    return Called(code=code, out=printed.out, err=printed.err)


def called_apart(
    *words: str | Path, folder: Path, settings: Mapping[str, str] | None = None
) -> "subprocess.CompletedProcess[str]":
    """Call a command as a process of its own in a folder."""
    return subprocess.run(
        [*START, *map(str, words)],
        cwd=folder,
        env={**os.environ, **(settings or {})},
        capture_output=True,
        text=True,
        check=False,
    )
