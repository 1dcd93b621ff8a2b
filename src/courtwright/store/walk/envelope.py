"""Packs updates of a walk so that any damage on the way shows before anything is applied.

An envelope is, numbers with their highest byte first::

    8 bytes   "cw-walk" and the version, 1
    16 bytes  the device, a UUID
    8 bytes   when the device says it was made: milliseconds since 1970 in UTC, signed
    4 bytes   length of the update
    32 bytes  SHA-256 of all 36 + update bytes: what stands before it, and the update
    …         the update

A walk as one file, and what one request brings, are envelopes one after the other.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import struct
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from courtwright.errors import EnvelopeError
from courtwright.says import say

MAGIC = b"cw-walk"
VERSION = 1
#: Larger updates are refused: a day's walk in one piece has about one megabyte. [bytes]
MOST_UPDATE = 8_000_000
#: Larger files of envelopes are refused. [bytes]
MOST_STREAM = 128_000_000

_HEAD = struct.Struct(">7sB16sqI")
_HASH = 32
HEADER = _HEAD.size + _HASH
_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_MILLISECOND = dt.timedelta(milliseconds=1)


@dataclass(frozen=True, slots=True)
class Envelope:
    """One update with what its device tells of it.

    Parameters
    ----------
    device : str
        The device's UUID, in lower case with dashes.
    told_at : datetime
        When the device says it was made, in UTC; the device may be wrong by years.
    update : bytes
        The Yjs update.
    """

    device: str
    told_at: dt.datetime
    update: bytes

    @property
    def sha256(self) -> str:
        """Hash of the update alone: the same update has the same one in every envelope."""
        return hashlib.sha256(self.update).hexdigest()


@dataclass(frozen=True, slots=True)
class Opened:
    """What could be taken out of a file of envelopes: those before the first damage, and the damage if there is one."""

    envelopes: tuple[Envelope, ...]
    damage: EnvelopeError | None


def pack(envelope: Envelope) -> bytes:
    """Return the bytes of an envelope.

    Raises
    ------
    EnvelopeError
        If the update is empty or too large, or the device is no UUID.
    """
    if not 0 < len(envelope.update) <= MOST_UPDATE:
        raise refusal("envelope-size", megabytes=len(envelope.update) / 1e6, most=MOST_UPDATE / 1e6)
    try:
        device = uuid.UUID(envelope.device).bytes
    except ValueError as error:
        raise refusal("envelope-device", device=envelope.device[:60]) from error
    told_at = (envelope.told_at - _EPOCH) // _MILLISECOND
    head = _HEAD.pack(MAGIC, VERSION, device, told_at, len(envelope.update))
    return head + hashlib.sha256(head + envelope.update).digest() + envelope.update


def unpack(data: bytes) -> Envelope:
    """Return the one envelope that these bytes are.

    Raises
    ------
    EnvelopeError
        If they are anything else: damaged, cut off, or with bytes after the end.
    """
    envelope, end = _one(data, 0)
    if end != len(data):
        raise refusal("envelope-more", bytes=len(data) - end)
    return envelope


def pack_all(envelopes: Iterable[Envelope]) -> bytes:
    """Return the bytes of envelopes, one after the other."""
    return b"".join(pack(envelope) for envelope in envelopes)


def unpack_all(data: bytes) -> tuple[Envelope, ...]:
    """Return all the envelopes that these bytes are.

    Raises
    ------
    EnvelopeError
        If anything in them is damaged: then none counts.
    """
    opened = open_all(data)
    if opened.damage is not None:
        raise opened.damage
    return opened.envelopes


def open_all(data: bytes) -> Opened:
    """Return the envelopes before the first damage, as when a file was cut off with its phone."""
    if len(data) > MOST_STREAM:
        return Opened((), refusal("envelope-size", megabytes=len(data) / 1e6, most=MOST_STREAM / 1e6))
    found: list[Envelope] = []
    at = 0
    while at < len(data):
        try:
            envelope, at = _one(data, at)
        except EnvelopeError as error:
            error.where = f"envelope {len(found) + 1}"
            return Opened(tuple(found), error)
        found.append(envelope)
    return Opened(tuple(found), None)


def refusal(code: str, **values: object) -> EnvelopeError:
    """Return the error that ``store.<code>`` and ``store.<code>-do`` tell."""
    return EnvelopeError(say(f"store.{code}", **values), fix=say(f"store.{code}-do", **values))


def _one(data: bytes, at: int) -> tuple[Envelope, int]:
    """Return the envelope that begins at a place, and where it ends."""
    if len(data) - at < HEADER:
        raise refusal("envelope-cut", bytes=HEADER - (len(data) - at))
    magic, version, device, told_at, length = _HEAD.unpack_from(data, at)
    if magic != MAGIC:
        raise refusal("envelope-other")
    if version != VERSION:
        raise refusal("envelope-version", version=version, known=VERSION)
    if not 0 < length <= MOST_UPDATE:
        raise refusal("envelope-size", megabytes=length / 1e6, most=MOST_UPDATE / 1e6)
    start = at + HEADER
    end = start + length
    if end > len(data):
        raise refusal("envelope-cut", bytes=end - len(data))
    hashed = data[at : at + _HEAD.size] + data[start:end]
    if hashlib.sha256(hashed).digest() != data[at + _HEAD.size : start]:
        raise refusal("envelope-hash")
    return Envelope(str(uuid.UUID(bytes=device)), _time(told_at), data[start:end]), end


def _time(told: int) -> dt.datetime:
    """Return a device's time; one that no calendar has is the nearest end of the calendar."""
    try:
        return _EPOCH + told * _MILLISECOND
    except OverflowError:
        return dt.datetime.max.replace(tzinfo=dt.UTC) if told > 0 else dt.datetime.min.replace(tzinfo=dt.UTC)
