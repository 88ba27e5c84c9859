"""What a PDF says of itself in XMP: title, date, what made it, and which kind of PDF/A it declares to be.

Fpdf2 writes one by itself, with the hour at which it runs: two prints of the same pages would differ.
"""

from datetime import UTC, datetime
from xml.sax.saxutils import escape

LEVEL = "PDF/A-2u"  # ISO 19005-2, level U: every letter is embedded and can be read back as Unicode
PART, CONFORMANCE = 2, "U"

FORM = """\
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about=""
    xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:xmp="http://ns.adobe.com/xap/1.0/"
    xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
    xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
   <pdfaid:part>{part}</pdfaid:part>
   <pdfaid:conformance>{conformance}</pdfaid:conformance>
   <dc:format>application/pdf</dc:format>
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
   <xmp:CreatorTool>{creator}</xmp:CreatorTool>
   <xmp:CreateDate>{made}</xmp:CreateDate>
   <xmp:ModifyDate>{made}</xmp:ModifyDate>
   <xmp:MetadataDate>{made}</xmp:MetadataDate>
   <pdf:Producer>{producer}</pdf:Producer>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>"""


def xmp_of(title: str, made: datetime, creator: str, producer: str) -> str:
    """Return what a file says of itself.

    Parameters
    ----------
    title : str
        Of the file; printable.
    made : datetime
        With its time zone.
    creator, producer : str
        What set the pages, and what wrote the file.

    Returns
    -------
    xmp : str
        XML, without the packet that it is put in.
    """
    return FORM.format(
        part=PART,
        conformance=CONFORMANCE,
        title=escape(title),
        made=made.astimezone(UTC).isoformat(timespec="seconds"),
        creator=escape(creator),
        producer=escape(producer),
    )
