"""What the commands about a raster share."""

from __future__ import annotations

from pathlib import Path

import click

from courtwright.cli.quantities import finite

raster_argument = click.argument("dem", type=click.Path(exists=True, dir_okay=False, path_type=Path))
cell_option = click.option(
    "--cell-m",
    type=click.FloatRange(min=0, min_open=True),
    callback=finite("length"),
    help="Side of a cell, where the file does not tell it.",
)
