"""Makes text of bytes, whatever program wrote them."""

from __future__ import annotations

import codecs


def decoded(data: bytes) -> str | None:
    r"""Return the text of a file: UTF-8 with or without a mark, UTF-16, else Windows-1252; None when it is no text.

    Examples
    --------
    >>> decoded("año".encode("utf-8-sig")), decoded("año".encode("utf-16")), decoded("año".encode("cp1252"))
    ('año', 'año', 'año')
    >>> decoded(b"\x89PNG\x00\x01") is None
    True
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _strict(data, "utf-16")
    if b"\x00" in data[:65536]:
        return _unmarked_utf16(data)
    text = _strict(data, "utf-8-sig")
    if text is None:
        text = data.decode("cp1252", errors="replace")
    return text if _is_readable(text[:65536]) and "\x00" not in text else None


def _strict(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None


def _unmarked_utf16(data: bytes) -> str | None:
    """Read UTF-16 without a mark, known by a zero in every second byte of plain Latin text."""
    head = data[:4096]
    for encoding, zeros in (("utf-16-le", head[1::2]), ("utf-16-be", head[::2])):
        if zeros.count(0) > 0.9 * len(zeros) > 0:
            return _strict(data, encoding)
    return None


def _is_readable(text: str) -> bool:
    """Tell whether hardly any character is a control code or was lost in decoding."""
    odd = sum((ch < " " and ch not in "\t\r\n\f") or ch == "\ufffd" for ch in text)
    return odd * 50 <= len(text)
