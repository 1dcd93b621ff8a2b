"""Opens LAS and LAZ point clouds and hands their points on in parts, in metres."""

from __future__ import annotations

import io
import math
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from courtwright import units
from courtwright.site.complaints import Complaints

Whole = NDArray[np.int32]
Bytes = NDArray[np.uint8]

#: So many points are read at once. [-]
CHUNK = 500_000
_FEW = 65_536
#: Classes that nobody measures a court by: low noise and high noise (ASPRS LAS 1.4, table 17).
_NOISE = (7, 18)
_GROUND = 2
#: From this format of points on, classes have a byte of their own. [-]
_SINCE_1_4 = 6
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
    is_packed : bool
        Whether its points are compressed, so that reading them takes longer than holding them.
    """

    handle: BinaryIO
    points: int
    crs: str | None
    unit: float
    height_unit: float
    is_packed: bool = False

    def raw(self) -> Iterator[tuple[tuple[Whole, Whole, Whole], Bytes, NDArray[np.float64]]]:
        """Yield the points in parts as they are stored: three whole numbers, what each counts for, scales and offsets.

        A point counts for nothing (0) where it is noise or withheld, as ground (2) where it is classed so, else as any
        other (1). Scales and offsets, shape (6,), make metres of the whole numbers. [m]
        """
        import laspy

        self.handle.seek(0)
        with laspy.open(self.handle, closefd=False) as file:
            header = file.header
            metres = np.array([self.unit, self.unit, self.height_unit])
            scale = np.concatenate([header.scales * metres, header.offsets * metres])
            kinds = _kinds(header.point_format.id)
            if header.are_points_compressed:
                records = (np.asarray(part.array).view(np.uint8) for part in file.chunk_iterator(CHUNK))
            else:
                records = self._records(int(header.offset_to_point_data), int(header.point_format.size))
            for part in records:
                table = part.reshape(-1, header.point_format.size)
                yield _whole_numbers(table), kinds(table), scale

    def _records(self, start: int, length: int) -> Iterator[Bytes]:
        """Yield uncompressed records as they lie in the file, so many that they stay near the processor."""
        self.handle.seek(start)
        for first in range(0, self.points, _FEW):
            here = self.handle.read(min(_FEW, self.points - first) * length)
            if len(here) < length:
                return
            yield np.frombuffer(here, dtype=np.uint8, count=len(here) // length * length)

    def parts(self) -> Iterator[tuple[NDArray[np.float64], NDArray[np.bool_]]]:
        """Yield the points that count in parts: places and heights, shape (n, 3) [m], and which are known as ground."""
        for numbers, kind, scale in self.raw():
            counts = kind > 0
            xyz = np.column_stack(numbers)[counts] * scale[:3] + scale[3:]
            yield xyz, kind[counts] == _GROUND


def _whole_numbers(table: Bytes) -> tuple[Whole, Whole, Whole]:
    """Return the coordinates of records as they are stored, without a copy: they are the first three numbers."""
    x, y, z = (np.ndarray(len(table), "<i4", table, at, (table.shape[1],)) for at in (0, 4, 8))
    return x, y, z


def _kinds(point_format: int) -> Callable[[Bytes], Bytes]:
    """Return what tells how much each record counts.

    References
    ----------
    ASPRS, "LAS Specification 1.4 - R15", 2019, tables 7, 8 and 15 to 17.
    """
    table = np.ones(256, dtype=np.uint8)
    table[list(_NOISE)], table[_GROUND] = 0, 2
    if point_format >= _SINCE_1_4:
        withheld = np.where(np.arange(256) & 0x04, 0, 2).astype(np.uint8)
        return lambda records: np.minimum(table[records[:, 16]], withheld[records[:, 15]])
    # Before, the class is the low five bits of a byte, and its highest bit says withheld.
    legacy = np.where(np.arange(256) & 0x80, 0, table[np.arange(256) & 0x1F]).astype(np.uint8)
    return lambda records: legacy[records[:, 15]]


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
            is_packed = bool(header.are_points_compressed)
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
        return Scan(handle, count, None, unit, unit, is_packed)
    if crs.is_geographic:
        complaints.error(file, "", "scan-degrees")
        return None
    parts = crs.sub_crs_list if crs.is_compound else [crs]
    unit = float(parts[0].axis_info[0].unit_conversion_factor)
    height = float(parts[1].axis_info[0].unit_conversion_factor) if len(parts) > 1 else unit
    if height != unit:
        complaints.note(file, "", "scan-two-units", unit=unit, height=height)
    return Scan(handle, count, str(crs.name), unit, height, is_packed)


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
