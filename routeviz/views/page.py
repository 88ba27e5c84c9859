"""The page as one file: template, style, viewer and data put together; nothing is written or sent here.

What the data says is in page_data.py; how the page is served while its scene changes, in serving.py.
"""

import hashlib
import html
import json
import re
from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from routeviz.views.lines import plain

STYLES = (
    "style.css",
    "lists.css",
    "parts.css",
    "case.css",
    "narrow.css",
    "bench.css",
    "sheets.css",
    "flat.css",
    "print.css",
)  # in this order: the later may overrule the earlier
# Inside a script element an HTML reader looks for tags and comments, and an old script reader for line ends.
ESCAPED = str.maketrans({sign: f"\\u{ord(sign):04x}" for sign in "<>&\u2028\u2029"})
_BLANK = re.compile(r"\{\{([a-z]+)\}\}")


def data_text(data: Mapping[str, Any]) -> str:
    """Return the page's data as JSON on one line, in which nothing can end the element that holds it.

    Parameters
    ----------
    data : mapping
        As page_data.py makes it; the same data give the same text.

    Returns
    -------
    text : str
        Without ``<``, ``>`` and ``&``, which are spelt out.
    """
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).translate(ESCAPED)


def stamp_of(text: str) -> str:
    """Return by which a page and its server tell whether they speak of the same data."""
    return hashlib.sha256(in_bytes(text)).hexdigest()[:16]


def in_bytes(text: str) -> bytes:
    """Return a text in UTF-8; a sign that has none, as in a file's name, is spelt out as JSON does it."""
    return text.encode("utf-8", "backslashreplace")


def page_bytes(title: str, text: str, *, served: bool = False) -> bytes:
    """Return the whole page.

    Parameters
    ----------
    title : str
        What the browser's tab is to say.
    text : str
        The data, from ``data_text``.
    served : bool
        Whether it may ask the server that it came from what has changed; else it may ask nobody anything.

    Returns
    -------
    page : bytes
        HTML that needs no other file; the same for the same arguments.
    """
    style, viewer = "\n".join(_part(name) for name in STYLES), _part("viewer.js")
    policy = {
        "default-src": "'none'",
        "script-src": _only(viewer),
        "style-src": _only(style),
        "img-src": "data:",  # the empty sign on the tab
        "connect-src": "'self'" if served else "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    blanks = {
        "live": f' data-live="{stamp_of(text)}"' if served else "",
        "policy": "; ".join(f"{what} {whence}" for what, whence in policy.items()),
        "title": html.escape(plain(title)),
        "style": style,
        "data": text,
        "viewer": viewer,
    }
    return in_bytes(_BLANK.sub(lambda blank: blanks[blank[1]], _part("page.html")))


def _only(inside: str) -> str:
    """Return what lets a browser take up an element that holds just this."""
    return f"'sha256-{b64encode(hashlib.sha256(inside.encode()).digest()).decode()}'"


@cache
def _part(name: str) -> str:
    return files("routeviz.views").joinpath("page", name).read_text(encoding="utf-8")
