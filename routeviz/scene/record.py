"""What does a record show, of what, when and by whom? The head of what is kept, and the evidence for it.

How the single statements are read is in statements.py; how sure each value is, in doubts.py.
"""

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from routeviz.errors import Problem
from routeviz.scene.positions import Positions, problem_at
from routeviz.scene.quantities import Entry
from routeviz.scene.statements import Day, FileBeside, Language, Licence, Names, OneLine, Text, TimeMade

Shows = Literal["as found", "as restored", "proposed", "hypothetical"]


class Evidence(Entry):
    """A file that bears witness: it goes into an archive as it is."""

    file: FileBeside = Field(description="in the scene's folder or below")
    kind: Literal["photo", "note", "scan", "drawing"] = Field(description="photo, note, scan or drawing")
    caption: Text = Field(description="what is to be seen on it")
    by: Names | None = Field(None, description="who made it: one name, or a list")
    on: Day | None = Field(None, description="when it was made")
    rights: Text | None = Field(None, description="who may do what with it; else as for the record")


class Record(Entry):
    """What this scene is a record of. Nothing is asked for here; an archive asks for what it needs."""

    shows: Shows | None = Field(None, description="the state that the scene describes")
    on: Day | None = Field(None, description="when the instrument was in this state, or was measured")
    by: Names | None = Field(None, description="who measured or designed: one name, or a list")
    why: Text | None = Field(None, description="what the record was made for")
    object: OneLine | None = Field(None, description="the owner's number for the instrument")
    name: OneLine | None = Field(None, description="what the instrument is called")
    maker: OneLine | None = None
    model: OneLine | None = None
    serial: OneLine | None = Field(None, description="the maker's number")
    made: TimeMade | None = Field(None, description="when it was made, as in 'about 1926'")
    place: Text | None = Field(None, description="where it stands")
    owner: Text | None = None
    rights: Text | None = Field(None, description="who may do what with this record")
    licence: Licence | None = Field(None, description="an address or an SPDX identifier")
    language: Language | None = Field(None, description="of the texts in the scene: 'en', 'de-CH'")
    keywords: tuple[OneLine, ...] = ()
    classification: dict[str, OneLine] = Field(
        default_factory=dict, description="by system: 'Hornbostel-Sachs' = '...'"
    )
    tools: dict[str, Text] = Field(
        default_factory=dict, description="what was measured with: a short name and words for each"
    )
    not_known: tuple[Text, ...] = Field((), description="what could not be found out")
    supersedes: Text | None = Field(None, description="an older record that this one takes the place of")
    evidence: tuple[Evidence, ...] = ()


def problems_of_record(record: Record | None, at: Positions) -> Iterator[Problem]:
    """Yield what a record says against itself: one file named twice, also in other capitals.

    Parameters
    ----------
    record : Record or None
        Of the scene.
    at : Positions
        Of the scene.

    Yields
    ------
    problem : Problem
        At the second naming.
    """
    first: dict[str, int] = {}
    for index, one in enumerate(record.evidence if record else ()):
        before = first.setdefault(one.file.casefold(), index)
        if before != index:
            found = f"the file {one.file!r} again, as evidence {before + 1}"
            remedy = "keep one of the two, and say all in its caption"
            key = ("record", "evidence", index, "file")
            yield problem_at(at, key, found, "each file once, also by other capitals", remedy)
