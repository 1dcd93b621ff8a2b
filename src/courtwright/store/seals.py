"""Seals of accepted offers: what was accepted, under a code that only the office's key makes, each chained to the last.

A seal's body is the offer's row, its acceptance and the SHA-256 of every kept file, as canonical JSON (RFC 8785). Its
code is the HMAC-SHA-256, under a key that is not in the database, of the code before it and the body. Whoever changes
an accepted offer, its acceptance, a file or a seal, or takes one out of the middle, cannot make the codes fit again.
Who takes away the newest offers with all that tells of them leaves a shorter chain that fits: the code printed on their
paper is then what tells of them.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import itertools
import json
from collections.abc import Iterator, Mapping
from typing import Any, cast

import rfc8785
from sqlalchemy import Connection, Table, select

from courtwright.errors import ConflictError, DamagedError
from courtwright.says import say
from courtwright.site.record import Complaint
from courtwright.store import tables
from courtwright.store.blobs import Blobs
from courtwright.store.keys import Key, Keys
from courtwright.store.rows.seals import Seal
from courtwright.store.unit import Unit

_FIRST = "0" * 64
_FORM = 1
#: Digits and letters without those that look like others; I and L are read as 1, O as 0.
_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_GROUPS, _OF = 4, 4


def seal(unit: Unit, keys: Keys, offer_id: str, at: dt.datetime) -> Seal:
    """Seal an accepted offer inside the unit of work in which it is accepted.

    Parameters
    ----------
    unit : Unit
        In which the acceptance is written.
    keys : Keys
        The office's.
    offer_id : str
        Of the offer, its state and its acceptance written already.
    at : datetime
        The time.

    Raises
    ------
    ConflictError
        If it is sealed already.
    DamagedError
        If there are seals of this office and their key is gone: a new one would hide that.
    StoreError
        If the key cannot be read or made.
    """
    unit.seals.take_turns()
    if unit.seals.of(offer_id) is not None:
        raise ConflictError(say("store.sealed"))
    key = _key(unit, keys)
    last = unit.seals.last(keys.all())
    chain, seq, previous = (key.id, 1, _FIRST) if last is None else (last.chain, last.seq + 1, last.mac)
    body = _body(unit.connection, offer_id, {"chain": chain, "seq": seq, "previous": previous, "at": _plain(at)})
    made = Seal(
        chain=chain,
        seq=seq,
        offer_id=offer_id,
        at=at,
        body=body,
        previous=previous,
        mac=_code(key, previous, body),
        key_id=key.id,
    )
    unit.seals.add(made)
    return made


def _key(unit: Unit, keys: Keys) -> Key:
    known = keys.all()
    foreign = unit.seals.brought_along()
    for chain, key_id in sorted(unit.seals.keys_used()):
        if key_id not in known and chain not in foreign:
            raise DamagedError(say("store.seal-key", key=key_id), fix=say("store.seal-key-do"))
    return keys.current() or keys.make()


def _code(key: Key, previous: str, body: str) -> str:
    return hmac.new(key.secret, f"{previous}{body}".encode(), hashlib.sha256).hexdigest()


def _body(connection: Connection, offer_id: str, place: Mapping[str, Any]) -> str:
    """Return what is sealed, from the rows as they are now."""
    told = {
        "form": _FORM,
        **place,
        "offer": _row(connection, tables.offer, tables.offer.c.id == offer_id),
        "acceptance": _row(connection, tables.acceptance, tables.acceptance.c.offer_id == offer_id),
    }
    return rfc8785.dumps(told).decode()


def _row(connection: Connection, table: Table, where: Any) -> dict[str, Any] | None:
    row = connection.execute(select(table).where(where)).mappings().one_or_none()
    return None if row is None else {name: _plain(value) for name, value in row.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat()
    return value.isoformat() if isinstance(value, dt.date) else value


# --- the short form -------------------------------------------------------------------------------


def short_form(mac: str) -> str:
    """Return the code as it is printed: its first 80 bits in four groups of four.

    Parameters
    ----------
    mac : str
        The whole code, in hexadecimal.

    Examples
    --------
    >>> short_form("00" * 32), short_form("ff" * 32)
    ('0000-0000-0000-0000', 'ZZZZ-ZZZZ-ZZZZ-ZZZZ')
    """
    number = int(mac[:20], 16)
    letters = [_LETTERS[number >> 5 * place & 31] for place in reversed(range(_GROUPS * _OF))]
    return "-".join("".join(letters[start : start + _OF]) for start in range(0, _GROUPS * _OF, _OF))


def read_short_form(text: str) -> str:
    """Return a printed code as `short_form` writes it, however it was typed.

    Examples
    --------
    >>> read_short_form(" o123 il4a-zzzz zzzz ")
    '0123-114A-ZZZZ-ZZZZ'
    """
    plain = "".join(letter for letter in text.upper() if letter.isalnum())
    plain = plain.translate(str.maketrans("OIL", "011"))
    return "-".join(plain[start : start + _OF] for start in range(0, len(plain), _OF))


def with_short_form(unit: Unit, text: str) -> Seal | None:
    """Return the seal whose printed code a text is, or None."""
    wanted = read_short_form(text)
    return next((one for one in unit.seals.all() if short_form(one.mac) == wanted), None)


# --- looking at them ------------------------------------------------------------------------------


def verify_seals(
    unit: Unit, keys: Keys, offer_id: str | None = None, *, reads_files: bool = True
) -> tuple[Complaint, ...]:
    """Return everything about accepted offers and their seals that is not as it was sealed.

    Parameters
    ----------
    unit : Unit
        That reads.
    keys : Keys
        The office's.
    offer_id : str or None
        Look at the rows and files of this offer alone; at every code all the same.
    reads_files : bool
        Whether each kept file is read, which takes long; else only whether it is there.

    Returns
    -------
    tuple of Complaint
        Each at the id of an offer, or of a chain; a note for seals of another office, which cannot be looked at here.

    Raises
    ------
    DamagedError, StoreError
        If a key cannot be read.
    """
    known = keys.all()
    foreign = unit.seals.brought_along()
    found: list[Complaint] = []
    for chain, seals in itertools.groupby(unit.seals.all(), key=lambda one: one.chain):
        of = tuple(seals)
        if chain in foreign and not any(one.key_id in known for one in of):
            found += [_wrong("seal-foreign", one.offer_id, weight="note", seal=one.seq) for one in of]
        else:
            found += _chain(of, known)
        for one in of:
            if offer_id in (None, one.offer_id):
                found += _changed(unit.connection, one)
                found += _lost(unit.blobs, one, reads_files)
    return (*found, *_unsealed(unit.connection))


def _wrong(code: str, at: str, *, weight: Any = "error", **values: object) -> Complaint:
    return Complaint("seals", at, code, weight, say(f"store.{code}", **values), say(f"store.{code}-do"))


def _chain(seals: tuple[Seal, ...], keys: Mapping[str, Key]) -> Iterator[Complaint]:
    """Yield what is wrong with the codes of one chain, and with their order."""
    before: tuple[int, frozenset[str]] = (0, frozenset({_FIRST}))
    for one in seals:
        for seq in range(before[0] + 1, one.seq):
            yield _wrong("seal-missing", one.chain, seal=seq)
        key = keys.get(one.key_id)
        code = None if key is None else _code(key, one.previous, one.body)
        if code is None:
            yield _wrong("seal-key", one.offer_id, key=one.key_id)
        elif not hmac.compare_digest(code, one.mac):
            yield _wrong("seal-changed", one.offer_id, seal=one.seq)
        elif not _is_in_place(one, before):
            yield _wrong("seal-moved", one.offer_id, seal=one.seq)
        # Where this code was changed, the next seal names the one that it was.
        before = one.seq, frozenset({one.mac} if code is None else {one.mac, code})


def _is_in_place(one: Seal, before: tuple[int, frozenset[str]]) -> bool:
    """Tell whether a seal stands where its body says, behind the seal that its body names."""
    told = _told(one)
    is_here = (told.get("chain"), told.get("seq"), told.get("previous")) == (one.chain, one.seq, one.previous)
    return is_here and (before[0] != one.seq - 1 or one.previous in before[1])


def _told(one: Seal) -> Mapping[str, Any]:

    try:
        told = json.loads(one.body)
    except ValueError:
        return {}
    return cast("Mapping[str, Any]", told) if isinstance(told, dict) else {}


def _changed(connection: Connection, one: Seal) -> Iterator[Complaint]:
    """Yield a sealed offer that is no longer as its seal says."""
    told = _told(one)
    place = {name: told.get(name) for name in ("chain", "seq", "previous", "at")}
    if _body(connection, one.offer_id, place) == one.body:
        return
    parts = {"offer": tables.offer.c.id, "acceptance": tables.acceptance.c.offer_id}
    changed = [
        f"{name}.{column}"
        for name, id in parts.items()
        for column in _differing(_row(connection, id.table, id == one.offer_id), told.get(name))
    ]
    yield _wrong("offer-changed", one.offer_id, seal=one.seq, names=", ".join(changed[:8]) or "?")


def _lost(blobs: Blobs, one: Seal, reads: bool) -> Iterator[Complaint]:
    """Yield the files of a sealed offer that are gone or changed."""
    for sha256 in sorted(_files(_told(one))):
        try:
            if reads or not blobs.has(sha256):
                blobs.get(sha256)
        except DamagedError as error:
            yield _wrong("offer-file", one.offer_id, seal=one.seq, why=error.problem)


def _differing(here: Mapping[str, Any] | None, told: object) -> list[str]:
    here, sealed = here or {}, cast("Mapping[str, Any]", told) if isinstance(told, dict) else {}
    return [name for name in sorted({*here, *sealed}) if here.get(name) != sealed.get(name)]


def _files(told: Mapping[str, Any]) -> set[str]:
    """Return the SHA-256 of every file that a sealed body names."""
    offer = told.get("offer") or {}
    named = [offer.get("answers") or {}, (offer.get("inputs") or {}).get("files") or {}]
    return {str(sha256) for of in named for sha256 in of.values()}


def _unsealed(connection: Connection) -> Iterator[Complaint]:
    """Yield offers that are accepted and have no seal, or have an acceptance and are not accepted."""
    offer, seal, acceptance = tables.offer.c, tables.seal.c, tables.acceptance.c
    joined = (
        select(offer.id, offer.number, offer.revision, offer.state, seal.seq, acceptance.id.label("acceptance"))
        .outerjoin(tables.seal, seal.offer_id == offer.id)
        .outerjoin(tables.acceptance, acceptance.offer_id == offer.id)
        .where((offer.state == "accepted") | acceptance.id.is_not(None))
        .order_by(offer.id)
    )
    for row in connection.execute(joined).mappings():
        if row["seq"] is None:
            yield _wrong("offer-unsealed", row["id"], number=row["number"], revision=row["revision"])
