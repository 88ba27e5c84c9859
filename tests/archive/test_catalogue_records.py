"""Dublin Core, LIDO and PREMIS of an archive, read back by a general XML reader.

Which elements LIDO demands and in which order they stand was read in lido-v1.0.xsd (ICOM CIDOC, 8 November
2010; lido-schema.org). Namespaces are those of the published schemas. Dublin Core: the fifteen elements of
version 1.1.
"""

from hashlib import sha512

import pytest
from archive.deposits import FULL, HOSTILE, a_deposit, filed
from lxml import etree

from routeviz.archive.deposit import Earlier
from routeviz.archive.plain_xml import element, xml_bytes

DC = "{http://purl.org/dc/elements/1.1/}"
LIDO = {"lido": "http://www.lido-schema.org"}
PREMIS = {"p": "http://www.loc.gov/premis/v3"}
FIFTEEN = {
    "title", "creator", "subject", "description", "publisher", "contributor", "date", "type", "format",
    "identifier", "source", "language", "relation", "coverage", "rights",
}  # fmt: skip


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    return filed(a_deposit(tmp_path_factory.mktemp("scene"), **FULL))


def root(files, name):
    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    return etree.fromstring(files[f"metadata/{name}.xml"].content, parser)


def said(files, path, **spaces):
    return [text.strip() for text in root(files, "lido").xpath(f"//{path}/text()", namespaces=LIDO)]


def test_every_document_says_that_it_is_utf_8_and_is_indented(files):
    for name in ("dc", "lido", "premis"):
        content = files[f"metadata/{name}.xml"].content
        assert content.startswith(b'<?xml version="1.0" encoding="UTF-8"?>\n<')
        assert content.endswith(b">\n")
        assert b"\n  <" in content or name == "dc"


# ── Dublin Core ──────────────────────────────────────────────────────────────────────────────────
def test_all_fifteen_words_of_dublin_core_are_said_and_no_other(files):
    document = root(files, "dc")
    assert etree.QName(document).namespace == "http://www.openarchives.org/OAI/2.0/oai_dc/"
    assert {one.tag for one in document} == {f"{DC}{word}" for word in FIFTEEN}


def test_dublin_core_says_what_the_record_says(files):
    document = root(files, "dc")

    def texts(word):
        return [one.text for one in document.iter(f"{DC}{word}")]

    assert texts("creator") == FULL["by"]
    assert texts("contributor") == ["B. Looker"]
    assert texts("identifier") == ["TM 1926.12"]
    assert texts("date") == ["2026-05-14"]
    assert texts("coverage") == ["Store 2, <left> & low", "made about 1926"]
    assert texts("rights") == ["All who look after it may use it.", "CC-BY-4.0"]
    assert "Hornbostel-Sachs: 314.122-4-8" in texts("subject")
    assert any(FULL["supersedes"] in text for text in texts("relation"))


def test_what_nobody_said_is_left_out(tmp_path):
    document = root(filed(a_deposit(tmp_path)), "dc")
    assert FIFTEEN - {etree.QName(one).localname for one in document} == {
        "contributor",
        "relation",
        "coverage",
    }
    assert all(one.text and one.text.strip() for one in document)


# What may stand in an element, in its order; "*" after what must be there. Some that an archive does not use
# are left out.
IN_ORDER = {
    "lidoWrap": "lido*",
    "lido": "lidoRecID* objectPublishedID category descriptiveMetadata* administrativeMetadata*",
    "descriptiveMetadata": "objectClassificationWrap* objectIdentificationWrap* eventWrap objectRelationWrap",
    "administrativeMetadata": "rightsWorkWrap recordWrap* resourceWrap",
    "objectClassificationWrap": "objectWorkTypeWrap* classificationWrap",
    "objectWorkTypeWrap": "objectWorkType*",
    "objectWorkType": "conceptID term",
    "classificationWrap": "classification",
    "classification": "conceptID term",
    "objectIdentificationWrap": "titleWrap* inscriptionsWrap repositoryWrap displayStateEditionWrap "
    "objectDescriptionWrap objectMeasurementsWrap",
    "titleWrap": "titleSet*",
    "titleSet": "appellationValue* sourceAppellation",
    "inscriptionsWrap": "inscriptions",
    "inscriptions": "inscriptionTranscription inscriptionDescription",
    "repositoryWrap": "repositorySet",
    "repositorySet": "repositoryName workID repositoryLocation",
    "repositoryName": "legalBodyID legalBodyName legalBodyWeblink",
    "legalBodyName": "appellationValue* sourceAppellation",
    "repositoryLocation": "placeID namePlaceSet",
    "namePlaceSet": "appellationValue* sourceAppellation",
    "objectDescriptionWrap": "objectDescriptionSet",
    "objectDescriptionSet": "descriptiveNoteID descriptiveNoteValue sourceDescriptiveNote",
    "objectMeasurementsWrap": "objectMeasurementsSet",
    "objectMeasurementsSet": "displayObjectMeasurements objectMeasurements",
    "objectMeasurements": "measurementsSet extentMeasurements qualifierMeasurements",
    "measurementsSet": "measurementType* measurementUnit* measurementValue*",
    "eventWrap": "eventSet",
    "eventSet": "displayEvent event",
    "event": "eventID eventType* roleInEvent eventName eventActor culture eventDate periodName eventPlace "
    "eventMethod eventMaterialsTech thingPresent relatedEventSet eventDescriptionSet",
    "eventType": "conceptID term",
    "eventActor": "displayActorInRole actorInRole",
    "actorInRole": "actor* roleActor attributionQualifierActor extentActor",
    "actor": "actorID nameActorSet*",
    "nameActorSet": "appellationValue* sourceAppellation",
    "roleActor": "conceptID term",
    "eventDate": "displayDate date",
    "eventMethod": "conceptID term",
    "eventDescriptionSet": "descriptiveNoteID descriptiveNoteValue sourceDescriptiveNote",
    "rightsWorkWrap": "rightsWorkSet",
    "rightsWorkSet": "rightsType rightsDate rightsHolder creditLine",
    "rightsType": "conceptID term",
    "recordWrap": "recordID* recordType* recordSource* recordRights recordInfoSet",
    "recordType": "conceptID term",
    "recordSource": "legalBodyID legalBodyName legalBodyWeblink",
    "recordRights": "rightsType rightsDate rightsHolder creditLine",
    "recordInfoSet": "recordInfoID recordInfoLink recordMetadataDate",
}


# ── LIDO ─────────────────────────────────────────────────────────────────────────────────────────
def test_lido_has_what_its_schema_demands_in_order(files):
    lido = root(files, "lido").find("lido:lido", LIDO)
    assert [etree.QName(one).localname for one in lido] == [
        "lidoRecID",
        "descriptiveMetadata",
        "administrativeMetadata",
    ]
    described, administered = lido[1], lido[2]
    assert [etree.QName(one).localname for one in described] == [
        "objectClassificationWrap",
        "objectIdentificationWrap",
        "eventWrap",
    ]
    assert [etree.QName(one).localname for one in administered] == ["rightsWorkWrap", "recordWrap"]
    language = "{http://www.w3.org/XML/1998/namespace}lang"
    assert (described.get(language), administered.get(language)) == ("en-GB", "en")
    type_of = "{http://www.lido-schema.org}type"
    assert lido[0].get(type_of)
    for path in (
        "lido:objectWorkTypeWrap/lido:objectWorkType/lido:term",
        "lido:titleWrap/lido:titleSet/lido:appellationValue",
        "lido:recordWrap/lido:recordID",
        "lido:recordWrap/lido:recordType/lido:term",
        "lido:recordWrap/lido:recordSource/lido:legalBodyName/lido:appellationValue",
    ):
        assert all(text for text in said(files, path)), path
        assert said(files, path), path


@pytest.mark.parametrize("said_too", [{}, FULL])
def test_every_element_of_lido_and_premis_stands_where_its_schema_has_it(said_too, tmp_path):
    made = filed(a_deposit(tmp_path, **said_too))
    assert_in_order(root(made, "lido"), IN_ORDER)
    assert_in_order(root(made, "premis"), PREMIS_IN_ORDER)


def assert_in_order(document, in_order):
    for one in document.iter():
        name, inner = etree.QName(one).localname, [etree.QName(child).localname for child in one]
        if not inner:
            assert (one.text or "").strip(), name
            continue
        known = in_order[name].split()
        order = [word.rstrip("*") for word in known]
        assert [order.index(child) for child in inner] == sorted(order.index(child) for child in inner), name
        assert {word.rstrip("*") for word in known if word.endswith("*")} <= set(inner), name


def test_lido_tells_the_instrument_who_made_it_and_who_wrote_it_down(files):
    assert said(files, "lido:workID") == ["TM 1926.12"]
    assert said(files, "lido:titleSet/lido:appellationValue") == ["Thistlebank No. 4"]
    assert said(files, "lido:eventType/lido:term") == ["Production", "Documenting"]
    actors = "lido:eventActor//lido:appellationValue"
    assert said(files, actors) == ["Thistle & Sons", *FULL["by"]]
    assert said(files, "lido:eventDate/lido:displayDate") == ["about 1926", "2026-05-14"]
    assert said(files, "lido:eventMethod/lido:term") == [
        f"{name}: {words}" for name, words in FULL["tools"].items()
    ]
    assert said(files, "lido:repositoryName//lido:appellationValue") == ["Museum of Thistles"]
    assert [text for text in said(files, "lido:descriptiveNoteValue") if text.startswith("Not known: ")] == [
        f"Not known: {one}" for one in FULL["not_known"]
    ]


def test_lido_tells_how_large_that_is_which_the_scene_describes(files):
    # The rail begins at x 33.78, is 10 wide, 40 deep from y -20, and goes from z 40 to 60; the nipples stand
    # at x 0, y 0, z 0 and 100, on nothing: so the box goes from x 0, y -20, z 0 to x 43.78, y 20, z 100.
    assert said(files, "lido:measurementType") == ["width", "depth", "height"]
    assert said(files, "lido:measurementUnit") == ["mm"] * 3
    assert [float(text) for text in said(files, "lido:measurementValue")] == [43.8, 40.0, 100.0]


# The same of PREMIS 3.0 (loc.gov/standards/premis/v3); of format and fixity from memory.
PREMIS_IN_ORDER = {
    "premis": "object* event agent rights",
    "object": "objectIdentifier* preservationLevel significantProperties objectCharacteristics* originalName",
    "objectIdentifier": "objectIdentifierType* objectIdentifierValue*",
    "objectCharacteristics": "compositionLevel fixity size format* creatingApplication",
    "fixity": "messageDigestAlgorithm* messageDigest* messageDigestOriginator",
    "format": "formatDesignation formatRegistry formatNote",
    "formatDesignation": "formatName* formatVersion",
    "formatRegistry": "formatRegistryName* formatRegistryKey* formatRegistryRole",
    "event": "eventIdentifier* eventType* eventDateTime* eventDetailInformation eventOutcomeInformation "
    "linkingAgentIdentifier linkingObjectIdentifier",
    "eventIdentifier": "eventIdentifierType* eventIdentifierValue*",
    "eventDetailInformation": "eventDetail",
    "eventOutcomeInformation": "eventOutcome eventOutcomeDetail",
    "linkingAgentIdentifier": "linkingAgentIdentifierType* linkingAgentIdentifierValue* linkingAgentRole",
    "linkingObjectIdentifier": "linkingObjectIdentifierType* linkingObjectIdentifierValue* linkingObjectRole",
    "agent": "agentIdentifier* agentName agentType agentVersion agentNote",
    "agentIdentifier": "agentIdentifierType* agentIdentifierValue*",
    "rights": "rightsStatement",
    "rightsStatement": "rightsStatementIdentifier* rightsBasis* copyrightInformation licenseInformation "
    "statuteInformation otherRightsInformation rightsGranted",
    "rightsStatementIdentifier": "rightsStatementIdentifierType* rightsStatementIdentifierValue*",
    "otherRightsInformation": "otherRightsDocumentationIdentifier otherRightsBasis* "
    "otherRightsApplicableDates otherRightsNote",
}


# ── PREMIS ───────────────────────────────────────────────────────────────────────────────────────
def test_premis_tells_size_and_sum_of_every_file_before_it(files):
    document = root(files, "premis")
    told = {}
    for one in document.findall("p:object", PREMIS):
        name = one.findtext("p:objectIdentifier/p:objectIdentifierValue", namespaces=PREMIS)
        size = one.findtext("p:objectCharacteristics/p:size", namespaces=PREMIS)
        digest = one.findtext("p:objectCharacteristics/p:fixity/p:messageDigest", namespaces=PREMIS)
        told[name] = (int(size), digest)
    made = {
        f"data/{path}": (len(one.content), sha512(one.content).hexdigest())
        for path, one in files.items()
        if not path.startswith(("ro-crate", "metadata/"))
    }
    assert {name: one for name, one in told.items() if not name.startswith("data/evidence/")} == made
    assert sorted(name for name in told if name.startswith("data/evidence/")) == [
        "data/evidence/notes/page-1.txt",
        "data/evidence/photos/bass-end.jpg",
    ]


def test_premis_tells_what_happened_and_who_did_it(files):
    document = root(files, "premis")
    assert document.get("version") == "3.0"
    events = [one.findtext("p:eventType", namespaces=PREMIS) for one in document.findall("p:event", PREMIS)]
    assert events == ["capture", "validation", "creation", "message digest calculation"]
    outcomes = [
        one.findtext(".//p:eventOutcome", namespaces=PREMIS) for one in document.findall("p:event", PREMIS)
    ]
    assert outcomes[1] == "no faults in 1 tube"
    agents = [one.findtext("p:agentName", namespaces=PREMIS) for one in document.findall("p:agent", PREMIS)]
    assert agents == [*FULL["by"], "routeviz"]
    known = set(document.xpath("//p:agentIdentifierValue/text()", namespaces=PREMIS))
    assert set(document.xpath("//p:linkingAgentIdentifierValue/text()", namespaces=PREMIS)) <= known
    objects = set(document.xpath("//p:objectIdentifierValue/text()", namespaces=PREMIS))
    assert set(document.xpath("//p:linkingObjectIdentifierValue/text()", namespaces=PREMIS)) <= objects
    names = document.xpath("//p:originalName/text()", namespaces=PREMIS)
    assert names[0] == "scene.toml"
    assert names[-2:] == ["photos/Bass End.JPG", "notes/page 1.txt"]


# ── signs ────────────────────────────────────────────────────────────────────────────────────────
def test_whatever_a_person_writes_comes_back_as_it_was(tmp_path):
    files = filed(a_deposit(tmp_path, name=HOSTILE, maker=HOSTILE))
    assert said(files, "lido:titleSet/lido:appellationValue") == [HOSTILE]
    assert said(files, "lido:eventActor//lido:appellationValue")[0] == HOSTILE
    assert any(HOSTILE in one.text for one in root(files, "dc").iter(f"{DC}source"))


def test_a_title_with_a_sign_that_xml_does_not_allow_is_told_with_a_mark(tmp_path):
    files = filed(a_deposit(tmp_path, title="A\ufffeB"))
    assert said(files, "lido:titleSet/lido:appellationValue") == ["A\ufffdB"]


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x1b", chr(0xD800), chr(0xDFFF), "\ufffe", "\uffff"])
def test_a_sign_that_xml_does_not_allow_is_marked(sign):
    content = xml_bytes(element("a", f"x{sign}y", b=f"p{sign}q"), {})
    document = etree.fromstring(content)
    assert (document.text, document.get("b")) == ("x\ufffdy", "p\ufffdq")


def test_the_older_archive_is_told_to_catalogues(tmp_path):
    earlier = Earlier(identifier="TM 1", date="1998-02-01", shows="as found", manifest_sha512="ab" * 64)
    files = filed(a_deposit(tmp_path, earlier=earlier))
    (relation,) = [one.text for one in root(files, "dc").iter(f"{DC}relation")]
    for part in ("TM 1", "1998-02-01", "as found", "ab" * 64):
        assert part in relation
