"""Reads the encoding that Yjs updates are written in, trusting nothing of what it reads."""

from __future__ import annotations

import struct

#: Values within values deeper than this are refused: reading them would exhaust the stack. [-]
MOST_DEPTH = 20
#: No clock, length or count is larger: a walk has some ten thousands, and engines set aside room by what they are told.
LARGEST = 2**26
#: Names of the devices' editing rounds, as whole numbers that a browser holds exactly. [-]
LARGEST_CLIENT = 2**53 - 1

UNDEFINED = "undefined"


class NotReadError(ValueError):
    """Raised within this package with what stands where something else was expected."""


class Reader:
    r"""Takes values from the front of some bytes.

    Examples
    --------
    >>> Reader(b"\xac\x02\x03abc").count(), Reader(b"\x03abc").text()
    (300, 'abc')
    """

    __slots__ = ("at", "data", "end")

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0
        self.end = len(data)

    def byte(self) -> int:
        """Take one byte."""
        at = self.at
        if at >= self.end:
            raise NotReadError("cut off")
        self.at = at + 1
        return self.data[at]

    def bytes(self, length: int) -> bytes:
        """Take so many bytes."""
        at = self.at
        if length > self.end - at:
            raise NotReadError("cut off")
        self.at = at + length
        return self.data[at : at + length]

    def count(self, largest: int = LARGEST) -> int:
        """Take a whole number of at least 0."""
        value = self.byte()
        if value < 128:
            return value
        value, shift = value & 127, 7
        while True:
            part = self.byte()
            value |= (part & 127) << shift
            if part < 128:
                break
            shift += 7
            if shift > 63:
                raise NotReadError("number too long")
        if value > largest:
            raise NotReadError("number too large")
        return value

    def text(self) -> str:
        """Take a text."""
        try:
            return self.bytes(self.count()).decode()
        except UnicodeDecodeError as error:
            raise NotReadError("no text") from error

    def any(self, depth: int = 0) -> object:
        """Take a value of any of the kinds that JSON has, and bytes.

        Bytes and "undefined" come out as a `NotPlain`, numbers that are none as texts.
        """
        kind = self.byte()
        match kind:
            case 119:
                return self.text()
            case 120 | 121:
                return kind == 120
            case 122:
                return int.from_bytes(self.bytes(8), "big", signed=True)
            case 123:
                return plain_number(struct.unpack(">d", self.bytes(8))[0])
            case 124:
                return plain_number(struct.unpack(">f", self.bytes(4))[0])
            case 125:
                return self._signed()
            case 126:
                return None
            case 127:
                return not_plain(UNDEFINED)
            case 116:
                self.bytes(self.count())
                return not_plain("bytes")
            case 117 | 118:
                return self._many(kind == 118, depth + 1)
            case _:
                raise NotReadError(f"value of kind {kind}")

    def _signed(self) -> int:
        first = self.byte()
        value, shift = first & 63, 6
        more = first & 128
        while more:
            part = self.byte()
            value |= (part & 127) << shift
            shift += 7
            more = part & 128
            if shift > 69:
                raise NotReadError("number too long")
        return -value if first & 64 else value

    def _many(self, is_object: bool, depth: int) -> object:
        if depth > MOST_DEPTH:
            raise NotReadError("too deep")
        count = self.count()
        if count > self.end - self.at:
            raise NotReadError("cut off")
        if is_object:
            return {self.text(): self.any(depth) for _ in range(count)}
        return [self.any(depth) for _ in range(count)]


def not_plain(kind: str) -> dict[str, str]:
    """Return what stands for a value that is not plain: no JSON holds it, and no person typed it.

    Examples
    --------
    >>> not_plain("bytes")
    {'not plain': 'bytes'}
    """
    return {"not plain": kind}


def plain_number(value: float) -> int | float | str:
    """Return a number as people write it: whole numbers without a point, what is no number as text.

    Parameters
    ----------
    value : float
        As a browser holds it. [as typed]

    Examples
    --------
    >>> plain_number(1972.0), plain_number(0.5), plain_number(float("nan"))
    (1972, 0.5, 'nan')
    """
    if value != value or value in (float("inf"), float("-inf")):
        return str(value)
    return int(value) if value == int(value) and abs(value) <= LARGEST_CLIENT else value
