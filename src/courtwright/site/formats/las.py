"""Opens LAS and LAZ point clouds and hands their points on in parts, in metres."""

from __future__ import annotations

import io
import math
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from courtwright import units
from courtwright.site.complaints import Complaints

Whole = NDArray[np.int32]

#: So many points are read at once. [-]
CHUNK = 500_000
#: Classes that nobody measures a court by: low noise and high noise (ASPRS LAS 1.4, table 17).
_NOISE = (7, 18)
_GROUND = 2
#: Shorter than this no header is. [bytes]
_LEAST_HEADER = 227
#: A record before the points has a head of so many bytes at least. [bytes]
_LEAST_VLR = 54
_LAZ = 0x80


@dataclass(frozen=True, slots=True)
class Scan:
    """A point cloud that is open for reading.

    Parameters
    ----------
    handle : file
        It.
    points : int
        How many points it holds. [-]
    crs : str or None
        Name of its coordinate system.
    unit, height_unit : float
        Metres in a unit of the plane and of the heights. [m]
    """

    handle: BinaryIO
    points: int
    crs: str | None
    unit: float
    height_unit: float

    def raw(self) -> Iterator[tuple[tuple[Whole, Whole, Whole], NDArray[np.uint8], NDArray[np.float64]]]:
        """Yield the points in parts as they are stored: three whole numbers, what each counts for, scales and offsets.

        A point counts for nothing (0) where it is noise or withheld, as ground (2) where it is classed so, else as any
        other (1). Scales and offsets, shape (6,), make metres of the whole numbers. [m]
        """
        import laspy

        self.handle.seek(0)
        with laspy.open(self.handle, closefd=False) as file:
            metres = np.array([self.unit, self.unit, self.height_unit])
            scale = np.concatenate([file.header.scales * metres, file.header.offsets * metres])
            for part in file.chunk_iterator(CHUNK):
                classes = np.asarray(part.classification, dtype=np.uint8)
                kind = np.where(classes == _GROUND, np.uint8(2), np.uint8(1))
                kind[np.isin(classes, _NOISE) | np.asarray(part.withheld, dtype=np.bool_)] = 0
                x, y, z = (np.asarray(part[axis], dtype=np.int32) for axis in "XYZ")
                yield (x, y, z), kind, scale

    def parts(self) -> Iterator[tuple[NDArray[np.float64], NDArray[np.bool_]]]:
        """Yield the points that count in parts: places and heights, shape (n, 3) [m], and which are known as ground."""
        for numbers, kind, scale in self.raw():
            counts = kind > 0
            xyz = np.column_stack(numbers)[counts] * scale[:3] + scale[3:]
            yield xyz, kind[counts] == _GROUND


def open_scan(handle: BinaryIO, file: str, system: units.UnitSystem, complaints: Complaints) -> Scan | None:
    """Return a point cloud, or None after saying why it cannot be read.

    Parameters
    ----------
    handle : file
        A LAS or LAZ file, seekable.
    file : str
        Its name.
    system : {"us", "metric"}
        The units of the job, where the file names none.
    complaints : Complaints
        Takes in what is wrong, and which units were chosen.
    """
    import laspy
    from laspy.errors import LaspyException

    if not _is_whole(handle):
        complaints.error(file, "", "scan-damaged")
        return None
    handle.seek(0)
    try:
        with laspy.open(handle, closefd=False) as opened:
            header = opened.header
            count = int(header.point_count)
            crs = _crs_of(header)
            is_sound = bool(np.isfinite([*header.scales, *header.offsets]).all() and (header.scales != 0).all())
    except (LaspyException, ValueError, OSError, struct.error, MemoryError, OverflowError, AssertionError) as error:
        del error
        complaints.error(file, "", "scan-damaged")
        return None
    if not is_sound:
        complaints.error(file, "", "scan-damaged")
        return None
    if not count:
        complaints.error(file, "", "scan-empty")
        return None
    if crs is None:
        unit = units.BARE_LENGTH[system]
        complaints.note(file, "", "scan-unit", unit=unit)
        return Scan(handle, count, None, unit, unit)
    if crs.is_geographic:
        complaints.error(file, "", "scan-degrees")
        return None
    parts = crs.sub_crs_list if crs.is_compound else [crs]
    unit = float(parts[0].axis_info[0].unit_conversion_factor)
    height = float(parts[1].axis_info[0].unit_conversion_factor) if len(parts) > 1 else unit
    if height != unit:
        complaints.note(file, "", "scan-two-units", unit=unit, height=height)
    return Scan(handle, count, str(crs.name), unit, height)


def _crs_of(header: Any) -> Any:
    """Return the coordinate system that a header tells, None where it tells none that is known."""
    from pyproj.exceptions import CRSError

    try:
        crs = header.parse_crs()
    except (CRSError, ValueError, KeyError, IndexError, UnicodeDecodeError):
        return None
    usable = crs is not None and crs.axis_info and all(math.isfinite(a.unit_conversion_factor) for a in crs.axis_info)
    return crs if usable else None


def _is_whole(handle: BinaryIO) -> bool:
    """Tell whether the header's own numbers fit the file: a lying one makes readers take memory without end."""
    size = handle.seek(0, io.SEEK_END)
    handle.seek(0)
    head = handle.read(375)
    if len(head) < _LEAST_HEADER or not head.startswith(b"LASF"):
        return False
    minor = head[25]
    header_size, offset, records = struct.unpack_from("<HII", head, 94)
    kind, length = struct.unpack_from("<BH", head, 104)
    count = struct.unpack_from("<I", head, 107)[0]
    if minor >= 4 and len(head) >= 375:
        first, more = struct.unpack_from("<QI", head, 235)
        count = struct.unpack_from("<Q", head, 247)[0] or count
        if more and (first > size or more * 60 > size - first):
            return False
    if header_size < _LEAST_HEADER or offset > size or records * _LEAST_VLR > offset - header_size:
        return False
    # Compressed points take at least a bit each.
    least = count * length if not kind & _LAZ else count // 64
    return bool(length) and least <= size - offset
