"""The demo site that ships with the program: invented, and whole enough to be judged and priced."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable


def demo_files() -> Mapping[str, bytes]:
    """Return every file of the demo site by its name within the folder, in the order of the names.

    Examples
    --------
    >>> [name for name in demo_files() if "/" not in name]
    ['lower.csv', 'marks.geojson', 'site.toml', 'upper.csv']
    """
    return dict(sorted(_within(files("courtwright.site") / "demo_site")))


def _within(folder: Traversable, above: str = "") -> Iterator[tuple[str, bytes]]:
    for entry in folder.iterdir():
        name = f"{above}{entry.name}"
        if entry.is_dir():
            yield from _within(entry, f"{name}/")
        else:
            yield name, entry.read_bytes()
