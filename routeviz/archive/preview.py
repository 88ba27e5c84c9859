"""The list of what lies in an archive as a page for people: no script, nothing from elsewhere."""

from collections.abc import Iterator, Sequence
from html import escape
from itertools import groupby

from routeviz.archive.deposit import Deposit
from routeviz.archive.filing import Listed

STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:60rem;margin:auto;padding:1rem;color:#111;background:#fff}"
    "table{border-collapse:collapse;width:100%}caption{text-align:left;padding:.3rem 0}"
    "th,td{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-top:1px solid #777}"
    "dt{font-weight:bold}dd{margin:0 0 .5rem}td{overflow-wrap:anywhere}"
)
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
FOLDERS = {
    "": ("Begin here", "What tells of all the others."),
    "tables": ("Tables", "The record itself, as numbers and words: CSV, with a description beside each."),
    "drawings": ("Drawings", "To scale, with dimensions."),
    "sheets": ("Sheets for the bench", "For printing at 100 %."),
    "models": ("Models", "The case and its tubes in three dimensions."),
    "pictures": ("Pictures", "How the case looks."),
    "page": ("Page", "All of it to look at in a browser."),
    "source": ("Source", "What was measured and written down, untouched; all else follows from it."),
    "evidence": ("Evidence", "Photos, notes, scans and drawings, untouched."),
    "metadata": ("Metadata", "For catalogues and repositories."),
}


def preview(deposit: Deposit, files: Sequence[Listed]) -> bytes:
    """Return the page.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.
    files : sequence of Listed
        What lies in it.

    Returns
    -------
    content : bytes
        HTML.
    """
    order = list(FOLDERS)
    ordered = sorted(files, key=lambda one: order.index(one.folder))
    sections = [_section(folder, list(some)) for folder, some in groupby(ordered, lambda one: one.folder)]
    facts = "".join(f"<dt>{escape(word)}</dt><dd>{_text(text)}</dd>\n" for word, text in _facts(deposit))
    title, language = escape(deposit.title), escape(deposit.record.language or "en", quote=True)
    return (
        "<!doctype html>\n"
        '<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        f'<main>\n<h1 lang="{language}">{title}</h1>\n<dl>\n{facts}</dl>\n{"".join(sections)}</main>\n'
        "</body>\n</html>\n"
    ).encode()


def _facts(deposit: Deposit) -> Iterator[tuple[str, str]]:
    record = deposit.record
    known = (
        ("Shows", f"{deposit.shows}, {deposit.measured_on}"),
        ("Object number", deposit.object_number),
        ("Written down by", ", ".join(deposit.by)),
        ("Why", record.why),
        ("Maker", record.maker),
        ("Model", record.model),
        ("Serial number", record.serial),
        ("Made", record.made),
        ("Place", record.place),
        ("Owner", record.owner),
        ("Rights", record.rights),
        ("Licence", record.licence),
        ("Takes the place of", str(deposit.earlier) if deposit.earlier else None),
        ("Archive made", f"{deposit.moment}, by {deposit.program}"),
    )
    yield from ((word, text) for word, text in known if text)
    for number, text in enumerate(record.not_known, 1):
        yield f"Not known, {number}", text


def _section(folder: str, files: Sequence[Listed]) -> str:
    heading, about = FOLDERS[folder]
    rows = "".join(_row(one) for one in files)
    return (
        f"<section>\n<h2>{escape(heading)}</h2>\n<table>\n<caption>{escape(about)}</caption>\n"
        '<thead><tr><th scope="col">File</th><th scope="col">What it is</th>'
        '<th scope="col">Form</th><th scope="col">Bytes</th></tr></thead>\n'
        f"<tbody>\n{rows}</tbody>\n</table>\n</section>\n"
    )


def _row(one: Listed) -> str:
    name = one.path.removeprefix(f"{one.folder}/")
    told = [one.about, *(f"{word} {text}" for word, text in _origin(one) if text)]
    title = f"<strong>{escape(one.title)}</strong><br>" if one.title not in one.about else ""
    return (
        f'<tr><th scope="row"><a href="{escape(one.path, quote=True)}">{escape(name)}</a></th>'
        f"<td>{title}{'<br>'.join(_text(text) for text in told)}</td>"
        f"<td>{escape(one.form.name)}</td><td>{one.sum.size}</td></tr>\n"
    )


def _origin(one: Listed) -> Iterator[tuple[str, str]]:
    yield "In the scene:", one.was
    yield "By", ", ".join(one.by)
    yield "On", one.on
    yield "Rights:", one.rights


def _text(text: str) -> str:
    """Return a person's text as it stands on a page, kept apart from what is around it."""
    lines = "<br>".join(escape(line) for line in text.splitlines())
    return f"<bdi>{lines}</bdi>"
