"""The command ``water``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.rasters import (
    cell_option,
    picture_option,
    picture_units_option,
    raster_argument,
    refuse_oblong,
    write_picture,
)
from courtwright.cli.talk import Talk, talking
from courtwright.ground.raster_water import RasterWater, water_on
from courtwright.job.answers.water import water_answer
from courtwright.site.complaints import Complaints
from courtwright.site.formats.raster import read_raster, write_levels
from courtwright.trade.words import UnitSystem

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright water court.tif --out filled.tif --min-depth-mm 2
  courtwright water court.tif --picture water.svg
  courtwright water heights.npy --cell-m 0.02 --json"""
)
#: So many are told in words; the answer in JSON lists more. [-]
_TOLD = 20


@click.command("water", epilog=_EXAMPLES)
@raster_argument
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Where the filled levels go, a GeoTIFF.")
@cell_option
@click.option("--min-depth-mm", type=click.FloatRange(min=0), default=0.0, help="Shallower low spots are not listed.")
@click.option(
    "--limit", type=click.IntRange(min=0), default=1000, show_default=True, help="So many low spots are listed."
)
@picture_option
@picture_units_option
@talking
def command(
    talk: Talk,
    dem: Path,
    out: Path | None,
    cell_m: float | None,
    min_depth_mm: float,
    limit: int,
    picture: Path | None,
    picture_units: UnitSystem,
) -> None:
    """Fill one raster of heights in metres to where it spills, and list its low spots, deepest first.

    DEM is a GeoTIFF, an ASCII grid or a .npy array. Water goes to all eight neighbours; it leaves at the raster's edges
    and beside cells without data.
    """
    wrong = Complaints()
    raster = read_raster(dem, cell_m, wrong)
    if picture is not None:
        refuse_oblong(raster, dem)
    water = water_on(raster, min_depth_mm / 1000, limit)
    if out is not None:
        write_levels(raster, water.level, out)
    talk.units = "metric"
    lines = [*_lines(talk, water, out)]
    if picture is not None:
        # Drawing loads what the command does not need otherwise.
        from courtwright.offer.ground import raster_water_svg

        write_picture(raster_water_svg(raster, dem.stem, water, talk.language, picture_units), picture)
        lines.append(talk.line(0, "picture-written", file=picture.name))
    talk.give(water_answer(water), lines, wrong.found())


def _lines(talk: Talk, water: RasterWater, out: Path | None) -> Iterator[str]:
    yield talk.line(0, "water-all", count=water.total, litres=water.volume * 1000)
    for spot in water.low_spots[:_TOLD]:
        yield talk.line(1, "ground-low-spot", id=spot.id, depth=spot.depth_max, area=spot.area)
    if water.total > _TOLD:
        yield talk.line(1, "water-more", count=water.total - _TOLD)
    if out is not None:
        yield talk.line(0, "water-written", file=out.name)
