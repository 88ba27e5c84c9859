"""A word to take a page apart with the standard library's parser, which knows nothing of how it was made."""

import json
from html.parser import HTMLParser
from typing import Any


class Page(HTMLParser):
    """A page as the standard library's parser finds it: elements, their attributes and own text."""

    def __init__(self, page: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None], list[str]]] = []
        self.comments: list[str] = []
        self.inside = False
        self.feed(page.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs), []))
        self.inside = True

    def handle_endtag(self, tag: str) -> None:
        self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.elements[-1][2].append(data)

    def handle_comment(self, data: str) -> None:
        self.comments.append(data)

    def texts(self, tag: str) -> list[str]:
        """What stands in each element of a kind."""
        return ["".join(text) for name, _, text in self.elements if name == tag]

    def data(self) -> Any:
        """The lay that the page carries."""
        (text,) = ["".join(text) for _, attributes, text in self.elements if attributes.get("id") == "lay"]
        return json.loads(text)

    def policy(self) -> dict[str, str]:
        """What may be fetched and run, by what it is."""
        (said,) = [
            attributes["content"]
            for tag, attributes, _ in self.elements
            if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy"
        ]
        assert said is not None
        return dict(part.split(" ", 1) for part in said.split("; "))
