"""What a record says of itself, statement by statement: a register, and lines for the reading guide."""

from collections.abc import Iterator

from routeviz.archive.deposit import Deposit
from routeviz.archive.registers import Field, Register

TABLE = "record.csv"
FIELDS = (
    Field(name="line", about="Its number, from 1.", kind="whole", least=1),
    Field(name="statement", about="What is said: shows, by, maker and so on."),
    Field(name="says", about="As the record says it."),
)


def record_register(deposit: Deposit) -> Register:
    """Return what the record says of itself, and what is known of the archive.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.

    Returns
    -------
    register : Register
        A row a statement.
    """
    return Register(
        name=TABLE.removesuffix(".csv"),
        title="The record",
        about="Something that the record says of itself: what it shows, of which instrument, by whom, why.",
        fields=FIELDS,
        rows=tuple((number, *one) for number, one in enumerate(_statements(deposit), 1)),
        key=("line",),
    )


def _statements(deposit: Deposit) -> Iterator[tuple[str, str]]:
    record = deposit.record
    yield "shows", deposit.shows
    yield "on", deposit.measured_on
    yield from (("by", name) for name in deposit.by)
    known = (
        ("why", record.why),
        ("object", record.object),
        ("name", record.name),
        ("scene", deposit.lay.reading.scene.title),
        ("maker", record.maker),
        ("model", record.model),
        ("serial", record.serial),
        ("made", record.made),
        ("place", record.place),
        ("owner", record.owner),
        ("rights", record.rights),
        ("licence", record.licence),
        ("language", record.language),
        *(("keyword", word) for word in record.keywords),
        *(("classification", f"{system}: {term}") for system, term in record.classification.items()),
        *older(deposit),
        ("archived", deposit.moment),
        ("program", deposit.program),
    )
    yield from ((statement, says) for statement, says in known if says)


def older(deposit: Deposit) -> tuple[tuple[str, str], ...]:
    """Return which older record this one takes the place of, in statements; none where it does not."""
    earlier = deposit.earlier
    if earlier is None:
        return ()
    known = (
        ("supersedes", earlier.says),
        ("supersedes object", earlier.identifier),
        ("supersedes shows", earlier.shows),
        ("supersedes archived", earlier.date),
        ("supersedes manifest-sha512.txt of SHA-512", earlier.manifest_sha512),
    )
    return tuple((statement, says) for statement, says in known if says)
