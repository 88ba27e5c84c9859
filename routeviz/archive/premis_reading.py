"""Are the files of an archive those whose sums its PREMIS record tells? It was written before it was sealed.

So one who seals an archive anew after a change has to lie here too. How it is written is in premis.py.
"""

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping

from routeviz.archive.bag_reading import INSIDE, quoted, wrong
from routeviz.archive.documents import xml_problems
from routeviz.archive.premis import SPACES
from routeviz.errors import Problem

PREMIS = "metadata/premis.xml"
SPACE = f"{{{SPACES['']}}}"
IDENTIFIER = f"{SPACE}objectIdentifier/{SPACE}objectIdentifierValue"
CHARACTERISTICS = f"{SPACE}objectCharacteristics"
DIGEST = f"{CHARACTERISTICS}/{SPACE}fixity/{SPACE}messageDigest"
SIZE = f"{CHARACTERISTICS}/{SPACE}size"


def premis_problems(content: bytes, files: Mapping[str, tuple[str, int]]) -> Iterator[Problem]:
    """Yield in what a PREMIS record tells of other files than those that lie in the archive.

    Parameters
    ----------
    content : bytes
        Of the record; of one that cannot be read nothing is told here.
    files : mapping of tuple
        SHA-512 and size of each file, by its path in the bag.

    Yields
    ------
    problem : Problem
        For a file that is not there, or is another one.
    """
    if xml_problems(PREMIS, content):
        return
    for one in ET.fromstring(content).iter(f"{SPACE}object"):  # no document type, no entities: see above
        path = one.findtext(IDENTIFIER, "")
        told = one.findtext(DIGEST, ""), one.findtext(SIZE, "")
        if path not in files:
            found = f"tells of the file {quoted(path)}, which is not there"
        elif told != (files[path][0], str(files[path][1])):
            found = f"the file {quoted(path)} is another one than it tells of: other sum or size"
        else:
            continue
        yield wrong(INSIDE + PREMIS, found, "the sums and sizes of the files that lie there")
