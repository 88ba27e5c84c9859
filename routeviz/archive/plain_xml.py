"""How XML is written in an archive: UTF-8, indented, and with no sign in it that XML 1.0 does not allow."""

import xml.etree.ElementTree as ET
from collections.abc import Mapping

INDENT = " "


def element(name: str, text: str = "", **attributes: str) -> ET.Element:
    """Return an element with a text; in the names of attributes ``__`` stands for a colon.

    Parameters
    ----------
    name : str
        With its prefix: ``dc:title``.
    text : str
        What stands in it.
    attributes : str
        In the order given.

    Returns
    -------
    element : Element
        New.
    """
    made = ET.Element(name, {key.replace("__", ":"): allowed(value) for key, value in attributes.items()})
    if text:
        made.text = allowed(text)
    return made


def within(name: str, *inner: ET.Element | None, **attributes: str) -> ET.Element:
    """Return an element with others in it, those that are None left out."""
    made = element(name, **attributes)
    made.extend(one for one in inner if one is not None)
    return made


def maybe(name: str, text: str | None, **attributes: str) -> ET.Element | None:
    """Return an element with a text; None where there is no text."""
    return element(name, text, **attributes) if text else None


def xml_bytes(root: ET.Element, spaces: Mapping[str, str]) -> bytes:
    """Return a document.

    Parameters
    ----------
    root : Element
        Its names have prefixes.
    spaces : mapping of str
        Namespaces by prefix, none or any; an empty prefix for those names that have none.

    Returns
    -------
    content : bytes
        The same for the same elements.
    """
    for prefix, space in spaces.items():
        root.set(f"xmlns:{prefix}" if prefix else "xmlns", space)
    ET.indent(root, INDENT)
    text = ET.tostring(root, encoding="unicode", short_empty_elements=True)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def allowed(text: str) -> str:
    """Return a text with a mark in place of each sign that XML 1.0 does not allow."""
    return "".join(sign if _is_allowed(ord(sign)) else "\ufffd" for sign in text)


def _is_allowed(code: int) -> bool:
    if code < 0x20:
        return code in (0x9, 0xA, 0xD)
    return not (0xD800 <= code <= 0xDFFF or code in (0xFFFE, 0xFFFF))
