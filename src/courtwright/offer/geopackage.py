"""Everything drawn, as a GeoPackage with a layer for each kind."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pyogrio
import shapely
from pyogrio.raw import write

from courtwright.offer.drawings import LAYERS, Feature, features
from courtwright.offer.paper import Paper

#: The pad frame: a plane of its own, metres, tied to nothing on earth.
_FRAME = 'LOCAL_CS["pad frame",UNIT["metre",1],AXIS["x",EAST],AXIS["y",NORTH]]'
_VALUE = {
    "outline": "area_m2",
    "court_lines": "width_m",
    "marks": "width_m",
    "low_spots": "depth_m",
    "pieces": "area_m2",
}


def site_gpkg(paper: Paper) -> bytes:
    """Return the file; the same request gives the same bytes."""
    drawn = list(features(paper.pads))
    with tempfile.TemporaryDirectory(prefix="courtwright-") as name:
        path = Path(name) / "site.gpkg"
        with _dated(paper.request.issued_on):
            for layer in LAYERS:
                _write(path, layer, [feature for feature in drawn if feature.layer == layer])
        return path.read_bytes()


@contextmanager
def _dated(day: dt.date) -> Generator[None]:
    """Make the library write a fixed date instead of today's."""
    before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": f"{day.isoformat()}T00:00:00.000Z"})
    try:
        yield
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": before})


def _write(path: Path, layer: str, drawn: list[Feature]) -> None:
    text = {
        "pad": [f.pad for f in drawn],
        "id": [f.id for f in drawn],
        "kind": [f.kind for f in drawn],
        "says": [f.says for f in drawn],
    }
    fields = {name: np.array(values, dtype=object) for name, values in text.items()}
    fields[_VALUE[layer]] = np.array([np.nan if f.value is None else f.value for f in drawn], dtype=np.float64)
    write(
        path,
        geometry=np.array([shapely.to_wkb(f.geometry, output_dimension=2) for f in drawn], dtype=object),
        field_data=list(fields.values()),
        fields=np.array(list(fields), dtype=object),
        field_mask=None,
        layer=layer,
        driver="GPKG",
        geometry_type="Unknown",
        crs=_FRAME,
        promote_to_multi=False,
        append=path.exists(),
        layer_options={"GEOMETRY_NAME": "geometry", "FID": "fid"},
        dataset_options={"VERSION": "1.3"} if not path.exists() else None,
    )
