"""All registers of the case and its tubes, in the order in which a reader needs them."""

from routeviz.archive.centreline_registers import (
    centreline_pieces_register,
    corners_register,
    measured_points_register,
)
from routeviz.archive.clearance_registers import clearances_register, hanging_register, limits_register
from routeviz.archive.part_registers import motions_register, nipples_register, parts_register
from routeviz.archive.passage_registers import (
    passage_corners_register,
    passage_use_register,
    passages_register,
)
from routeviz.archive.registers import Register
from routeviz.archive.solid_registers import solid_corners_register, solids_register
from routeviz.archive.tube_registers import ties_register, tube_passages_register, tubes_register
from routeviz.lay import Lay

REGISTERS = (
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


def case_registers(lay: Lay) -> tuple[Register, ...]:
    """Return every register of the case and its tubes.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    registers : tuple of Register
        Those without rows too.
    """
    return tuple(register(lay) for register in REGISTERS)
