"""Documents are read as another reader reads them, or refused: nothing endless, nothing that calls others."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routeviz.archive.documents import DEEPEST, MOST_BYTES, json_in, xml_problems

LAUGHS = b"""<?xml version="1.0"?>
<!DOCTYPE lolz [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>
<lolz>&c;</lolz>"""
CALLS = b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><x>&e;</x>'

VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**60), 2**60)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_a_value_is_read_as_it_was_written(value):
    assert json_in("a.json", json.dumps(value).encode()) == (value, ())


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"[" * 100_000, "lists or tables too deep in one another"),
        (b"[" * 100_000 + b"]" * 100_000, "lists or tables too deep in one another"),
        (b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1), "lists or tables too deep in one another"),
        (b'{"a":' * 70 + b"1" + b"}" * 70, "lists or tables too deep in one another"),
        (b'{"a": 1, "a": 2}', "the key 'a' twice in one table"),
        (b"[NaN]", "the number NaN"),
        (b"-Infinity", "the number -Infinity"),
        (b"[1,\n2", "no JSON: Expecting ',' delimiter"),
        (b"\xef\xbb\xbf{}", "no JSON: Unexpected UTF-8 BOM (decode using utf-8-sig)"),
        (b'"\xff"', "letters that are not UTF-8"),
        (b"", "no JSON: Expecting value"),
        (b"9" * 5000, "Exceeds the limit"),
        (b" " * (MOST_BYTES + 1), "34 MB, too large to be read"),
    ],
)
def test_what_readers_might_take_differently_is_refused(content, found):
    value, [problem] = json_in("a.json", content)
    assert value is None
    assert problem.found.startswith(found)


def test_lists_as_deep_as_they_may_be_are_read():
    assert json_in("a.json", b"[" * DEEPEST + b"]" * DEEPEST)[1] == ()


@pytest.mark.parametrize(
    "content",
    [
        b"<a/>",
        '<a xmlns:b="c"><b:d e="é">f</b:d><![CDATA[<]]></a>'.encode(),
        b"<?xml version='1.0' encoding='UTF-8'?><a/>",
    ],
)
def test_well_formed_xml_is_taken(content):
    assert xml_problems("a.xml", content) == ()


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (LAUGHS, "a document type"),
        (CALLS, "a document type"),
        (b"<!DOCTYPE svg><svg/>", "a document type"),
        (b"<a>" * 70 + b"</a>" * 70, "elements more than 64 deep"),
        (b"<a>" * 1_000_000, "elements more than 64 deep"),
        (b"<a><b></a>", "no XML: mismatched tag"),
        (b"<a>&nbsp;</a>", "no XML: undefined entity"),
        (b"<b:a/>", "no XML: unbound prefix"),
        (b"<a>\xff</a>", "no XML: not well-formed (invalid token)"),
        (b"<a>\x01</a>", "no XML: not well-formed (invalid token)"),
        (b"", "no XML: no element found"),
        (b'<?xml version="1.0" encoding="shift_jis"?><a/>', "no XML: multi-byte encodings are not supported"),
        (b'<?xml version="1.0" encoding="nobodys"?><a/>', "no XML: unknown encoding"),
        (b"<a/>" + b" " * MOST_BYTES, "34 MB, too large to be read"),
    ],
)
def test_xml_that_has_no_end_or_calls_others_is_refused(content, found):
    [problem] = xml_problems("a.xml", content)
    assert problem.found.startswith(found)


def test_xml_that_is_refused_is_refused_by_line():
    assert [one.line for one in xml_problems("a.xml", b"<a>\n\n<b></a>")] == [3]
