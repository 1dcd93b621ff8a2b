"""Envelopes: what is packed comes out, and any damage shows."""

from __future__ import annotations

import datetime as dt
import hashlib
import struct
import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import EnvelopeError
from courtwright.store.walk.envelope import (
    HEADER,
    MOST_UPDATE,
    Envelope,
    open_all,
    pack,
    pack_all,
    unpack,
    unpack_all,
)
from courtwright.trade.words import render

DEVICE = str(uuid.UUID(int=7))
NOON = dt.datetime(2026, 4, 16, 12, 0, 0, 250_000, tzinfo=dt.UTC)
ONE = Envelope(DEVICE, NOON, b"\x00\x00")

envelopes = st.builds(
    Envelope,
    st.uuids().map(str),
    st.datetimes(timezones=st.just(dt.UTC)).map(lambda t: t.replace(microsecond=t.microsecond // 1000 * 1000)),
    st.binary(min_size=1, max_size=200),
)


def test_an_envelope_is_laid_out_as_told():
    """Its bytes can be made with nothing but the description."""
    # 2026-04-16 is 20,559 days after 1970-01-01; noon and 250 ms: (20559 * 86400 + 43200) * 1000 + 250
    head = b"cw-walk\x01" + uuid.UUID(int=7).bytes + struct.pack(">qI", (20559 * 86400 + 43200) * 1000 + 250, 2)
    assert pack(ONE) == head + hashlib.sha256(head + b"\x00\x00").digest() + b"\x00\x00"
    assert len(head) + 32 == HEADER


@given(st.lists(envelopes, max_size=5))
def test_what_is_packed_comes_out(given_envelopes: list[Envelope]):
    """One after the other, whatever clock the device has."""
    assert list(unpack_all(pack_all(given_envelopes))) == given_envelopes


@given(envelopes, st.data())
def test_a_flipped_bit_shows(envelope: Envelope, data: st.DataObject):
    """No bit of an envelope can change unseen."""
    packed = bytearray(pack(envelope))
    place = data.draw(st.integers(0, len(packed) * 8 - 1))
    packed[place // 8] ^= 1 << place % 8
    with pytest.raises(EnvelopeError):
        unpack(bytes(packed))


@given(envelopes, st.data())
def test_a_cut_shows(envelope: Envelope, data: st.DataObject):
    """No part of an envelope passes for one."""
    packed = pack(envelope)
    with pytest.raises(EnvelopeError):
        unpack(packed[: data.draw(st.integers(0, len(packed) - 1))])


@given(st.lists(envelopes, min_size=1, max_size=4), st.data())
def test_what_stands_before_a_cut_can_be_saved(given_envelopes: list[Envelope], data: st.DataObject):
    """A file cut off with its phone still gives the whole envelopes before the cut, and tells of it."""
    packed = pack_all(given_envelopes)
    cut = data.draw(st.integers(0, len(packed) - 1))
    opened = open_all(packed[:cut])
    ends = [len(pack_all(given_envelopes[: n + 1])) for n in range(len(given_envelopes))]
    assert list(opened.envelopes) == given_envelopes[: sum(end <= cut for end in ends)]
    assert (opened.damage is None) == (cut == 0 or cut in ends)


def test_the_hash_of_an_update_is_its_own():
    """The same update has the same hash, whoever sends it and whenever."""
    assert ONE.sha256 == hashlib.sha256(b"\x00\x00").hexdigest()


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "envelope-cut"),
        (pack(ONE) + b"\x00", "envelope-more"),
        (b"PK\x03\x04" + bytes(100), "envelope-other"),
        (b"cw-walk\x02" + bytes(100), "envelope-version"),
        (b"cw-walk\x01" + bytes(24) + struct.pack(">I", MOST_UPDATE + 1) + bytes(64), "envelope-size"),
        (b"cw-walk\x01" + bytes(24) + struct.pack(">I", 0) + bytes(64), "envelope-size"),
        (b"cw-walk\x01" + bytes(24) + struct.pack(">I", 5) + bytes(37), "envelope-hash"),
    ],
)
def test_what_is_no_envelope_is_refused_in_words(data: bytes, code: str):
    """Each refusal says what is wrong and what to do, in both languages."""
    with pytest.raises(EnvelopeError) as caught:
        unpack(data)
    assert caught.value.problem.id == f"store.{code}"
    assert caught.value.fix is not None
    assert all(
        "⟨" not in render(says, lang) for says in (caught.value.problem, caught.value.fix) for lang in ("en", "es")
    )


def test_a_file_with_damage_counts_for_nothing():
    """Strictly read, a file is whole or refused, and the place is told."""
    with pytest.raises(EnvelopeError) as caught:
        unpack_all(pack(ONE) + pack(ONE)[:-1])
    assert caught.value.where == "envelope 2"


@pytest.mark.parametrize("envelope", [Envelope("phone", NOON, b"x"), Envelope(DEVICE, NOON, b"")])
def test_what_cannot_be_sent_is_not_packed(envelope: Envelope):
    """A device without a UUID and an empty update are refused at the start."""
    with pytest.raises(EnvelopeError):
        pack(envelope)
