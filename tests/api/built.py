"""A client as the build leaves it, small: what the service serves of it does not depend on what is in it."""

from __future__ import annotations

import gzip
from pathlib import Path

FILES = {
    "index.html": b"<!doctype html><title>courtwright</title><script type=module src=/assets/index-1a2b3c.js></script>",
    "offer.html": b"<!doctype html><title>Offer</title><script type=module src=/assets/offer-4d5e6f.js></script>",
    "assets/index-1a2b3c.js": b"document.title += ' ' ; " * 40,
    "assets/letters-7a8b9c.woff2": b"wOF2 letters",
    "icons/courtwright.svg": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    "sw.js": b"self.addEventListener('install', () => 1);",
    "manifest.webmanifest": b'{"name": "courtwright"}',
}
TEXTS = (".html", ".js", ".svg", ".webmanifest")


def build(folder: Path) -> Path:
    """Write the client to a folder, and return it. What is packed by ``br`` is marked and not packed."""
    for name, content in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        if name.endswith(TEXTS):
            path.with_name(path.name + ".gz").write_bytes(gzip.compress(content, mtime=0))
            path.with_name(path.name + ".br").write_bytes(b"br:" + content)
    return folder
