"""The demo as a site folder: every file by its name."""

from __future__ import annotations

import functools
import json
from pathlib import Path

import numpy as np

from demo import lower, upper
from demo.photos import photos

SEED = 1973
SITE = Path(__file__).with_name("site.toml")


@functools.cache
def files() -> dict[str, bytes]:
    """Return every file of the demo site: its path inside the folder, and what it holds."""
    made = {"site.toml": SITE.read_text(encoding="utf-8")}
    features: list[dict[str, object]] = []
    for order, pad in enumerate((upper, lower)):
        features += pad.marks(np.random.default_rng([SEED, order, 0]))
        made[f"{pad.PAD}.csv"] = pad.shots(np.random.default_rng([SEED, order, 1]))
    made["marks.geojson"] = _collection(features)
    pictures = {f"photos/{name}": picture for name, picture in photos().items()}
    return {**{name: text.encode("utf-8") for name, text in made.items()}, **pictures}


def _collection(features: list[dict[str, object]]) -> str:
    """Return a FeatureCollection, one feature a line, so that a change reads as one."""
    lines = ",\n".join(json.dumps(item, separators=(",", ":")) for item in features)
    return f'{{"type":"FeatureCollection","units":"us","features":[\n{lines}\n]}}\n'
