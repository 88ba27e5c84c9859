"""What makes a folder a bag: the tag files of BagIt 1.0 (RFC 8493), which tell its files and their sums.

What lies in it is made in contents.py; how it comes to be on a disk, in storing.py.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha512

from routeviz.archive.bag_names import is_bag_path

PAYLOAD = "data"
BAGIT, INFO = "bagit.txt", "bag-info.txt"
MANIFEST, TAG_MANIFEST = "manifest-sha512.txt", "tagmanifest-sha512.txt"
DECLARATION = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """What is known of a file's bytes.

    Parameters
    ----------
    size : int
        How many there are.
    sha512 : str
        128 small hexadecimal digits.
    """

    size: int
    sha512: str


def sum_of(content: bytes) -> Sum:
    """Return the sum of some bytes."""
    return Sum(size=len(content), sha512=sha512(content).hexdigest())


def tag_files(info: Sequence[tuple[str, str]], payload: Mapping[str, Sum]) -> dict[str, bytes]:
    """Return the tag files of a bag by their names.

    Parameters
    ----------
    info : sequence of pairs
        Labels and what they say, in the order of bag-info.txt; what is counted is added here.
    payload : mapping of Sum
        Of every file in the bag, by its path in ``data/``.

    Returns
    -------
    files : dict of bytes
        ``bagit.txt``, ``bag-info.txt`` and the two manifests.
    """
    octets = sum(one.size for one in payload.values())
    counted = [("Bag-Size", f"{max(octets, 1) / 1e6:.2g} MB" if octets < 1e7 else f"{octets / 1e6:.0f} MB")]
    counted += [("Payload-Oxum", f"{octets}.{len(payload)}")]
    files = {BAGIT: DECLARATION, INFO: info_of([*info, *counted])}
    files[MANIFEST] = manifest_of({f"{PAYLOAD}/{path}": one for path, one in payload.items()})
    return files | {TAG_MANIFEST: manifest_of({name: sum_of(content) for name, content in files.items()})}


def info_of(said: Sequence[tuple[str, str]]) -> bytes:
    """Return labels with what they say, one on a line; none is folded, as readers differ in unfolding.

    Parameters
    ----------
    said : sequence of pairs
        A label may stand more than once.

    Returns
    -------
    content : bytes
        Of bag-info.txt.

    Raises
    ------
    ValueError
        A label that RFC 8493 does not allow.
    """
    lines = []
    for label, value in said:
        if not label or label != label.strip() or re.search(r"[:\r\n]", label):
            raise ValueError(f"{label!r} cannot be a label: no colon, no line end, no blank at its ends")
        lines.append(f"{label}: {one_line(value)}\n")
    return "".join(lines).encode("utf-8")


def one_line(text: str) -> str:
    """Return a text on one line: blanks and line ends become one blank, what cannot be printed is marked."""
    line = " ".join(text.split())
    return "".join(sign if sign.isprintable() or sign == " " else "\ufffd" for sign in line)


def manifest_of(sums: Mapping[str, Sum]) -> bytes:
    """Return a manifest: a line a file, in the order of their paths.

    Parameters
    ----------
    sums : mapping of Sum
        By path in the bag.

    Returns
    -------
    content : bytes
        Sum, two blanks, path; the rule of names leaves nothing that would have to be escaped.

    Raises
    ------
    ValueError
        A path that does not keep to the rule of names.
    """
    for path in sums:
        if not is_bag_path(path):
            raise ValueError(f"{path!r} cannot be the name of a file in a bag")
    return "".join(f"{sums[path].sha512}  {path}\n" for path in sorted(sums)).encode("ascii")
