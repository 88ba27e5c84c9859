"""What lies in an archive: files, each with what it is called, what it tells, and how it is written.

Identifiers of forms are those of PRONOM, the register of the UK's National Archives; they are given from
memory, and only where a form has one that is sure.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath

from routeviz.archive.bag import Sum, sum_of

PRONOM = "https://www.nationalarchives.gov.uk/PRONOM/"


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How a file is written.

    Parameters
    ----------
    name : str
        For a reader.
    media : str
        Its media type.
    pronom : str
        Its identifier in PRONOM; empty where none is sure.
    standard : str
        Where it is described; empty where that is not one document.
    """

    name: str
    media: str
    pronom: str = ""
    standard: str = ""


UNKNOWN = Form(name="a form that its name does not tell", media="application/octet-stream")
FORMS: Mapping[str, Form] = {
    "csv": Form(name="CSV, UTF-8", media="text/csv", pronom="x-fmt/18", standard="RFC 4180"),
    "csv-metadata.json": Form(
        name="CSV on the Web",
        media="application/csvm+json",
        pronom="fmt/817",
        standard="W3C tabular-metadata",
    ),
    "glb": Form(name="glTF 2.0, binary", media="model/gltf-binary", standard="ISO/IEC 12113:2022"),
    "html": Form(name="HTML", media="text/html", pronom="fmt/471", standard="WHATWG HTML"),
    "json": Form(name="JSON", media="application/json", pronom="fmt/817", standard="RFC 8259"),
    "jsonld": Form(
        name="JSON-LD 1.0", media="application/ld+json", pronom="fmt/880", standard="RO-Crate 1.3"
    ),
    "obj": Form(name="OBJ mesh", media="model/obj"),
    "pdf": Form(name="PDF", media="application/pdf", standard="ISO 32000"),
    "ply": Form(name="PLY mesh", media="application/octet-stream"),
    "png": Form(name="PNG", media="image/png", pronom="fmt/13", standard="ISO/IEC 15948"),
    "stl": Form(name="STL mesh", media="model/stl"),
    "svg": Form(name="SVG 1.1", media="image/svg+xml", pronom="fmt/92", standard="W3C SVG 1.1"),
    "toml": Form(name="TOML 1.0, UTF-8", media="application/toml", standard="toml.io/en/v1.0.0"),
    "txt": Form(name="plain text, UTF-8", media="text/plain", pronom="x-fmt/111"),
    "x3d": Form(name="X3D, XML encoding", media="model/x3d+xml", standard="ISO/IEC 19775, 19776-1"),
    "xml": Form(name="XML 1.0", media="application/xml", pronom="fmt/101", standard="W3C XML 1.0"),
}
# Nobody looks into these: the form is what the name says.
OF_EVIDENCE: Mapping[str, Form] = {
    **{end: Form(name="JPEG", media="image/jpeg") for end in ("jpg", "jpeg")},
    **{end: Form(name="TIFF", media="image/tiff") for end in ("tif", "tiff")},
    "heic": Form(name="HEIC", media="image/heic"),
    "webp": Form(name="WebP", media="image/webp"),
    "dxf": Form(name="DXF", media="image/vnd.dxf"),
    "e57": Form(name="E57 scan", media="application/octet-stream"),
    "mp4": Form(name="MP4", media="video/mp4"),
    "wav": Form(name="WAVE", media="audio/vnd.wave"),
    "zip": Form(name="ZIP", media="application/zip"),
    **{end: FORMS[end] for end in ("csv", "glb", "html", "json", "obj", "pdf", "ply", "png", "stl", "svg")},
    **{end: FORMS[end] for end in ("txt", "x3d", "xml")},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Filed:
    """A file in an archive that was made for it, or a copy of one that the scene is made of.

    Parameters
    ----------
    path : str
        In ``data/``.
    title, about : str
        What it is called, and what it tells, for a reader.
    content : bytes
        All of it; empty as long as it is not made.
    was : str
        As the scene names it; empty for one that was made.
    """

    path: str
    title: str
    about: str
    content: bytes = b""
    was: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """What is told of a file, whatever its bytes are: those of evidence are never held.

    Parameters
    ----------
    path, title, about, was
        As in ``Filed``.
    sum : Sum
        Of its bytes.
    form : Form
        How it is written.
    by : tuple of str
        Who made it, where that is known.
    on, rights : str
        When, and who may use it, where that is known.
    """

    path: str
    title: str
    about: str
    sum: Sum
    form: Form
    was: str = ""
    by: tuple[str, ...] = ()
    on: str = ""
    rights: str = ""

    @property
    def folder(self) -> str:
        """Return in which folder of ``data/`` it lies; empty for none."""
        return self.path.partition("/")[0] if "/" in self.path else ""


def listed(filed: Filed) -> Listed:
    """Return what is told of a file that was made or copied."""
    return Listed(
        path=filed.path,
        title=filed.title,
        about=filed.about,
        sum=sum_of(filed.content),
        form=form_of(filed.path),
        was=filed.was,
    )


def form_of(path: str) -> Form:
    """Return how a file that routeviz makes is written, as its name tells."""
    name = PurePosixPath(path).name
    if name.startswith("ro-crate-metadata"):
        return FORMS["jsonld"]
    if name.endswith("csv-metadata.json"):
        return FORMS["csv-metadata.json"]
    return FORMS.get(_ending(name), UNKNOWN)


def form_of_evidence(name: str) -> Form:
    """Return how a file is written of which nothing is known but its name."""
    return OF_EVIDENCE.get(_ending(name), UNKNOWN)


def _ending(name: str) -> str:
    return PurePosixPath(name).suffix.removeprefix(".").lower()
