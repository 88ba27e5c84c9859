"""All registers of an archive, in the order in which a reader needs them."""

from routeviz.archive.case_registers import case_registers
from routeviz.archive.defaults_register import defaults_register
from routeviz.archive.dimensions_register import dimensions_register
from routeviz.archive.finding_registers import (
    expected_register,
    finding_tubes_register,
    findings_register,
    proved_register,
)
from routeviz.archive.record_registers import evidence_register, not_known_register, tools_register
from routeviz.archive.registers import Register
from routeviz.archive.to_buy_register import to_buy_register
from routeviz.archive.tubing_register import tubing_register
from routeviz.archive.work_registers import (
    note_by_note_register,
    order_of_work_register,
    stages_register,
    taking_out_register,
)
from routeviz.archive.zero_register import zeros_register
from routeviz.lay import Lay

# After the case and its tubes.
FURTHER = (
    tubing_register,
    to_buy_register,
    order_of_work_register,
    stages_register,
    note_by_note_register,
    taking_out_register,
    findings_register,
    finding_tubes_register,
    proved_register,
    expected_register,
    not_known_register,
    zeros_register,
    dimensions_register,
    defaults_register,
    tools_register,
    evidence_register,
)


def registers_of(lay: Lay) -> tuple[Register, ...]:
    """Return every register of a lay.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    registers : tuple of Register
        The case and its tubes first; those without rows too.
    """
    return (*case_registers(lay), *(register(lay) for register in FURTHER))
