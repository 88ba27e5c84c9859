"""The instrument as a museum's catalogue takes it: a small LIDO 1.0 record.

LIDO, Lightweight Information Describing Objects (ICOM CIDOC). Which elements there must be and in which order
they stand was read in its schema, lido-v1.0.xsd of 8 November 2010; no validator was at hand.
"""

import xml.etree.ElementTree as ET
from collections.abc import Iterator

from routeviz.archive.deposit import Deposit
from routeviz.archive.plain_xml import element, maybe, within, xml_bytes
from routeviz.cabinet.solids import extents

SPACES = {"lido": "http://www.lido-schema.org"}
LANGUAGE = "en"
PRODUCTION = "http://terminology.lido-schema.org/lido00007"  # its term, from memory
SIDES = ("width", "depth", "height")


def lido(deposit: Deposit) -> bytes:
    """Return the instrument as a LIDO record.

    Parameters
    ----------
    deposit : Deposit
        What is given into the archive.

    Returns
    -------
    content : bytes
        XML.
    """
    number = deposit.object_number
    whole = within(
        "lido:lido",
        element("lido:lidoRecID", f"{number}/{deposit.shows}/{deposit.measured_on}", lido__type="local"),
        within(
            "lido:descriptiveMetadata",
            _classified(deposit),
            _identified(deposit),
            within("lido:eventWrap", *_events(deposit)),
            xml__lang=deposit.record.language or LANGUAGE,
        ),
        within("lido:administrativeMetadata", _rights(deposit), _record(deposit), xml__lang=LANGUAGE),
    )
    return xml_bytes(within("lido:lidoWrap", whole), SPACES)


def _classified(deposit: Deposit) -> ET.Element:
    work_type = _term("lido:objectWorkType", "self-playing piano or cabinet instrument")
    classes = [
        within("lido:classification", element("lido:term", term), lido__type=system)
        for system, term in deposit.record.classification.items()
    ]
    return within(
        "lido:objectClassificationWrap",
        within("lido:objectWorkTypeWrap", work_type),
        within("lido:classificationWrap", *classes) if classes else None,
    )


def _identified(deposit: Deposit) -> ET.Element:
    record = deposit.record
    repository = within(
        "lido:repositorySet",
        within("lido:repositoryName", _legal_name(record.owner)) if record.owner else None,
        element("lido:workID", deposit.object_number, lido__type="object number"),
        within("lido:repositoryLocation", _place_name(record.place)) if record.place else None,
        lido__type="current",
    )
    notes = [deposit.about, *(f"Not known: {one}" for one in record.not_known)]
    described = [
        within("lido:objectDescriptionSet", element("lido:descriptiveNoteValue", one)) for one in notes
    ]
    return within(
        "lido:objectIdentificationWrap",
        within(
            "lido:titleWrap",
            within(
                "lido:titleSet", element("lido:appellationValue", deposit.instrument, lido__pref="preferred")
            ),
        ),
        _inscriptions(deposit),
        within("lido:repositoryWrap", repository),
        within("lido:objectDescriptionWrap", *described),
        _measured(deposit),
    )


def _inscriptions(deposit: Deposit) -> ET.Element | None:
    record = deposit.record
    known = (("model", record.model), ("serial number", record.serial))
    inscriptions = [
        within("lido:inscriptions", element("lido:inscriptionTranscription", text), lido__type=word)
        for word, text in known
        if text
    ]
    return within("lido:inscriptionsWrap", *inscriptions) if inscriptions else None


def _measured(deposit: Deposit) -> ET.Element | None:
    """Return how large that is of the case which the scene describes."""
    low, high = extents(deposit.lay.cabinet)
    sides = [float(side) for side in high - low]
    if not all(sides):
        return None
    sets = [
        within(
            "lido:measurementsSet",
            element("lido:measurementType", side),
            element("lido:measurementUnit", "mm"),
            element("lido:measurementValue", f"{value:.1f}"),
        )
        for side, value in zip(SIDES, sides, strict=True)
    ]
    measurements = within(
        "lido:objectMeasurements",
        *sets,
        element("lido:extentMeasurements", "all parts of the instrument that the record describes"),
    )
    return within("lido:objectMeasurementsWrap", within("lido:objectMeasurementsSet", measurements))


def _events(deposit: Deposit) -> Iterator[ET.Element]:
    record = deposit.record
    if record.maker or record.made:
        yield _event(
            _term("lido:eventType", "Production", PRODUCTION),
            _actor(record.maker, "maker") if record.maker else None,
            _date(record.made) if record.made else None,
        )
    yield _event(
        _term("lido:eventType", "Documenting"),
        *(_actor(name, "documenter") for name in deposit.by),
        _date(deposit.measured_on),
        *(
            within("lido:eventMethod", element("lido:term", f"{name}: {words}"))
            for name, words in record.tools.items()
        ),
        within("lido:eventDescriptionSet", element("lido:descriptiveNoteValue", deposit.about)),
    )


def _rights(deposit: Deposit) -> ET.Element:
    record = deposit.record
    rights = within(
        "lido:rightsWorkSet",
        _term("lido:rightsType", record.licence) if record.licence else None,
        element("lido:creditLine", record.rights or ""),
    )
    return within("lido:rightsWorkWrap", rights)


def _record(deposit: Deposit) -> ET.Element:
    return within(
        "lido:recordWrap",
        element("lido:recordID", deposit.object_number, lido__type="local"),
        _term("lido:recordType", "item"),
        *(within("lido:recordSource", _legal_name(name)) for name in deposit.by),
        within("lido:recordRights", _term("lido:rightsType", deposit.record.rights or "")),
        within(
            "lido:recordInfoSet",
            element("lido:recordMetadataDate", deposit.moment, lido__type="created"),
        ),
    )


def _event(*inner: ET.Element | None) -> ET.Element:
    return within("lido:eventSet", within("lido:event", *inner))


def _actor(name: str, role: str) -> ET.Element:
    actor = within("lido:actor", within("lido:nameActorSet", element("lido:appellationValue", name)))
    in_role = within("lido:actorInRole", actor, _term("lido:roleActor", role))
    return within("lido:eventActor", in_role)


def _date(said: str) -> ET.Element:
    return within("lido:eventDate", element("lido:displayDate", said))


def _term(name: str, term: str, concept: str | None = None) -> ET.Element:
    return within(name, maybe("lido:conceptID", concept, lido__type="URI"), element("lido:term", term))


def _legal_name(name: str) -> ET.Element:
    return within("lido:legalBodyName", element("lido:appellationValue", name))


def _place_name(name: str) -> ET.Element:
    return within("lido:namePlaceSet", element("lido:appellationValue", name))
