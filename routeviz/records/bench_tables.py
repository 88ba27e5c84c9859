"""All tables for the bench, as they are needed one after the other; each becomes pages, a CSV and a sheet."""

from routeviz.lay import Lay
from routeviz.records.buying import buying
from routeviz.records.loose_ends import loose_ends
from routeviz.records.order_of_work import order_of_work
from routeviz.records.row_charts import row_table
from routeviz.records.settings import Settings
from routeviz.records.supply import supply_table
from routeviz.records.tables import Table, first_in
from routeviz.records.tags import tag_list
from routeviz.records.taking_out import taking_out
from routeviz.records.testing import note_by_note
from routeviz.records.tube_list import tube_list
from routeviz.records.wall import wall_table


def bench_tables(lay: Lay, settings: Settings) -> tuple[Table, ...]:
    """Return every table of a lay, lengths in the unit that was asked for first.

    Parameters
    ----------
    lay : Lay
        As checked; ``refusing.why_refused`` says whether it is ready.
    settings : Settings
        How they are to be made.

    Returns
    -------
    tables : tuple of Table
        No two of one name; those without rows too, with their notes.
    """
    tables = (
        wall_table(lay, settings),
        tube_list(lay, settings),
        buying(lay, settings),
        order_of_work(lay, settings),
        note_by_note(lay),
        row_table(lay, settings),
        supply_table(lay),
        loose_ends(lay, settings),
        taking_out(lay, settings),
        tag_list(lay),
    )
    return tuple(first_in(table, settings.first_unit) for table in tables)
