"""The record in the fifteen words of Dublin Core, for catalogues that take no more.

The Dublin Core element set, version 1.1 (ISO 15836-1), in the container of the Open Archives Initiative.
A word of which nothing is known is left out.
"""

from collections.abc import Iterator

from routeviz.archive.deposit import Deposit
from routeviz.archive.filing import Listed
from routeviz.archive.plain_xml import element, within, xml_bytes

SPACES = {
    "oai_dc": "http://www.openarchives.org/OAI/2.0/oai_dc/",
    "dc": "http://purl.org/dc/elements/1.1/",
}


def dublin_core(deposit: Deposit, files: tuple[Listed, ...]) -> bytes:
    """Return the record in Dublin Core.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.
    files : tuple of Listed
        What lies in it.

    Returns
    -------
    content : bytes
        XML.
    """
    said = [element(f"dc:{word}", text) for word, text in _said(deposit, files) if text]
    return xml_bytes(within("oai_dc:dc", *said), SPACES)


def _said(deposit: Deposit, files: tuple[Listed, ...]) -> Iterator[tuple[str, str]]:
    record = deposit.record
    yield "title", deposit.title
    for name in deposit.by:
        yield "creator", name
    yield "subject", "self-playing piano; vacuum tubing; musical instrument documentation"
    for word in (*record.keywords, *(f"{system}: {term}" for system, term in record.classification.items())):
        yield "subject", word
    yield "description", deposit.about
    yield "description", deposit.lay.reading.scene.about
    for name in deposit.by:
        yield "publisher", name
    for name in sorted({name for one in files for name in one.by} - set(deposit.by)):
        yield "contributor", name
    yield "date", deposit.measured_on
    yield "type", "Dataset"
    for media in sorted({one.form.media for one in files}):
        yield "format", media
    yield "identifier", deposit.object_number
    yield "source", _instrument(deposit)
    yield "language", "en"
    yield "language", "" if record.language == "en" else record.language or ""
    yield "relation", f"takes the place of: {deposit.earlier}" if deposit.earlier else ""
    yield "coverage", record.place or ""
    yield "coverage", f"made {record.made}" if record.made else ""
    yield "rights", record.rights or ""
    yield "rights", record.licence or ""


def _instrument(deposit: Deposit) -> str:
    """Return in a line which instrument it is."""
    record = deposit.record
    known = (
        ("", deposit.instrument),
        ("object number ", deposit.object_number),
        ("maker ", record.maker),
        ("model ", record.model),
        ("serial number ", record.serial),
        ("made ", record.made),
        ("owner ", record.owner),
    )
    return "; ".join(f"{word}{value}" for word, value in known if value)
