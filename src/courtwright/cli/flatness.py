"""The command ``flatness``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.quantities import length
from courtwright.cli.rasters import cell_option, raster_argument
from courtwright.cli.talk import Talk, talking
from courtwright.errors import InputError
from courtwright.ground.flatness import WorstPlace, worst_place
from courtwright.job.answers.flatness import flatness_answer
from courtwright.says import say
from courtwright.site.complaints import Complaints
from courtwright.site.formats.raster import read_raster

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright flatness court.tif --straightedge "10 ft"
  courtwright flatness heights.npy --cell-m 0.02 --straightedge "3 m" --json"""
)


#: A bare number is feet, as a straightedge is named.
_straightedge = length(lambda value: value > 0, "is no length of a straightedge", "10 ft or 3 m")


@click.command("flatness", epilog=_EXAMPLES)
@raster_argument
@cell_option
@click.option(
    "--straightedge", default="10 ft", show_default=True, callback=_straightedge, help="Its length, with its unit."
)
@talking
def command(talk: Talk, dem: Path, cell_m: float | None, straightedge: float) -> None:
    """Find the largest gap under a straightedge laid anywhere on a raster of heights, in sixteen directions.

    DEM is a GeoTIFF, an ASCII grid or a .npy array, heights in metres. The straightedge lies wholly on it.
    """
    wrong = Complaints()
    raster = read_raster(dem, cell_m, wrong)
    if not raster.is_square():
        along, down = raster.sides
        problem = say("site.raster-not-square", along=along, down=down)
        raise InputError(problem, where=dem.name, fix=say("site.raster-not-square-do"))
    worst = worst_place(raster.height, raster.sides[0], straightedge)
    talk.give(flatness_answer(raster, straightedge, worst), _lines(talk, straightedge, worst), wrong.found())


def _lines(talk: Talk, straightedge: float, worst: WorstPlace | None) -> Iterator[str]:
    if worst is None:
        yield talk.line(0, "flatness-none", edge=straightedge)
    else:
        yield talk.line(0, "ground-flat", gap=worst.gap, edge=straightedge)
