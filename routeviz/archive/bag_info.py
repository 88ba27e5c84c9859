"""What a bag says of itself in bag-info.txt: for those who take it in, before they open anything."""

from routeviz.archive.deposit import Deposit

NUMBER, DATE, SHOWS, AGENT = "External-Identifier", "Bagging-Date", "State-Shown", "Bag-Software-Agent"


def info_about(deposit: Deposit) -> tuple[tuple[str, str], ...]:
    """Return labels and what they say, those of RFC 8493 first.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.

    Returns
    -------
    info : tuple of pairs
        In the order of bag-info.txt; a label of which nothing is known is left out.
    """
    record, earlier = deposit.record, deposit.earlier
    said = [
        ("Source-Organization", record.owner),
        *(("Contact-Name", name) for name in deposit.by),
        (NUMBER, deposit.object_number),
        ("External-Description", deposit.about),
        (DATE, deposit.when.date().isoformat()),
        ("Internal-Sender-Identifier", deposit.lay.reading.scene.title),
        ("Internal-Sender-Description", deposit.title),
        (AGENT, deposit.program),
        ("Reading-Guide", "data/README.txt"),
        (SHOWS, deposit.shows),
        ("State-Date", deposit.measured_on),
        ("Rights", record.rights),
        ("Licence", record.licence),
    ]
    if earlier is not None:
        said += [
            ("Supersedes", earlier.says),
            ("Supersedes-Identifier", earlier.identifier),
            ("Supersedes-Bagging-Date", earlier.date),
            ("Supersedes-State-Shown", earlier.shows),
            ("Supersedes-Manifest-SHA512", earlier.manifest_sha512),
        ]
    return tuple((label, value) for label, value in said if value)
