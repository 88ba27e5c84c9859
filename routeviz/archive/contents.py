"""What lies in an archive? All its files, in the order in which they are made.

Each is made elsewhere; here stands which there are, where they lie and what a reader is told of them.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from routeviz.archive.all_registers import registers_of
from routeviz.archive.bag_names import READ_FIRST, bag_names
from routeviz.archive.beside import both
from routeviz.archive.crate import CRATE, PREVIEW, crate
from routeviz.archive.deposit import Deposit, listed_exhibit
from routeviz.archive.dublin_core import dublin_core
from routeviz.archive.filing import Filed, Listed, listed
from routeviz.archive.lido import lido
from routeviz.archive.pictures import Pictures, pictures_of
from routeviz.archive.premis import premis
from routeviz.archive.preview import preview
from routeviz.archive.reading_guide import reading_guide
from routeviz.archive.record_statements import record_register
from routeviz.archive.registers import Register
from routeviz.archive.source_copies import source_copies
from routeviz.archive.sources import source_files, stem_in_bag
from routeviz.archive.table_files import files_register, table_files
from routeviz.archive.x3d import x3d_bytes
from routeviz.records.drawing_pages import drawings_for
from routeviz.records.settings import Settings
from routeviz.records.sheets import Made, sheets_pdf
from routeviz.views.drawing import Drawing
from routeviz.views.glb import glb_bytes
from routeviz.views.page import data_text, page_bytes
from routeviz.views.page_data import page_data
from routeviz.views.svg import svg_of

SHOWN = 16  # digits of a sum that a reader compares by eye
Tell = Callable[[str], None]

READ = Filed(
    path=READ_FIRST,
    title="Read this first",
    about="what lies in this folder, every table and column, a worked example, what is not known",
)
METADATA = (
    Filed(
        path="metadata/dc.xml",
        title="Dublin Core",
        about="the record in the fifteen words of Dublin Core, for catalogues",
    ),
    Filed(
        path="metadata/lido.xml",
        title="LIDO",
        about="the instrument as a museum's catalogue takes it; LIDO 1.0, by its schema as it reads",
    ),
    Filed(
        path="metadata/premis.xml",
        title="PREMIS",
        about="sums, forms, events, agents and rights, for repositories; PREMIS 3.0, no validator at hand",
    ),
)
DESCRIBING = (
    Filed(path=CRATE, title="Description", about="every file with what it is, who made it and how; RO-Crate"),
    Filed(path=PREVIEW, title="Preview", about="the same, to be looked at in a browser"),
)
LATER = (*METADATA, *DESCRIBING)  # what is made after the guide that tells of it


def contents(deposit: Deposit, settings: Settings, tell: Tell = lambda _: None) -> tuple[Filed, ...]:
    """Return all files of an archive but those of its evidence, which go in as they are.

    Parameters
    ----------
    deposit : Deposit
        What is given into it.
    settings : Settings
        How sheets and drawings are made.
    tell : function
        Called with what is made next.

    Returns
    -------
    files : tuple of Filed
        By paths in ``data/``.
    """
    lay = deposit.lay
    given = [listed_exhibit(one, deposit.record) for one in deposit.exhibits]
    sources = [*source_files(lay), *source_copies(lay.reading)]

    def told() -> tuple[tuple[Filed, ...], tuple[Register, ...]]:
        return tuple(_views(deposit, settings)), (record_register(deposit), *registers_of(lay))

    tell("making tables, drawings and pictures")
    (views, registers), pictures = both(told, lambda: pictures_of(lay))
    files = [*sources, *views, *_pictures(pictures)]
    registers = (*registers, files_register([*map(listed, files), *given]))
    guide = reading_guide(lay, registers, [*files, *given, *LATER], _said(deposit, pictures))
    files = [replace(READ, content=guide), *files, *table_files(registers)]
    tell("making metadata")
    files += _metadata(deposit, (*map(listed, files), *given))
    return (*files, *_described(deposit, (*map(listed, files), *given)))


def _said(deposit: Deposit, pictures: Pictures) -> tuple[str, ...]:
    """Return what the guide says beside what the scene says."""
    older, earlier = "", deposit.earlier
    if earlier is not None:
        older = f"It takes the place of an older one: {replace(earlier, manifest_sha512='')}."
    if earlier is not None and earlier.manifest_sha512:
        begins = earlier.manifest_sha512[:SHOWN]
        older += f" The SHA-512 of its manifest-sha512.txt begins with {begins}; bag-info.txt has all of it."
    made = f"The archive was made on {deposit.when.date().isoformat()} by {deposit.program}."
    return tuple(one for one in (made, older, pictures.missing) if one)


def _pictures(pictures: Pictures) -> Iterator[Filed]:
    for name, content in pictures.files.items():
        about = f"{pictures.captions[name]} For a first look"
        yield Filed(path=f"pictures/{name}", title=f"Picture: {name}", about=about, content=content)


def _views(deposit: Deposit, settings: Settings) -> Iterator[Filed]:
    """Yield drawings, sheets, models and the page."""
    lay, stem = deposit.lay, stem_in_bag(deposit.lay)
    made = Made(when=deposit.when)
    drawn = drawings_for(lay, settings, made.date)
    names = bag_names(f"{drawing.name}.svg" for drawing in drawn)
    for drawing in drawn:
        yield _drawing(drawing, names[f"{drawing.name}.svg"])
    yield Filed(
        path=f"sheets/{stem}-sheets.pdf",
        title="Sheets for the bench",
        about="tube list, charts, plates at true size and drawings, to be printed at 100 %; "
        "PDF/A-2u: declared and structurally checked, not certified",
        content=sheets_pdf(lay, settings, made, drawn),
    )
    yield Filed(
        path="models/case.glb",
        title="Case and tubes in 3D",
        about="for looking at, in metres, y up; the figures stand in tables/",
        content=glb_bytes(lay),
    )
    yield Filed(
        path="models/case.x3d",
        title="Case and tubes in 3D, for keeping",
        about="the same as text, in the case's own millimetres; X3D",
        content=x3d_bytes(lay, (f"Object number {deposit.object_number}: {deposit.title}.",)),
    )
    data = page_data(lay)
    yield Filed(
        path=f"page/{stem}.html",
        title="A page for a browser",
        about="for looking at in a browser, without a network: 3D, findings, tubes, the work at the bench",
        content=page_bytes(data["title"], data_text(data)),
    )


def _drawing(drawing: Drawing, name: str) -> Filed:
    title = dict(drawing.fields).get("Drawing", drawing.title)
    about = f"line drawing at {drawing.scale}, lengths in mm; millimetres on paper are those of the file"
    content = svg_of(drawing).encode()
    return Filed(path=f"drawings/{name}", title=title, about=about, content=content)


def _metadata(deposit: Deposit, files: tuple[Listed, ...]) -> Iterator[Filed]:
    contents = (dublin_core(deposit, files), lido(deposit), premis(deposit, files))
    yield from (replace(one, content=content) for one, content in zip(METADATA, contents, strict=True))


def _described(deposit: Deposit, files: tuple[Listed, ...]) -> Iterator[Filed]:
    contents = (crate(deposit, files), preview(deposit, files))
    yield from (replace(one, content=content) for one, content in zip(DESCRIBING, contents, strict=True))
