"""The page as a browser reads it: what the lay says is text; nothing is fetched, and nothing else is run."""

import base64
import hashlib
import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from taken_apart import Page

from routeviz.views.page import data_text, in_bytes, page_bytes, stamp_of

HOSTILE = "</script><img src=x onerror=alert(1)>"
# What ends, opens or comments out an element, or a line, in one reader or another.
SIGNS = [
    "<",
    ">",
    "&",
    "</script",
    "<!--",
    "-->",
    "]]>",
    "\u2028",
    "\u2029",
    "\0",
    "\n",
    "\ud800",
    "{{viewer}}",
    '"',
    "\\",
]
TEXTS = st.lists(st.sampled_from(SIGNS) | st.text(max_size=3), max_size=8).map("".join)
DATA = st.recursive(
    TEXTS | st.integers() | st.none() | st.booleans(), lambda one: st.lists(one) | st.dictionaries(TEXTS, one)
)


def a_page(data: Any = None, *, title: str = "A small case", served: bool = False) -> Page:
    """The page of some data, taken apart again."""
    return Page(page_bytes(title, data_text({} if data is None else data), served=served))


def outline(page: Page) -> list[tuple[str, list[str]]]:
    """The elements of a page and the names of their attributes."""
    return [(tag, sorted(attributes)) for tag, attributes, _ in page.elements]


@given(DATA)
def test_data_are_one_line_without_a_sign_that_ends_an_element_and_are_read_back_as_they_were(
    data: Any,
) -> None:
    text = data_text({"data": data})
    assert not re.search("[<>&\n\r\u2028\u2029\0]", text)
    assert json.loads(text) == {"data": data}
    assert json.loads(in_bytes(text).decode("utf-8")) == {"data": data}


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_refused_as_json_has_none(number: float) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        data_text({"length": number})


@pytest.mark.parametrize(
    "hostile", [HOSTILE, "</title><script>alert(1)</script>", "{{viewer}}", "<!--", "\ud800", "]]>"]
)
def test_a_hostile_text_changes_no_element_and_is_read_back(hostile: str) -> None:
    plain, page = a_page({"a": "b"}), a_page({hostile: [hostile]}, title=hostile)
    assert outline(page) == outline(plain)
    assert page.data() == {hostile: [hostile]}
    assert page.comments == plain.comments
    assert page.texts("title") == ["\\ud800" if hostile == "\ud800" else hostile]


def test_a_title_that_would_turn_the_line_round_is_spelt_out() -> None:
    assert a_page(title="a\u202eb").texts("title") == ["a\\u202eb"]


def test_only_what_stands_in_the_page_is_run_and_nothing_is_fetched() -> None:
    page = a_page({"title": HOSTILE}, title=HOSTILE)
    policy = page.policy()
    for what in ("default-src", "connect-src", "base-uri", "form-action"):
        assert policy[what] == "'none'"
    assert policy["img-src"] == "data:"
    _, script = page.texts("script")
    (style,) = page.texts("style")
    for what, inside in (("script-src", script), ("style-src", style)):
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert policy[what] == f"'sha256-{digest}'"
    named = [
        value or ""
        for _, attributes, _ in page.elements
        for name, value in attributes.items()
        if name in ("src", "href")
    ]
    assert all(value.startswith(("#", "data:,")) for value in named)


def test_a_page_that_is_served_may_ask_its_own_server_alone_and_says_what_it_shows() -> None:
    page = a_page({"a": 1}, served=True)
    assert page.policy()["connect-src"] == "'self'"
    (html,) = [attributes for tag, attributes, _ in page.elements if tag == "html"]
    assert html["data-live"] == stamp_of(data_text({"a": 1}))
    (written,) = [attributes for tag, attributes, _ in a_page({"a": 1}).elements if tag == "html"]
    assert "data-live" not in written


def test_the_same_lay_makes_the_same_bytes_and_another_lay_another_stamp() -> None:
    assert page_bytes("a", data_text({"a": 1})) == page_bytes("a", data_text({"a": 1}))
    assert stamp_of(data_text({"a": 1})) != stamp_of(data_text({"a": 2}))


def test_the_licence_of_what_is_bundled_is_in_the_page() -> None:
    _, script = a_page().texts("script")
    assert "MIT" in script
