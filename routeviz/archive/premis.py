"""What happened to the files, and how each was when it was given in: objects, events, agents and rights.

PREMIS 3.0, the Library of Congress's dictionary for preservation. Objects, events, agents and rights stand as
its schema has them, which was read in part; formats, from memory. Files made after this one, the crate's
own description and its preview, stand in the manifest alone.
"""

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from importlib.metadata import version

from routeviz.archive.deposit import PROGRAM, Deposit
from routeviz.archive.evidence import FOLDER as EVIDENCE
from routeviz.archive.filing import Form, Listed
from routeviz.archive.plain_xml import element, maybe, within, xml_bytes
from routeviz.views.listing import summary

SPACES = {"": "http://www.loc.gov/premis/v3", "xsi": "http://www.w3.org/2001/XMLSchema-instance"}
LOCAL = "local"
SOFTWARE = "agent-routeviz"


def premis(deposit: Deposit, files: Sequence[Listed]) -> bytes:
    """Return what a repository wants to know of the files.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.
    files : sequence of Listed
        What lies in it, as far as it is made.

    Returns
    -------
    content : bytes
        XML.
    """
    whole = within(
        "premis",
        *(_file(one) for one in files),
        *_events(deposit, files),
        *(_person(name, number) for number, name in enumerate(deposit.by, 1)),
        _software(),
        _rights(deposit),
        version="3.0",
    )
    return xml_bytes(whole, SPACES)


def _file(one: Listed) -> ET.Element:
    fixity = within(
        "fixity",
        element("messageDigestAlgorithm", "SHA-512"),
        element("messageDigest", one.sum.sha512),
        element("messageDigestOriginator", PROGRAM),
    )
    characteristics = within(
        "objectCharacteristics",
        element("compositionLevel", "0"),
        fixity,
        element("size", str(one.sum.size)),
        _form(one.form),
    )
    return within(
        "object",
        _identified("object", _number(one)),
        characteristics,
        maybe("originalName", one.was),
        xsi__type="file",
    )


def _form(form: Form) -> ET.Element:
    designation = within("formatDesignation", element("formatName", form.media))
    registry = within(
        "formatRegistry", element("formatRegistryName", "PRONOM"), element("formatRegistryKey", form.pronom)
    )
    return within(
        "format",
        designation,
        registry if form.pronom else None,
        element("formatNote", f"{form.name}; as its name tells"),
    )


def _events(deposit: Deposit, files: Sequence[Listed]) -> Iterator[ET.Element]:
    scene = [one for one in files if one.was and not one.path.startswith(f"{EVIDENCE}/")][:1]
    people = [(_person_number(number), "implementer") for number in range(1, len(deposit.by) + 1)]
    yield _event("capture", deposit.measured_on, _captured(deposit), "", people, scene)
    program = [(SOFTWARE, "executing program")]
    lay = deposit.lay
    outcome = summary(lay.findings, len(lay.tubes))
    yield _event("validation", deposit.moment, _checked(deposit), outcome, program, scene)
    made = "files made from the scene, in one go; the date is that of the archive"
    yield _event("creation", deposit.moment, made, f"{len(files)} files", program, [])
    sums = "SHA-512 of every file, as it stands here and in manifest-sha512.txt"
    yield _event("message digest calculation", deposit.moment, sums, "success", program, files)


def _captured(deposit: Deposit) -> str:
    tools = "; ".join(f"{name}: {words}" for name, words in deposit.record.tools.items())
    return f"{deposit.shows}: measured and written down as a scene{f', with {tools}' if tools else ''}"


def _checked(deposit: Deposit) -> str:
    proved = " ".join(deposit.lay.proved)
    return (
        f"the scene was checked by {deposit.program}; findings stand in tables/findings.csv. {proved}".strip()
    )


def _event(
    kind: str,
    when: str,
    detail: str,
    outcome: str,
    agents: Sequence[tuple[str, str]],
    objects: Sequence[Listed],
) -> ET.Element:
    linked = [
        within(
            "linkingAgentIdentifier",
            element("linkingAgentIdentifierType", LOCAL),
            element("linkingAgentIdentifierValue", agent),
            element("linkingAgentRole", role),
        )
        for agent, role in agents
    ]
    linked += [
        within(
            "linkingObjectIdentifier",
            element("linkingObjectIdentifierType", LOCAL),
            element("linkingObjectIdentifierValue", _number(one)),
        )
        for one in objects
    ]
    return within(
        "event",
        _identified("event", f"event-{kind.replace(' ', '-')}"),
        element("eventType", kind),
        element("eventDateTime", when),
        within("eventDetailInformation", element("eventDetail", detail)),
        within("eventOutcomeInformation", element("eventOutcome", outcome)) if outcome else None,
        *linked,
    )


def _person(name: str, number: int) -> ET.Element:
    return within(
        "agent",
        _identified("agent", _person_number(number)),
        element("agentName", name),
        element("agentType", "person"),
    )


def _software() -> ET.Element:
    return within(
        "agent",
        _identified("agent", SOFTWARE),
        element("agentName", PROGRAM),
        element("agentType", "software"),
        element("agentVersion", version(PROGRAM)),
    )


def _rights(deposit: Deposit) -> ET.Element:
    record = deposit.record
    other = within(
        "otherRightsInformation",
        element("otherRightsBasis", record.licence or "as the record says"),
        element("otherRightsNote", record.rights or ""),
    )
    statement = within(
        "rightsStatement",
        _identified("rightsStatement", "rights-record"),
        element("rightsBasis", "other"),
        other,
    )
    return within("rights", statement)


def _identified(what: str, value: str) -> ET.Element:
    inner = (element(f"{what}IdentifierType", LOCAL), element(f"{what}IdentifierValue", value))
    return within(f"{what}Identifier", *inner)


def _number(one: Listed) -> str:
    return f"data/{one.path}"


def _person_number(number: int) -> str:
    return f"agent-{number}"
