"""The tables of an archive as files: registers as CSV, what describes them, and the list of all files."""

from collections.abc import Iterator, Sequence

from routeviz.archive.csvw import BESIDE, GROUP, csvw_group, csvw_of
from routeviz.archive.filing import Filed, Listed
from routeviz.archive.registers import Field, Register, csv_of

FOLDER = "tables"
FILE_FIELDS = (
    Field(name="file", about="Its path in this folder."),
    Field(name="was", about="What the scene calls it, for a file that was given.", required=False),
    Field(name="title", about="What it is called."),
    Field(name="about", about="What it tells."),
    Field(name="form", about="How it is written."),
    Field(name="media_type", about="The same as a media type."),
    Field(name="bytes", about="How long it is.", kind="whole", least=0),
)


def files_register(files: Sequence[Listed]) -> Register:
    """Return the list of files: those that were given and those that were made, before the tables were.

    Parameters
    ----------
    files : sequence of Listed
        The scene's own first.

    Returns
    -------
    register : Register
        A row a file.
    """
    return Register(
        name="files",
        title="Files",
        about="A file in this folder, other than the tables themselves and what tells of all files.",
        fields=FILE_FIELDS,
        rows=tuple(
            (one.path, one.was or None, one.title, one.about, one.form.name, one.form.media, one.sum.size)
            for one in files
        ),
        key=("file",),
    )


def table_files(registers: Sequence[Register]) -> Iterator[Filed]:
    """Yield registers as files.

    Parameters
    ----------
    registers : sequence of Register
        No two of one name.

    Yields
    ------
    file : Filed
        A table, what describes it, and so on; last what describes all together.
    """
    for one in registers:
        path = f"{FOLDER}/{one.name}.csv"
        yield Filed(path=path, title=one.title, about=f"a row: {one.about}", content=csv_of(one))
        says = f"the columns of {one.name}.csv: what each says, in which unit"
        yield Filed(path=f"{path}{BESIDE}", title=f"{one.title}, described", about=says, content=csvw_of(one))
    yield Filed(
        path=f"{FOLDER}/{GROUP}",
        title="All tables, described",
        about="the columns of all tables, and which of them refer to which",
        content=csvw_group(registers),
    )
