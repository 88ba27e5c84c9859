"""The faults that the tests must notice are still where the list says."""

import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FAULTS = runpy.run_path(str(ROOT / "tests" / "mutants" / "faults.py"))["FAULTS"]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_can_be_put_in_at_one_place(fault) -> None:
    text = (ROOT / "routeviz" / fault.file).read_text(encoding="utf-8")
    assert text.count(fault.old) == 1, f"tests/mutants/faults.py is out of date: {fault.name}"
    assert fault.new != fault.old
    assert all((ROOT / test.partition("::")[0]).exists() for test in fault.tests)
