"""The files a site is written in: one reader a format, each known by its content.

`kind_of` tells what a file is from its first bytes, without parsing it.
"""

from __future__ import annotations

import re

from courtwright.site.formats.text import decoded

#: So many first bytes tell the kind of a file. [bytes]
HEAD = 16384

_SIGNATURES: tuple[tuple[bytes, str], ...] = (
    (b"LASF", "las"),
    (b"SQLite format 3\x00", "geopackage"),
    (b"\x00\x00\x27\x0a", "shapefile"),
    (b"II*\x00", "geotiff"),
    (b"MM\x00*", "geotiff"),
    (b"II+\x00", "geotiff"),
    (b"MM\x00+", "geotiff"),
    (b"PK\x03\x04", "zip"),
    (b"PK\x05\x06", "zip"),
    (b"%PDF", "pdf"),
    (b"\x89PNG\r\n\x1a\n", "photo"),
    (b"\xff\xd8\xff", "photo"),
    (b"\x93NUMPY", "npy"),
)
#: Comments are passed over whole and never tried again: a file of nothing else would take for ever.
_DXF = re.compile(r"\s*+(?:999[^\S\n]*+\n[^\n]*+\n\s*+)*+0[^\S\n]*+\n\s*+SECTION\b")


def kind_of(head: bytes) -> str:
    r"""Return what a file is: ``landxml``, ``las``, ``geotiff``, ``geopackage``, ``dxf``, ``json``, ``text`` and so on.

    Parameters
    ----------
    head : bytes
        Its first bytes, `HEAD` of them or all.

    Returns
    -------
    str
        ``empty``, ``binary``, or a kind.

    Examples
    --------
    >>> kind_of(b"<?xml version='1.0'?><LandXML>"), kind_of(b"1,2,3,4\n"), kind_of(b"")
    ('landxml', 'text', 'empty')
    """
    if not head.strip():
        return "empty"
    for signature, kind in _SIGNATURES:
        if head.startswith(signature):
            return kind
    if b"Binary DXF\r\n\x1a" in head[:32]:
        return "dxf"
    text = decoded(head) or decoded(head[:-1]) or decoded(head[:-2]) or decoded(head[:-3])
    return _kind_of_text(text) if text is not None else "binary"


def _kind_of_text(text: str) -> str:
    start = text.lstrip("\ufeff \t\r\n")
    if start.startswith("<"):
        return "landxml" if "<LandXML" in text else "xml"
    if start.startswith(("{", "[{", "[[")):
        return "json"
    return "dxf" if _DXF.match(text) else "text"
