"""Draws how often low spots are there that are said to be so likely: docs/pictures/reliability.svg, from 400 pads."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from tests.ground.calibration import by_class, told_and_true  # noqa: E402 – a script has no place in the package

PADS = range(1000, 1400)
EDGES = (0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 1.01)
SIDE, LEFT, TOP = 300, 60, 20


def _x(share: float) -> float:
    return LEFT + share * SIDE


def _y(share: float) -> float:
    return TOP + (1 - share) * SIDE


def main() -> None:
    """Survey the pads, and draw."""
    pairs = [pair for seed in PADS for pair in told_and_true(seed)]
    rows = by_class(pairs, EDGES)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIDE + 90} {SIDE + 70}"',
        ' font-family="sans-serif" font-size="12">',
        f"<title>{len(pairs)} low spots of {len(PADS)} surveyed pads: said and true</title>",
        '<rect width="100%" height="100%" fill="#fff"/>',
        f'<path d="M{_x(0)} {_y(0)}H{_x(1)}M{_x(0)} {_y(0)}V{_y(1)}" stroke="#222"/>',
        f'<path d="M{_x(0)} {_y(0)}L{_x(1)} {_y(1)}" stroke="#888" stroke-dasharray="4 3"/>',
    ]
    for tick in (0, 0.25, 0.5, 0.75, 1):
        parts.append(f'<text x="{_x(tick)}" y="{_y(0) + 16}" text-anchor="middle">{tick * 100:.0f} %</text>')
        parts.append(f'<text x="{_x(0) - 6}" y="{_y(tick) + 4}" text-anchor="end">{tick * 100:.0f} %</text>')
    for number, told, true in rows:
        spread = (max(true * (1 - true), 0.01) / number) ** 0.5
        low, high = max(0.0, true - 1.645 * spread), min(1.0, true + 1.645 * spread)
        parts.append(f'<path d="M{_x(told):.1f} {_y(low):.1f}V{_y(high):.1f}" stroke="#222"/>')
        parts.append(f'<circle cx="{_x(told):.1f}" cy="{_y(true):.1f}" r="4" fill="#7a2343"/>')
    parts.append(f'<text x="{_x(0.5)}" y="{_y(0) + 36}" text-anchor="middle">said to be so likely</text>')
    parts.append(
        f'<text transform="translate(14 {_y(0.5)}) rotate(-90)" text-anchor="middle">there in so many</text></svg>'
    )
    (ROOT / "docs/pictures/reliability.svg").write_text("\n".join(parts) + "\n", encoding="utf-8")
    for number, told, true in rows:
        print(f"{number:4d} said {told:.2f}, true {true:.2f}")


main()
