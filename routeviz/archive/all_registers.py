"""All registers of an archive, in the order in which a reader needs them."""

from routeviz.archive.centreline_registers import (
    centreline_pieces_register,
    corners_register,
    measured_points_register,
)
from routeviz.archive.clearance_registers import clearances_register, hanging_register, limits_register
from routeviz.archive.defaults_register import defaults_register
from routeviz.archive.dimensions_register import dimensions_register
from routeviz.archive.finding_registers import (
    expected_register,
    finding_tubes_register,
    findings_register,
    proved_register,
)
from routeviz.archive.part_registers import motions_register, nipples_register, parts_register
from routeviz.archive.passage_registers import (
    passage_corners_register,
    passage_use_register,
    passages_register,
)
from routeviz.archive.record_registers import evidence_register, not_known_register, tools_register
from routeviz.archive.registers import Register
from routeviz.archive.solid_registers import solid_corners_register, solids_register
from routeviz.archive.to_buy_register import to_buy_register
from routeviz.archive.tube_registers import ties_register, tube_passages_register, tubes_register
from routeviz.archive.tubing_register import tubing_register
from routeviz.archive.work_registers import (
    note_by_note_register,
    order_of_work_register,
    stages_register,
    taking_out_register,
)
from routeviz.archive.zero_register import zeros_register
from routeviz.lay import Lay

# The case and its tubes; then all else.
CASE = (
    tubes_register,
    tube_passages_register,
    corners_register,
    centreline_pieces_register,
    ties_register,
    measured_points_register,
    clearances_register,
    hanging_register,
    limits_register,
    parts_register,
    solids_register,
    solid_corners_register,
    motions_register,
    nipples_register,
    passages_register,
    passage_corners_register,
    passage_use_register,
)
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
    return tuple(register(lay) for register in (*CASE, *FURTHER))
