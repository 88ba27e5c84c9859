"""Rows of a register as a reader has them: by the names of its columns."""

from routeviz.archive.registers import Register


def rows_of(register: Register) -> list[dict[str, object]]:
    """Each row, without its empty cells."""
    names = [one.name for one in register.fields]
    return [
        {name: cell for name, cell in zip(names, row, strict=True) if cell is not None}
        for row in register.rows
    ]
