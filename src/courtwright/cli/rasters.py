"""What the commands about a raster share."""

from __future__ import annotations

from pathlib import Path

import click

from courtwright.cli.quantities import finite
from courtwright.errors import InputError
from courtwright.says import say
from courtwright.site.formats.raster import Raster

raster_argument = click.argument("dem", type=click.Path(exists=True, dir_okay=False, path_type=Path))
cell_option = click.option(
    "--cell-m",
    type=click.FloatRange(min=0, min_open=True),
    callback=finite("length"),
    help="Side of a cell, where the file does not tell it.",
)


def _drawable(ctx: click.Context, param: click.Parameter, value: Path | None) -> Path | None:
    if value is not None and value.suffix.lower() not in (".svg", ".png"):
        raise click.BadParameter(f"{value.name!r} is no picture; name it .svg or .png.", ctx, param)
    return value


picture_option = click.option(
    "--picture",
    type=click.Path(dir_okay=False, path_type=Path),
    callback=_drawable,
    help="Where a drawing of it goes, a .svg or .png.",
)
picture_units_option = click.option(
    "--picture-units",
    type=click.Choice(["us", "metric"]),
    default="us",
    show_default=True,
    help="Of the drawing's numbers and scale.",
)


def refuse_oblong(raster: Raster, file: Path) -> None:
    """Refuse a raster whose cells are no squares, in which directions are not alike."""
    if not raster.is_square():
        along, down = raster.sides
        problem = say("site.raster-not-square", along=along, down=down)
        raise InputError(problem, where=file.name, fix=say("site.raster-not-square-do"))


def write_picture(svg: str, path: Path) -> None:
    """Write a drawing as its file's name asks."""
    from courtwright.offer.png import png
    from courtwright.offer.writing import write_together

    content = svg.encode() if path.suffix.lower() == ".svg" else png(svg)
    write_together({path.name: content}, path.parent)
