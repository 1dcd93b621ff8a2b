"""Seals: what was accepted cannot be changed without being told which offer; what cannot be found is said as well."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import rfc8785
from sqlalchemy import Connection, delete, text, update

from courtwright.desk.jobs import open_job
from courtwright.desk.office import Office
from courtwright.errors import ConflictError, DamagedError, StoreError
from courtwright.store import tables
from courtwright.store.hand import Hand
from courtwright.store.keys import Keys
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.offers import Offer
from courtwright.store.seals import read_short_form, seal, short_form, verify_seals, with_short_form
from courtwright.trade.words import render
from tests.desk.jobs import ESTIMATOR

SAYS = {"kind": "offer", "pads": [{"id": "a", "options": [{"id": "repair", "firm_price": 12300.5}]}]}


def sealed(office: Office, count: int = 1) -> list[Offer]:
    """Return offers that were accepted and sealed, one job each."""
    made: list[Offer] = []
    for number in range(count):
        job = open_job(office, ESTIMATOR, {"name": f"job {number}"}).id
        with office.writing(ESTIMATOR) as unit:
            walk = unit.walks.add(office.new_id(), job_id=job, name="walk", walked_on=None)
            offer = unit.offers.add(
                office.new_id(),
                job_id=job,
                walk_id=walk.id,
                number=1,
                revision=1,
                state="sent",
                language="en",
                issued_on=office.now().date(),
                expires_on=None,
                request={"budget": False, "seed": 1, "start": None},
                inputs={"walk_seq": 3, "files": {"site.toml": unit.keep(f"site {number}".encode())}},
                answers={"offer/offer.pdf": unit.keep(f"pdf {number}".encode())},
                says=SAYS,
                declined_because=None,
            )
            at = unit.offers.hand.at
            values = {"name": "Rosa", "consent": "I do", "signed_on": None, "at": at, "who": "link:x"}
            unit.acceptances.add(Acceptance(id=office.new_id(), offer_id=offer.id, options={"a": "repair"}, **values))
            made.append(unit.offers.change(offer.id, None, state="accepted"))
            seal(unit, keys(office), offer.id, at)
    return made


def keys(office: Office) -> Keys:
    assert office.keys is not None
    return office.keys


def found(office: Office) -> list[tuple[str, str]]:
    """Return what is wrong: code and place; every sentence can be told in both languages."""
    with office.reading() as unit:
        complaints = verify_seals(unit, keys(office))
    for one in complaints:
        assert all(render(says, language, "us") for says in (one.says, one.do) for language in ("en", "es"))
    return [(one.code, one.at) for one in complaints]


def tampered(office: Office, change: Callable[[Connection], object]) -> list[tuple[str, str]]:
    """Change the database as somebody could who has its file and knows our guards; return what is then found."""
    with office.store.engine.connect().execution_options(writes=True) as connection, connection.begin():
        _unguard(connection)
        change(connection)
    return found(office)


def _unguard(connection: Connection) -> None:
    for table in ("offer", "acceptance", "seal", "blob"):
        if connection.dialect.name == "postgresql":
            connection.execute(text(f"ALTER TABLE {table} DISABLE TRIGGER USER"))
            continue
        named = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = :table"
        for (name,) in connection.execute(text(named), {"table": table}).all():
            connection.execute(text(f"DROP TRIGGER {name}"))


# --- laws ---------------------------------------------------------------------------------------


def test_whole_seals_are_found_whole(office: Office) -> None:
    """Nothing is wrong with offers as they were accepted, one after the other."""
    sealed(office, 4)
    assert found(office) == []


def test_the_code_is_that_of_anybody_who_has_the_key(office: Office) -> None:
    """HMAC-SHA-256 of the code before and the canonical body, written here once more with nothing of ours."""
    first, second = sealed(office, 2)
    key = keys(office).current()
    assert key is not None
    with office.reading() as unit:
        one, two = unit.seals.of(first.id), unit.seals.of(second.id)
    assert one is not None
    assert two is not None
    for made, previous in ((one, "0" * 64), (two, one.mac)):
        told = json.loads(made.body)
        assert rfc8785.dumps(told).decode() == made.body
        assert made.previous == told["previous"] == previous
        code = hmac.new(key.secret, (previous + made.body).encode(), hashlib.sha256).hexdigest()
        assert made.mac == code
    assert json.loads(two.body)["offer"]["says"] == SAYS


def test_the_database_refuses_to_change_what_was_accepted(office: Office) -> None:
    """Without taking the guards away nobody changes or deletes an accepted offer, its acceptance or its seal."""
    (offer,) = sealed(office)
    for table in (tables.offer, tables.acceptance, tables.seal):
        mine = table.c.id == offer.id if table is tables.offer else table.c.offer_id == offer.id
        name = {"offer": "number", "acceptance": "name", "seal": "body"}[table.name]
        for change in (delete(table).where(mine), update(table).where(mine).values({name: 9})):
            with pytest.raises(ConflictError), office.store.writing(Hand("x", office.now())) as unit:
                unit.connection.execute(change)
    assert found(office) == []


@pytest.mark.parametrize("which", [0, 1, 2])
def test_a_changed_offer_is_named(office: Office, which: int) -> None:
    """The price in what it says, one column of its row: that offer, and no other."""
    made = sealed(office, 3)
    offer = tables.offer
    cheaper = json.loads(json.dumps(SAYS).replace("12300.5", "1230.5"))
    changed = update(offer).where(offer.c.id == made[which].id).values(says=cheaper)
    assert tampered(office, lambda db: db.execute(changed)) == [("offer-changed", made[which].id)]


def test_every_column_is_sealed(office: Office) -> None:
    """Whichever column of the offer or of the acceptance is changed, it is found."""
    (offer,) = sealed(office)
    for table, mine in (
        (tables.offer, tables.offer.c.id == offer.id),
        (tables.acceptance, tables.acceptance.c.offer_id == offer.id),
    ):
        for column in table.columns:
            if column.name == "id" or column.foreign_keys:
                continue
            with office.reading() as unit:
                was = unit.connection.execute(table.select().where(mine)).mappings().one()[column.name]
            other = _other(was, column.type.python_type if column.name != "withdrawn_at" else None, office)
            change = update(table).where(mine).values({column.name: other})
            back = update(table).where(mine).values({column.name: was})
            assert tampered(office, lambda db, change=change: db.execute(change)), column
            assert tampered(office, lambda db, back=back: db.execute(back)) == [], column


def _other(was: object, kind: type | None, office: Office) -> object:
    if isinstance(was, dict) or (was is None and kind is None):
        return {"x": 1} if isinstance(was, dict) else office.now()
    if was is None:
        return {str: "x"}.get(kind or str, office.now().date())
    if isinstance(was, int):
        return was + 1
    if isinstance(was, str):
        return "draft" if was == "accepted" else f"{was[:-1]}~"
    return was.replace(year=was.year + 1)  # type: ignore[attr-defined]  # a date or a moment


def test_a_changed_acceptance_is_named(office: Office) -> None:
    """Another option or another name is not what was agreed to."""
    first, second = sealed(office, 2)
    table = tables.acceptance
    changed = update(table).where(table.c.offer_id == second.id).values(options={"a": "rebuild"})
    assert tampered(office, lambda db: db.execute(changed)) == [("offer-changed", second.id)]
    assert first.id != second.id


def test_a_changed_file_is_named(office: Office) -> None:
    """One byte of the paper, or the file gone altogether."""
    first, second = sealed(office, 2)
    files = Path(str(office.store.blobs._root))  # type: ignore[attr-defined]  # where the bytes lie on the disk
    sha256 = hashlib.sha256(b"pdf 0").hexdigest()
    path = files / sha256[:2] / sha256
    path.chmod(0o600)
    path.write_bytes(b"pdf 9")
    assert found(office) == [("offer-file", first.id)]
    with office.reading() as unit:
        assert verify_seals(unit, keys(office), reads_files=False) == ()
        assert verify_seals(unit, keys(office), second.id) == ()
        assert [one.at for one in verify_seals(unit, keys(office), first.id)] == [first.id]
    path.unlink()
    assert found(office) == [("offer-file", first.id)]
    with office.reading() as unit:
        assert [one.at for one in verify_seals(unit, keys(office), reads_files=False)] == [first.id]


def test_a_seal_out_of_the_middle_is_missed(office: Office) -> None:
    """The place in the chain and the offer that stands there without a seal."""
    made = sealed(office, 3)
    table = tables.seal
    chain = _chain(office)
    gone = tampered(office, lambda db: db.execute(delete(table).where(table.c.offer_id == made[1].id)))
    assert gone == [("seal-missing", chain), ("offer-unsealed", made[1].id)]


def test_an_offer_taken_out_whole_is_missed(office: Office) -> None:
    """Seal, acceptance and offer are gone: the gap in the chain tells."""
    made = sealed(office, 3)
    chain = _chain(office)

    def whole(db: Connection) -> None:
        for table, column in ((tables.seal, "offer_id"), (tables.acceptance, "offer_id"), (tables.offer, "id")):
            db.execute(delete(table).where(table.c[column] == made[0].id))

    assert tampered(office, whole) == [("seal-missing", chain)]


def test_closing_the_gap_by_new_numbers_does_not_help(office: Office) -> None:
    """A seal that moves up says itself where it was made."""
    made = sealed(office, 3)

    def whole(db: Connection) -> None:
        for table, column in ((tables.seal, "offer_id"), (tables.acceptance, "offer_id"), (tables.offer, "id")):
            db.execute(delete(table).where(table.c[column] == made[1].id))
        db.execute(update(tables.seal).where(tables.seal.c.seq == 3).values(seq=2))

    assert tampered(office, whole) == [("seal-moved", made[2].id)]


def test_seals_that_change_places_are_named(office: Office) -> None:
    """Both of them, and not the third."""
    made = sealed(office, 3)
    table = tables.seal

    def swap(db: Connection) -> None:
        for was, now in ((1, 99), (2, 1), (99, 2)):
            db.execute(update(table).where(table.c.seq == was).values(seq=now))

    places = {place for code, place in tampered(office, swap) if code == "seal-moved"}
    assert {made[0].id, made[1].id} <= places


def test_a_seal_of_another_offer_does_not_fit(office: Office) -> None:
    """Bodies and codes exchanged between two rows."""
    made = sealed(office, 2)
    table = tables.seal
    with office.reading() as unit:
        one, two = unit.seals.of(made[0].id), unit.seals.of(made[1].id)
    assert one is not None
    assert two is not None

    def swap(db: Connection) -> None:
        for of, other, mac in ((one, two, "x"), (two, one, one.mac), (one, two, two.mac)):
            db.execute(update(table).where(table.c.offer_id == of.offer_id).values(body=other.body, mac=mac))

    assert {place for _, place in tampered(office, swap)} == {made[0].id, made[1].id}


def test_a_seal_made_without_the_key_is_named(office: Office, tmp_path: Path) -> None:
    """Somebody makes up an accepted offer with a key of their own, under the office's key id or under another's."""
    first, second = sealed(office, 2)
    forger = Keys(tmp_path / "forged").make()
    table = tables.seal
    with office.reading() as unit:
        last = unit.seals.of(second.id)
    assert last is not None
    body = last.body.replace("12300.5", "1230.5")
    mac = hmac.new(forger.secret, f"{last.previous}{body}".encode(), hashlib.sha256).hexdigest()
    mine = table.c.offer_id == second.id
    forged = update(table).where(mine).values(body=body, mac=mac)
    assert ("seal-changed", second.id) in tampered(office, lambda db: db.execute(forged))
    renamed = update(table).where(mine).values(key_id=forger.id)
    assert ("seal-key", second.id) in tampered(office, lambda db: db.execute(renamed))
    assert not any(place == first.id for _, place in found(office))


def test_an_acceptance_that_was_made_up_is_named(office: Office) -> None:
    """An offer put to accepted in the database has no seal."""
    (offer,) = sealed(office)
    with office.reading() as unit:
        row = dict(unit.connection.execute(tables.offer.select()).mappings().one())
    copy = {**row, "id": "00000000-0000-0000-0000-0000000000ff", "number": 2}
    assert tampered(office, lambda db: db.execute(tables.offer.insert().values(copy))) == [
        ("offer-unsealed", copy["id"])
    ]
    assert offer.id != copy["id"]


def test_the_newest_taken_away_whole_is_told_by_its_paper_alone(office: Office) -> None:
    """A shorter chain fits: what is honest is that nothing is found, and that the code on the paper finds nothing."""
    made = sealed(office, 2)
    with office.reading() as unit:
        last = unit.seals.of(made[1].id)
    assert last is not None

    def whole(db: Connection) -> None:
        for table, column in ((tables.seal, "offer_id"), (tables.acceptance, "offer_id"), (tables.offer, "id")):
            db.execute(delete(table).where(table.c[column] == made[1].id))

    assert tampered(office, whole) == []
    with office.reading() as unit:
        assert with_short_form(unit, short_form(last.mac)) is None


def test_the_printed_code_finds_its_offer_however_it_is_typed(office: Office) -> None:
    """Small letters, spaces, and letters that look like digits."""
    made = sealed(office, 3)
    with office.reading() as unit:
        for offer in made:
            one = unit.seals.of(offer.id)
            assert one is not None
            code = short_form(one.mac)
            typed = code.lower().replace("-", " ").replace("0", "o").replace("1", "l")
            assert with_short_form(unit, typed) == one
            assert read_short_form(code) == code


def test_seals_under_a_key_put_aside_still_hold(office: Office) -> None:
    """A new key goes on with the chain; the one before it stays, under its id, for what it sealed."""
    first = sealed(office)[0]
    keys(office).rotate()
    second = sealed(office)[0]
    with office.reading() as unit:
        one, two = unit.seals.of(first.id), unit.seals.of(second.id)
    assert one is not None
    assert two is not None
    assert (two.chain, two.seq, two.previous) == (one.chain, 2, one.mac)
    assert one.key_id != two.key_id
    assert found(office) == []


def test_an_offer_is_sealed_once(office: Office) -> None:
    """A second seal is refused."""
    (offer,) = sealed(office)
    with pytest.raises(ConflictError), office.writing(ESTIMATOR) as unit:
        seal(unit, keys(office), offer.id, office.now())


def _chain(office: Office) -> str:
    with office.reading() as unit:
        return unit.seals.all()[0].chain


# --- keys ---------------------------------------------------------------------------------------


def test_a_key_is_for_this_user_alone(tmp_path: Path) -> None:
    """32 bytes, mode 0600, nothing left beside it; made once, whoever asks."""
    folder = tmp_path / "keys"
    first, second = Keys(folder).make(), Keys(folder).make()
    assert first == second
    assert [path.name for path in folder.iterdir()] == ["seal.key"]
    assert (folder / "seal.key").stat().st_mode & 0o777 == 0o600
    assert len((folder / "seal.key").read_bytes()) == 32
    assert hashlib.sha256(first.secret).hexdigest().startswith(first.id)
    assert first.secret.hex() not in repr(first)


def test_rotated_keys_are_all_there(tmp_path: Path) -> None:
    """Each under its own id."""
    here = Keys(tmp_path)
    made = [here.make(), here.rotate(), here.rotate()]
    assert here.all() == {key.id: key for key in made}
    assert here.current() == made[-1]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")
def test_a_key_that_others_may_read_is_refused_in_words(tmp_path: Path) -> None:
    """It is no secret any more."""
    Keys(tmp_path).make()
    (tmp_path / "seal.key").chmod(0o640)
    with pytest.raises(StoreError, match=r"store\.key-open"):
        Keys(tmp_path).current()


@pytest.mark.parametrize("content", [b"", b"x" * 31, b"x" * 33])
def test_what_is_no_key_is_refused(tmp_path: Path, content: bytes) -> None:
    """Cut short or too long."""
    path = tmp_path / "seal.key"
    path.write_bytes(content)
    path.chmod(0o600)
    with pytest.raises(DamagedError, match=r"store\.key-broken"):
        Keys(tmp_path).make()


@pytest.mark.parametrize("is_new_key_there", [False, True])
def test_a_lost_key_is_told_and_not_replaced(office: Office, tmp_path: Path, is_new_key_there: bool) -> None:
    """Neither with an empty folder nor with another key in its place is anything sealed; nothing was changed."""
    made = sealed(office, 2)
    other = Keys(tmp_path / "other")
    if is_new_key_there:
        other.make()
    with pytest.raises(DamagedError, match=r"store\.seal-key"):
        sealed(replace(office, keys=other))
    with office.reading() as unit:
        complaints = verify_seals(unit, other)
    assert [(one.code, one.at) for one in complaints] == [("seal-key", offer.id) for offer in made]
    assert (other.current() is not None) == is_new_key_there
    assert found(office) == []


def test_seals_that_came_with_a_job_are_noted_and_do_not_keep_the_office_from_sealing(
    office: Office, tmp_path: Path
) -> None:
    """An unpacked job brings seals of a key that is not here: a note for each; the office begins its own chain."""
    foreign = replace(office, keys=Keys(tmp_path / "elsewhere"))
    (theirs,) = sealed(foreign)
    with office.writing(ESTIMATOR) as unit:
        unit.changes.note(unit.offers.hand, "unpacked", theirs.job_id)
    (ours,) = sealed(office)
    assert found(office) == [("seal-foreign", theirs.id)]
    with office.reading() as unit:
        here, there = unit.seals.of(ours.id), unit.seals.of(theirs.id)
    assert here is not None
    assert there is not None
    assert (here.seq, there.seq) == (1, 1)
    assert here.chain != there.chain
    assert found(foreign) != []
