"""Read tables, and hold them to their descriptions, with another program: the general CSVW package."""

import warnings
from pathlib import Path

from csvw import CSVW


def values_in(description: Path) -> list[list[object]]:
    """The rows of a table as the program reads them by its description."""
    (table,) = CSVW(str(description)).tables
    return [list(row.values()) for row in table.iterdicts()]


def complaints_about(description: Path) -> list[str]:
    """What the validator says against a description and its tables; nothing where both are right."""
    with warnings.catch_warnings():
        warnings.simplefilter("always")  # as which it tells much of what is wrong
        try:
            tables = CSVW(str(description), validate=True)
            return [] if tables.is_valid else [str(one.message) for one in tables.warnings]
        except ValueError as error:
            return [str(error)]
