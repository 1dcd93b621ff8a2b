"""The command ``flatness``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.quantities import length
from courtwright.cli.rasters import (
    cell_option,
    picture_option,
    picture_units_option,
    raster_argument,
    refuse_oblong,
    write_picture,
)
from courtwright.cli.talk import Talk, talking
from courtwright.ground.flatness import COUNTS, DIRECTIONS, WorstPlace, directions, worst_place
from courtwright.job.answers.flatness import flatness_answer
from courtwright.site.complaints import Complaints
from courtwright.site.formats.raster import Raster, read_raster
from courtwright.trade.words import UnitSystem

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright flatness court.tif --straightedge "10 ft"
  courtwright flatness heights.npy --cell-m 0.02 --straightedge "3 m" --json
  courtwright flatness court.tif --picture worst.png"""
)


#: A bare number is feet, as a straightedge is named.
_straightedge = length(lambda value: value > 0, "is no length of a straightedge", "10 ft or 3 m")


@click.command("flatness", epilog=_EXAMPLES)
@raster_argument
@cell_option
@click.option(
    "--straightedge", default="10 ft", show_default=True, callback=_straightedge, help="Its length, with its unit."
)
@click.option(
    "--directions",
    "many",
    type=click.Choice([str(count) for count in COUNTS]),
    default=str(len(DIRECTIONS)),
    show_default=True,
    help="In how many directions it is laid at each place.",
)
@picture_option
@picture_units_option
@talking
def command(
    talk: Talk,
    dem: Path,
    cell_m: float | None,
    straightedge: float,
    many: str,
    picture: Path | None,
    picture_units: UnitSystem,
) -> None:
    """Find the largest gap under a straightedge laid anywhere on a raster of heights.

    DEM is a GeoTIFF, an ASCII grid or a .npy array, heights in metres. The straightedge lies wholly on it.
    """
    wrong = Complaints()
    raster = read_raster(dem, cell_m, wrong)
    refuse_oblong(raster, dem)
    worst = worst_place(raster.height, raster.sides[0], straightedge, directions(int(many)))
    lines = [*_lines(talk, straightedge, worst)]
    if picture is not None:
        svg = _drawn(talk, dem.stem, raster, straightedge, worst, picture_units)
        lines.append(talk.line(0, "picture-written" if svg else "picture-none", file=picture.name))
        if svg:
            write_picture(svg, picture)
    talk.give(flatness_answer(raster, straightedge, worst), lines, wrong.found())


def _drawn(
    talk: Talk, name: str, raster: Raster, straightedge: float, worst: WorstPlace | None, units: UnitSystem
) -> str | None:
    # Drawing loads what the command does not need otherwise.
    from courtwright.offer.ground import raster_edge_svg

    return raster_edge_svg(raster, name, straightedge, worst, talk.language, units) if worst is not None else None


def _lines(talk: Talk, straightedge: float, worst: WorstPlace | None) -> Iterator[str]:
    if worst is None:
        yield talk.line(0, "flatness-none", edge=straightedge)
    else:
        yield talk.line(0, "ground-flat", gap=worst.gap, edge=straightedge)
