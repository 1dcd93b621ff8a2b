"""Small sites for the tests of this room, as folders or as zips."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from courtwright.site import Complaint, NothingLeftError, SiteRecord, read_site

PAD = '[[pad]]\nid = "n"\noutline = [[0,0],[120,0],[120,60],[0,60]]\n'
SHOTS = PAD + 'shots = "s.csv"\n'
METRIC = '[job]\nunits = "metric"\n' + SHOTS

Files = Mapping[str, str | bytes]


def folder(path: Path, files: Files) -> Path:
    """Write a site folder."""
    for name, content in files.items():
        file = path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def zipped(path: Path, files: Files, packing: int = zipfile.ZIP_DEFLATED) -> Path:
    """Write a zip with these names, whatever they are."""
    with zipfile.ZipFile(path, "w", packing) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def read(path: Path, files: Files) -> SiteRecord:
    """Write and read a site folder."""
    return read_site(folder(path, files))


def told(path: Path, files: Files) -> tuple[Complaint, ...]:
    """Return the complaints about a site, whether anything of it is left or not."""
    try:
        return read(path, files).complaints
    except NothingLeftError as error:
        return error.complaints


def brief(complaints: tuple[Complaint, ...]) -> list[tuple[str, str, str, str]]:
    """Return file, place, code and weight of each complaint."""
    return [(c.file, c.at, c.code, c.weight) for c in complaints]


def feature(kind: str, coordinates: Any, **properties: Any) -> dict[str, Any]:
    """Return a GeoJSON feature on pad ``n``."""
    return {
        "type": "Feature",
        "properties": {"pad": "n", **properties},
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def collection(*features: Any, **members: Any) -> str:
    """Return a GeoJSON text."""
    return json.dumps({"type": "FeatureCollection", "features": list(features), **members})
