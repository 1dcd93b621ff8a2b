"""Reads the heights of layers of a GeoPackage or a shapefile: third coordinates, or a field of points."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from courtwright.site.complaints import Complaints
from courtwright.site.formats.points_csv import PointList

#: Fields that hold a point's height where its place has none, in the order in which they are looked for.
_HEIGHTS = ("elevation", "elev", "height", "z", "cota", "elevacion", "altura", "level")
_NAMES = ("point", "name", "id", "punto", "nombre")
_MOST_POINTS = 500_000


def read_layers(path: Path, file: str, complaints: Complaints) -> tuple[PointList, str | None, float] | None:
    """Return the points of all layers, their coordinate system and the metres in its unit, or None after a complaint.

    Parameters
    ----------
    path : Path
        A GeoPackage or a shapefile.
    file : str
        Its name.
    complaints : Complaints
        Takes in what is wrong, and what was taken.
    """
    import pyogrio
    from pyogrio.errors import DataLayerError, DataSourceError
    from pyogrio.raw import read
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    found: list[NDArray[np.float64]] = []
    names: list[str] = []
    crs: CRS | None = None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for layer, kind in pyogrio.list_layers(path):
                if kind is None:
                    continue
                meta, _, shapes, fields = read(path, layer=layer, max_features=_MOST_POINTS)
                crs = crs or (CRS.from_user_input(meta["crs"]) if meta["crs"] else None)
                columns = dict(zip((str(name).lower() for name in meta["fields"]), fields, strict=True))
                xyz, own = _points(shapely.from_wkb(shapes), columns)
                found.append(xyz)
                names += own
    except (DataSourceError, DataLayerError, CRSError, shapely.errors.ShapelyError, ValueError, UnicodeError) as error:
        del error
        complaints.error(file, "", "layers-damaged")
        return None
    if crs is not None and crs.type_name == "Engineering CRS":
        # A plane of its own, tied to nothing on earth, is the pad's.
        crs = None
    points = np.concatenate(found) if found else np.empty((0, 3))
    if not len(points):
        complaints.error(file, "", "layers-no-heights", layers=len(found))
        return None
    if crs is not None and crs.is_geographic:
        complaints.error(file, "", "scan-degrees")
        return None
    unit = float(crs.axis_info[0].unit_conversion_factor) if crs is not None and crs.axis_info else 1.0
    complaints.note(file, "", "layers-taken", points=len(points), layers=len(found), unit=unit)
    listed = PointList(points * unit, tuple(names), tuple(range(1, len(points) + 1)))
    return listed, crs.name if crs is not None else None, unit


def _points(
    shapes: NDArray[np.object_], columns: dict[str, NDArray[np.object_]]
) -> tuple[NDArray[np.float64], list[str]]:
    """Return the places that have a height, shape (n, 3), and their names."""
    field = next((columns[name] for name in _HEIGHTS if name in columns and columns[name].dtype.kind in "fiu"), None)
    label = next((columns[name] for name in _NAMES if name in columns), None)
    rows: list[NDArray[np.float64]] = []
    names: list[str] = []
    for i, shape in enumerate(shapes):
        if shape is None or shape.is_empty:
            continue
        if shape.has_z:
            places = shapely.get_coordinates(shape, include_z=True)
        elif shape.geom_type == "Point" and field is not None:
            places = np.array([[shape.x, shape.y, float(field[i])]])
        else:
            continue
        places = places[np.isfinite(places[:, :2]).all(axis=1)]
        rows.append(places)
        name = str(label[i]) if label is not None and shape.geom_type == "Point" and label[i] is not None else ""
        names += [name] * len(places)
    return (np.concatenate(rows) if rows else np.empty((0, 3))), names
