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

ABOUT = """\
record: what a scene is a record of, and the evidence for it.

    [record]
    shows     = "as found"              # or "as restored", "proposed", "hypothetical"
    on        = 2026-05-14              # or "2026-05", or 1926
    by        = ["A. Finder", "B. Keeper"]
    why       = "before anything is taken out"
    object    = "T 17"                  # the owner's number
    rights    = "free to read and to copy, with the names of those who measured"
    name      = "The piano in the long gallery"
    made      = "about 1926"
    not_known = ["who repaired the tubing, and when"]

    [record.tools]
    tape = "steel tape, 3 m, read to 1 mm"

    [[record.evidence]]
    file    = "photos/bar.jpg"          # in the scene's folder or below, with forward slashes
    kind    = "photo"                   # or note, scan, drawing
    caption = "the bar from behind, before the roll box was taken off"
    on      = 2026-05-14

Nothing of this is needed to check or to plan, and no plan goes stale by it. An archive asks for the first
six. There may stand besides: maker, model, serial, place, owner, licence (an address or an SPDX
identifier), language, keywords, classification (by system), supersedes (an older record, on paper too);
with each piece of evidence by and rights. Whether its file is there, only an archive looks.

How sure single values are is told by `routeviz explain doubt`.
"""

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
    maker: OneLine | None = Field(None, description="who made the instrument")
    model: OneLine | None = Field(None, description="the maker's name for such instruments")
    serial: OneLine | None = Field(None, description="the maker's number")
    made: TimeMade | None = Field(None, description="when it was made, as in 'about 1926'")
    place: Text | None = Field(None, description="where it stands")
    owner: Text | None = Field(None, description="who owns it")
    rights: Text | None = Field(None, description="who may do what with this record")
    licence: Licence | None = Field(None, description="an address or an SPDX identifier")
    language: Language | None = Field(None, description="of the texts in the scene: 'en', 'de-CH'")
    keywords: tuple[OneLine, ...] = Field((), description="for catalogues")
    classification: dict[OneLine, OneLine] = Field(
        default_factory=dict, description="by system: 'Hornbostel-Sachs' = '...'"
    )
    tools: dict[OneLine, Text] = Field(
        default_factory=dict, description="what was measured with: a short name and words for each"
    )
    not_known: tuple[Text, ...] = Field((), description="what could not be found out")
    supersedes: Text | None = Field(None, description="an older record that this one takes the place of")
    evidence: tuple[Evidence, ...] = Field((), description="files that bear witness")


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
