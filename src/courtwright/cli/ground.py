"""The command ``ground``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.ground.reading import GroundReading, PadReading
from courtwright.job.answers.ground import ground_document

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright ground demo-site
  courtwright ground demo-site --json"""
)


@click.command("ground", epilog=_EXAMPLES)
@site_argument
@click.option("--seed", type=int, default=1, show_default=True, help="Of the simulated surfaces.")
@talking
def command(talk: Talk, site: Path, seed: int) -> None:
    """Show heights, water, flatness, slope, cracks, pieces and hollow repairs of every pad."""
    record = read(site, talk)
    answer, reading = ground_document(record, talk.reader, seed, talk.progress)
    talk.give(answer, _lines(talk, reading), record.complaints)


def _lines(talk: Talk, reading: GroundReading) -> Iterator[str]:
    for pad in reading.pads:
        yield talk.line(0, "ground-pad", pad=pad.id, area=pad.area)
        yield from _surface(talk, pad)
        yield from _slab(talk, pad)


def _surface(talk: Talk, pad: PadReading) -> Iterator[str]:
    if pad.heights is None:
        yield talk.line(1, "ground-no-heights")
    for note in pad.notes:
        yield talk.wrap(1, talk.reader.says(note))
    for court in pad.courts:
        yield talk.line(1, "ground-court", court=court.id, sport=court.sport, slope=court.slope)
    if pad.flatness:
        yield talk.line(1, "ground-flat", gap=pad.flatness.gap_max, edge=pad.flatness.straightedge)
    for spot in pad.low_spots:
        yield talk.line(1, "ground-low-spot", id=spot.id, depth=spot.depth_max, area=spot.area)


def _slab(talk: Talk, pad: PadReading) -> Iterator[str]:
    yield talk.line(1, "ground-cracks", length=pad.cracks.length, junctions=pad.cracks.junctions)
    free = [piece.area for piece in pad.pieces if piece.free]
    yield talk.line(1, "ground-pieces", count=len(free), share=sum(free) / pad.area)
    for repair in pad.old_repairs:
        low, high = repair.failed_share_range
        yield talk.line(1, "ground-repair", id=repair.id, length=repair.length, low=low, high=high)
