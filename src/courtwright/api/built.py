"""Files of the built client, as a browser asks for them: packed where it takes that, and not sent again unchanged."""

from __future__ import annotations

import functools
import hashlib
import re
from pathlib import Path
from types import MappingProxyType

from fastapi import Request, Response

from courtwright.api.raw import has_it

#: Where the build puts the client; nothing is there before.
BUILT = Path(__file__).with_name("static")

#: What is served, and as what. The tables of the machine would answer otherwise on each.
_MEDIA = MappingProxyType(
    {
        ".css": "text/css; charset=utf-8",
        ".html": "text/html; charset=utf-8",
        ".js": "text/javascript; charset=utf-8",
        ".json": "application/json",
        ".mjs": "text/javascript; charset=utf-8",
        ".png": "image/png",
        ".svg": "image/svg+xml",
        ".ttf": "font/ttf",
        ".wasm": "application/wasm",
        ".webmanifest": "application/manifest+json",
        ".woff2": "font/woff2",
    }
)
_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_.-]*")
#: Codings of HTTP with the ends of the files that the build packed so, the best first.
_PACKED = (("br", ".br"), ("gzip", ".gz"))


def is_built() -> bool:
    """Tell whether this copy of the program has its client."""
    return (BUILT / "index.html").is_file()


def built_file(request: Request, folder: Path, name: str, headers: dict[str, str]) -> Response | None:
    """Return a file of the client as an answer; None where there is no such file.

    Parameters
    ----------
    request : Request
        Which codings it takes, and which version it has, are heeded.
    folder : Path
        Where the file lies; nothing outside of it is read.
    name : str
        What it is called, without a folder.
    headers : dict
        How it may be kept. What is kept nowhere gets no ETag.
    """
    path = _within(folder, name)
    if path is None:
        return None
    coding, path = _best(path, request.headers.get("accept-encoding", ""))
    told = path.stat()
    data, tag = _read(path, told.st_mtime_ns, told.st_size)
    all_headers = {**headers, "Vary": "Accept-Encoding", **({"Content-Encoding": coding} if coding else {})}
    if "no-store" not in headers.get("Cache-Control", ""):
        all_headers["ETag"] = tag
        if has_it(request, tag):
            return Response(status_code=304, headers=all_headers)
    all_headers |= {"Content-Type": _MEDIA[Path(name).suffix], "Content-Length": str(len(data))}
    return Response(b"" if request.method == "HEAD" else data, headers=all_headers)


def _within(folder: Path, name: str) -> Path | None:
    """Return the path of a file that is served; a link that leads out of the folder leads nowhere."""
    if not _NAME.fullmatch(name) or Path(name).suffix not in _MEDIA:
        return None
    path = folder / name
    return path if path.is_file() and path.resolve().is_relative_to(folder.resolve()) else None


def _best(path: Path, takes: str) -> tuple[str, Path]:
    """Return the coding in which a file is sent, empty for none, and where it lies so."""
    taken = codings(takes)
    for coding, end in _PACKED:
        packed = path.with_name(path.name + end)
        if coding in taken and packed.is_file() and not packed.is_symlink():
            return coding, packed
    return "", path


def codings(takes: str) -> set[str]:
    """Return the codings that an Accept-Encoding takes.

    Examples
    --------
    >>> sorted(codings("gzip, br;q=0.5, deflate;q=0"))
    ['br', 'gzip']
    """
    return {coding for coding, q in map(_coding, takes.split(",")) if q > 0}


def _coding(text: str) -> tuple[str, float]:
    """Return one entry of Accept-Encoding: the coding and how much it is wanted. [-]

    Examples
    --------
    >>> _coding(" br;q=0.5"), _coding("gzip"), _coding("br; q=0"), _coding("br;q=x")
    (('br', 0.5), ('gzip', 1.0), ('br', 0.0), ('br', 0.0))
    """
    name, _, parameter = text.partition(";")
    found = re.fullmatch(r"\s*q\s*=\s*(\d(?:\.\d{0,3})?)\s*", parameter) if parameter else None
    return name.strip().lower(), 1.0 if not parameter else float(found[1]) if found else 0.0


@functools.lru_cache(maxsize=128)
def _read(path: Path, _changed: int, _size: int) -> tuple[bytes, str]:
    """Return what is in a file and its ETag; read again when it has changed."""
    data = path.read_bytes()
    return data, f'"{hashlib.sha256(data).hexdigest()[:32]}"'
