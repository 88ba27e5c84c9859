"""Put faults into copies of the package, one at a time, and demand that the tests notice each.

Run by ``.venv/bin/python tests/mutants``, with a word of a fault's name for only those. The work tree is
never touched: each worker has its own copy, in which a fault is put in, the tests that must notice it are
run, and the file is put back. A fault whose pattern is not there exactly once is an error: the list is then
out of date.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from faults import FAULTS, Fault

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("routeviz", "models", "scenes", "tests", "pyproject.toml")
WORKERS = 2
LONGEST_S = 240  # a fault that makes a test hang is noticed too


def main() -> int:
    """Print what became of each fault; 1 if any survived or is out of date, or tests fail by themselves."""
    wanted = [fault for fault in FAULTS if all(word in fault.name for word in sys.argv[1:])]
    stale = [fault for fault in wanted if not is_there_once(fault)]
    for fault in stale:
        sys.stdout.write(f"out of date: {fault.name}: its pattern is not in {fault.file} exactly once\n")
    with tempfile.TemporaryDirectory(prefix="routeviz-mutants-") as folder:
        shares = [[f for f in wanted if f not in stale][k::WORKERS] for k in range(WORKERS)]
        with ThreadPoolExecutor(WORKERS) as pool:
            results = list(pool.map(work, shares, [Path(folder) / str(k) for k in range(WORKERS)]))
    failed = [said for _, _, said in results if said]
    killed = sum(k for k, _, _ in results)
    survived = [fault for _, faults, _ in results for fault in faults]
    for said in failed:
        sys.stdout.write(f"the tests fail without any fault:\n{said}\n")
    for fault in survived:
        sys.stdout.write(f"survived: {fault.name} ({fault.file})\n")
    sys.stdout.write(f"{killed} killed, {len(survived)} survived\n")
    return 1 if stale or survived or failed else 0


def is_there_once(fault: Fault) -> bool:
    """Whether a fault can be put in."""
    return (ROOT / "routeviz" / fault.file).read_text(encoding="utf-8").count(fault.old) == 1


def work(faults: list[Fault], copy: Path) -> tuple[int, list[Fault], str]:
    """Put faults into one copy in turn; return how many were noticed, which were not, what failed before."""
    if not faults:
        return 0, [], ""
    copy.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
        else:
            shutil.copy2(source, copy / name)
    passed, said = tests_pass(copy, tuple(dict.fromkeys(test for fault in faults for test in fault.tests)))
    if not passed:
        return 0, [], said
    killed, survived = 0, []
    for fault in faults:
        begun = time.monotonic()
        if is_noticed(fault, copy):
            killed += 1
            sys.stdout.write(f"killed in {time.monotonic() - begun:.0f} s: {fault.name}\n")
            sys.stdout.flush()
        else:
            survived.append(fault)
    return killed, survived, ""


def is_noticed(fault: Fault, copy: Path) -> bool:
    """Whether tests fail with a fault put in; the copy is as before afterwards, to the nanosecond."""
    file = copy / "routeviz" / fault.file
    kept, stamp = file.read_text(encoding="utf-8"), file.stat()
    try:
        file.write_text(kept.replace(fault.old, fault.new), encoding="utf-8")
        return not tests_pass(copy, fault.tests)[0]
    finally:
        file.write_text(kept, encoding="utf-8")
        os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))


def tests_pass(copy: Path, tests: tuple[str, ...]) -> tuple[bool, str]:
    """Whether tests pass against the copy, and what they said; that they cannot run at all is an error."""
    environment = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    # What is compiled is kept beside the copy, not in the user's own folder.
    environment |= {"PYTHONPATH": str(copy), "XDG_CACHE_HOME": str(copy / "cache")}
    environment |= {"PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        done = subprocess.run(
            command, cwd=copy, env=environment, capture_output=True, text=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        return False, "they do not end"
    if done.returncode not in (0, 1):
        raise RuntimeError(f"pytest could not run {' '.join(tests)}:\n{done.stdout}{done.stderr}")
    return done.returncode == 0, done.stdout


if __name__ == "__main__":
    sys.exit(main())
