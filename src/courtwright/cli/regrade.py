"""The command ``regrade``."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import click

from courtwright import units
from courtwright.cli.quantities import length, slope
from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.errors import CallError
from courtwright.ground.regrade.fixed import Point
from courtwright.ground.regrade.read import Asked, Layout, PadRegrade
from courtwright.job.answers.regrade import regrade_document
from courtwright.job.pictures import cut_fill_pictures
from courtwright.job.stakes import stake_files
from courtwright.offer.writing import write_together
from courtwright.says import say
from courtwright.trade.load import tolerances
from courtwright.trade.regrade import Grading

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright regrade demo-site
  courtwright regrade demo-site --layout least --out stakes
  courtwright regrade demo-site --slope-min "0.9 %" --least "1-1/2 in" --fixed 156,8 --json"""
)
#: Beyond this no court, nor a paver, goes; no layer is thicker; a person sets no stakes closer. [-], [m], [m]
_STEEPEST, _THICKEST, _CLOSEST = 0.2, 1.0, 0.1
#: No place has a coordinate beyond, whatever its frame. [m]
_FARTHEST = 1e8


_slope = slope(lambda value: 0 <= value <= _STEEPEST, "is no slope of a court")
_thickness = length(lambda value: value <= _THICKEST, "is no thickness of asphalt", "1-1/2 in or 38 mm")
_spacing = length(lambda value: value >= _CLOSEST, "is too close for stakes", "10 ft or 3 m")


@click.command("regrade", epilog=_EXAMPLES)
@site_argument
@click.option("--slope-min", callback=_slope, help="Least slope of every plane; the trade's unless given.")
@click.option("--slope-max", callback=_slope, help="Most slope of every plane; the trade's unless given.")
@click.option("--least", callback=_thickness, help="Least thickness; by the stone of the mix unless given.")
@click.option("--stone", callback=_thickness, help="Largest stone of the mix, its nominal size.")
@click.option("--grading", type=click.Choice(["fine", "coarse"]), default="fine", help="Of the mix.")
@click.option(
    "--layout",
    type=click.Choice(["one", "courts", "least"]),
    default="one",
    show_default=True,
    help="One plane, one a court with ridges between, or whichever needs less.",
)
@click.option("--fixed", multiple=True, help="A point to meet: x,y or x,y,height in the job's units; again for more.")
@click.option("--stakes", callback=_spacing, help="Distance of stakes; 10 ft unless given.")
@click.option(
    "--out", "folder", type=click.Path(file_okay=False, path_type=Path), help="Folder for stake-out and cut and fill."
)
@talking
def command(
    talk: Talk,
    site: Path,
    slope_min: float | None,
    slope_max: float | None,
    least: float | None,
    stone: float | None,
    grading: Grading,
    layout: Layout,
    fixed: tuple[str, ...],
    stakes: float | None,
    folder: Path | None,
) -> None:
    """Show the new surface that needs the least asphalt on every pad: its plane, cut and fill, tonnage.

    The plane is height = a + b x + c y in pad metres, in the heights of the shots.
    """
    limits = tolerances()
    low = limits.slope_min if slope_min is None else slope_min
    if low > (limits.slope_max if slope_max is None else slope_max):
        raise CallError(say("regrade.steeper-least"), where="--slope-min", fix=say("regrade.steeper-least-do"))
    record = read(site, talk)
    points = tuple(_point(given, units.BARE_LENGTH[record.job.units]) for given in fixed)
    asked = Asked(slope_min, slope_max, least, stone, grading, layout, points, stakes)
    answer, pads = regrade_document(record, talk.reader, asked)
    written: tuple[Path, ...] = ()
    if folder is not None:
        # The day of the walk, so that the same call writes the same bytes.
        files = stake_files(pads, talk.language, talk.units, record.walked_on or dt.date(1980, 1, 1))
        files |= cut_fill_pictures(record, pads, talk.language, talk.units)
        written = write_together(files, folder) if files else ()
        answer["files"] = [path.name for path in written]
    talk.give(answer, _lines(talk, pads, written), record.complaints)


def _point(given: str, unit: float) -> Point:
    try:
        values = [float(part) * unit for part in given.split(",")]
    except ValueError:
        values = []
    if len(values) not in (2, 3) or not all(abs(value) <= _FARTHEST for value in values):
        raise CallError(say("regrade.not-two-or-three", given=given), where="--fixed")
    return Point(*values)


def _lines(talk: Talk, pads: tuple[PadRegrade, ...], written: tuple[Path, ...]) -> Iterator[str]:
    def line(depth: int, id: str, /, **values: object) -> str:
        return talk.wrap(depth, talk.reader.says(say(f"regrade.{id}", **values)))

    for pad in pads:
        new = pad.surface
        if new is None:
            yield line(0, "pad-nothing", pad=pad.id)
        else:
            yield line(0, "pad", pad=pad.id, mass=new.mass * 1000, volume=new.volume)
            yield line(1, "thickness", least=new.thickness_min, most=new.thickness_max)
            for part in new.parts:
                if part.courts:
                    names = ", ".join(part.courts)
                    yield line(1, "plane-of", courts=names, slope=part.slope, bearing=part.bearing)
                else:
                    yield line(1, "plane", slope=part.slope, bearing=part.bearing)
        for note in pad.notes:
            yield talk.wrap(1, talk.reader.says(note))
    for path in written:
        if path.stem.startswith("stakes"):
            yield line(0, "written", file=path.name)
        else:
            yield talk.line(0, "picture-written", file=path.name)
