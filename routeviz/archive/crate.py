"""What lies in an archive, who made it, of what and with what: an RO-Crate, for people and machines.

RO-Crate 1.3 (researchobject.org): a graph of things in JSON-LD, flat, each with its ``@id``. How it is shown
to people is in preview.py.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from importlib.metadata import version
from typing import Any

from routeviz.archive import sources
from routeviz.archive.bag_names import READ_FIRST, bag_names
from routeviz.archive.deposit import PROGRAM, Deposit
from routeviz.archive.filing import PRONOM, Listed

CRATE, PREVIEW = "ro-crate-metadata.json", "ro-crate-preview.html"
CONTEXT = "https://w3id.org/ro/crate/1.3/context"
PROFILE = "https://w3id.org/ro/crate/1.3"
TABLE = "application/csvm+json"
TABULAR = "http://www.w3.org/TR/tabular-metadata/"
SPDX = "https://spdx.org/licenses/"
ROOT, INSTRUMENT, RIGHTS, SOFTWARE = "./", "#instrument", "#rights", "#routeviz"
NUMBER, PLACE, OLDER = "#object-number", "#place", "#older-record"
MODELS = f"{sources.FOLDER}/{sources.MODELS}/"  # come with the program
SURVEY, ARCHIVING = "#survey", "#archiving"
NO_PATH = str.maketrans(
    "/.", "\ue000\ue001"
)  # signs that no record may hold, so that no two names become one

Thing = dict[str, Any]


def crate(deposit: Deposit, files: Sequence[Listed]) -> bytes:
    """Return the description of an archive.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.
    files : sequence of Listed
        What lies in it, but for this description and its preview.

    Returns
    -------
    content : bytes
        JSON-LD.
    """
    people = _people(deposit, files)
    things = [
        _descriptor(),
        _root(deposit, files, people),
        *(_file(one, people) for one in files),
        _instrument(deposit),
        *_tools(deposit).values(),
        *(_person(name, people[name]) for name in people),
        _software(),
        *_actions(deposit, files, people),
        *_words(deposit, files),
    ]
    whole = {"@context": CONTEXT, "@graph": things}
    return (json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def _descriptor() -> Thing:
    return {
        "@id": CRATE,
        "@type": "CreativeWork",
        "name": "Description of this archive",
        "description": "Tells of every file in the archive what it is",
        "about": _to(ROOT),
        "conformsTo": _to(PROFILE),
    }


def _root(deposit: Deposit, files: Sequence[Listed], people: Mapping[str, str]) -> Thing:
    record = deposit.record
    makers = _all_of(_to(people[name]) for name in deposit.by)
    root: Thing = {
        "@id": ROOT,
        "@type": "Dataset",
        "name": deposit.title,
        "description": deposit.about,
        "datePublished": deposit.when.date().isoformat(),
        "dateCreated": deposit.measured_on,
        "license": _to(_licence(deposit)),
        "author": makers,
        "publisher": makers,
        "identifier": _to(NUMBER),
        "about": _to(INSTRUMENT),
        "mentions": [_to(SURVEY), _to(ARCHIVING)],
        "hasPart": [_to(one.path) for one in files],
    }
    if record.place:
        root["contentLocation"] = _to(PLACE)
    if record.keywords:
        root["keywords"] = _all_of(record.keywords)
    if deposit.earlier:
        root["isBasedOn"] = _to(OLDER)
    return root


def _file(one: Listed, people: Mapping[str, str]) -> Thing:
    form: Any = one.form.media
    if one.form.pronom:
        form = [one.form.media, _to(_pronom(one))]
    thing: Thing = {
        "@id": one.path,
        "@type": "File",
        "name": one.title,
        "description": one.about,
        "encodingFormat": form,
        "contentSize": str(one.sum.size),
    }
    if one.form.media == TABLE:
        thing["conformsTo"] = _to(TABULAR)
    if one.was:
        thing["alternateName"] = one.was
    if one.by:
        thing["author"] = _all_of(_to(people[name]) for name in one.by)
    if one.on:
        thing["dateCreated"] = one.on
    if one.rights:
        thing["copyrightNotice"] = one.rights
    return thing


def _instrument(deposit: Deposit) -> Thing:
    record = deposit.record
    thing: Thing = {
        "@id": INSTRUMENT,
        "@type": "IndividualProduct",
        "name": deposit.instrument,
        "description": f"The instrument of which this archive tells: {deposit.shows}",
        "identifier": _to(NUMBER),
    }
    known = {
        "manufacturer": record.maker,
        "model": record.model,
        "serialNumber": record.serial,
        "productionDate": record.made,
        "category": _all_of(f"{system}: {term}" for system, term in record.classification.items()),
    }
    thing |= {word: value for word, value in known.items() if value}
    if record.owner:
        thing["additionalProperty"] = _to("#owner")
    return thing


def _tools(deposit: Deposit) -> dict[str, Thing]:
    """Return what was measured with, by ``@id``."""
    names = bag_names(deposit.record.tools)
    return {
        f"#tool-{names[name]}": {
            "@id": f"#tool-{names[name]}",
            "@type": "IndividualProduct",
            "name": name,
            "description": words,
        }
        for name, words in deposit.record.tools.items()
    }


def _people(deposit: Deposit, files: Sequence[Listed]) -> dict[str, str]:
    """Return the ``@id`` of everyone who is named, those who made the record first."""
    named = [*deposit.by, *(name for one in files for name in one.by)]
    spelt = {name: name.translate(NO_PATH) for name in named}
    plain = bag_names(spelt.values())
    return {name: f"#person-{plain[spelt[name]]}" for name in spelt}


def _person(name: str, reference: str) -> Thing:
    says = "Named by the record; whether a person or a body, it does not say"
    return {"@id": reference, "@type": "Person", "name": name, "description": says}


def _software() -> Thing:
    return {
        "@id": SOFTWARE,
        "@type": "SoftwareApplication",
        "name": PROGRAM,
        "description": "Checks and shows how the vacuum tubes of a self-playing piano lie in its case; "
        f"{READ_FIRST} tells what it made, and that nobody needs it to read that",
        "version": version(PROGRAM),
        "softwareVersion": version(PROGRAM),
        "url": READ_FIRST,
    }


def _actions(deposit: Deposit, files: Sequence[Listed], people: Mapping[str, str]) -> list[Thing]:
    given = _all_of(_to(one.path) for one in files if one.was)
    brought = _all_of(_to(one.path) for one in files if one.was and not one.path.startswith(MODELS))
    made = _all_of(_to(one.path) for one in files if not one.was)
    agents = _all_of(_to(people[name]) for name in deposit.by)
    survey: Thing = {
        "@id": SURVEY,
        "@type": "CreateAction",
        "name": f"The instrument was written down: {deposit.shows}",
        "description": deposit.record.why or "",
        "agent": agents,
        "object": _to(INSTRUMENT),
        "result": brought,
        "endTime": deposit.measured_on,
    }
    tools = _all_of(_to(reference) for reference in _tools(deposit))
    if tools:
        survey["instrument"] = tools
    archiving: Thing = {
        "@id": ARCHIVING,
        "@type": "CreateAction",
        "name": "The archive was made",
        "description": f"{deposit.program} checked the scene, and made tables, drawings and models of it",
        "instrument": _to(SOFTWARE),
        "object": given,
        "result": made,
        "endTime": deposit.moment,
    }
    return [survey, archiving]


def _words(deposit: Deposit, files: Sequence[Listed]) -> list[Thing]:
    """Return what the others refer to: number, rights, place, owner, forms, an older record."""
    record = deposit.record
    words: list[Thing] = [
        {
            "@id": NUMBER,
            "@type": "PropertyValue",
            "name": "object number",
            "description": "The owner's number for the instrument",
            "propertyID": "object number",
            "value": deposit.object_number,
        },
        {
            "@id": _licence(deposit),
            "@type": "CreativeWork",
            "name": record.licence or "Rights in this record",
            "description": record.rights or "",
        },
    ]
    if any(one.form.media == TABLE for one in files):
        words.append(
            {
                "@id": TABULAR,
                "@type": "CreativeWork",
                "name": "Metadata Vocabulary for Tabular Data",
                "description": "How columns of CSV files are described; W3C Recommendation, 17 December 2015",
            }
        )
    if record.place:
        where = "Where the instrument stands"
        words.append({"@id": PLACE, "@type": "Place", "name": record.place, "description": where})
    if record.owner:
        words.append(
            {
                "@id": "#owner",
                "@type": "PropertyValue",
                "name": "owner",
                "description": "Whose the instrument was",
                "value": record.owner,
            }
        )
    if deposit.earlier:
        words.append(_older(deposit))
    forms = {_pronom(one): one.form for one in files if one.form.pronom}
    for reference, form in sorted(forms.items()):
        says = f"{form.media}; {form.standard}".removesuffix("; ")
        words.append({"@id": reference, "@type": "WebPage", "name": form.name, "description": says})
    return words


def _older(deposit: Deposit) -> Thing:
    earlier = deposit.earlier
    assert earlier is not None
    thing: Thing = {
        "@id": OLDER,
        "@type": "CreativeWork",
        "name": earlier.says or f"Older record {earlier.identifier}",
        "description": f"The record that this one takes the place of: {earlier}",
    }
    if earlier.identifier:
        thing["identifier"] = earlier.identifier
    return thing


def _licence(deposit: Deposit) -> str:
    """Return the ``@id`` of who may do what: the licence's address, where the record names one."""
    said = deposit.record.licence
    if not said:
        return RIGHTS
    return said if "://" in said else f"{SPDX}{said}"


def _pronom(one: Listed) -> str:
    return f"{PRONOM}{one.form.pronom}"


def _all_of(things: Iterable[Any]) -> Any:
    """Return things as a value: one by itself, several as a list."""
    some = list(things)
    return some[0] if len(some) == 1 else some


def _to(reference: str) -> dict[str, str]:
    return {"@id": reference}
