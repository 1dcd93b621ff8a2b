"""Reads a drawing back: what is drawn, where on the ground it lies."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np
from shapely import Polygon

SVG = "{http://www.w3.org/2000/svg}"
_SUBPATH = re.compile(r"M[^M]+")
_PAIR = re.compile(r"(-?[\d.]+),(-?[\d.]+)")


@dataclass
class Drawn:
    """A drawing with the pad that it shows."""

    svg: ElementTree.Element
    outline: Polygon

    @classmethod
    def of(cls, text: str, outline: Polygon) -> Drawn:
        return cls(ElementTree.fromstring(text), outline)

    @property
    def words(self) -> list[str]:
        return [element.text or "" for element in self.svg.iter(f"{SVG}text")]

    @property
    def scale(self) -> int:
        """The scale that is written beneath the bar."""
        found = (re.fullmatch(r"(?:scale|escala) 1:([\d,]+)(?:,.*)?", text) for text in self.words)
        return next(int(match[1].replace(",", "")) for match in found if match)

    def paths(self, **style: str) -> list[list[np.ndarray]]:
        """Every path of a style, each as its lines in millimetres of paper."""
        wanted = {name.replace("_", "-"): value for name, value in style.items()}
        return [
            [np.array(_PAIR.findall(part), dtype=float) for part in _SUBPATH.findall(path.attrib["d"])]
            for path in self.svg.iter(f"{SVG}path")
            if all(path.attrib.get(name) == value for name, value in wanted.items())
        ]

    def ground(self, places: np.ndarray) -> np.ndarray:
        """Places of the paper on the ground, by the outline of the pad as it is drawn and the written scale."""
        ((corners,), *_) = self.paths(stroke_width="0.45")
        left, low, _, _ = self.outline.bounds
        on_paper = corners[:, 0].min(), corners[:, 1].max()
        return (places - on_paper) * (1, -1) * self.scale / 1000 + (left, low)

    def plan(self, *paths: list[np.ndarray]) -> Iterator[np.ndarray]:
        """Yield the lines of paths that lie on the pad and not in the key, on the ground."""
        wide = self.outline.buffer(0.5).bounds
        for path in paths:
            for line in path:
                at = self.ground(line)
                if (at >= wide[:2]).all() and (at <= wide[2:]).all():
                    yield at

    def dots(self, radius: str) -> np.ndarray:
        """Return the dots of a size, on the ground, those of the key among them."""
        found = [
            (float(dot.attrib["cx"]), float(dot.attrib["cy"]))
            for dot in self.svg.iter(f"{SVG}circle")
            if dot.attrib["r"] == radius
        ]
        return self.ground(np.array(found)) if found else np.empty((0, 2))
