"""All files of an offer are written, or none."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from courtwright.errors import OutputError
from courtwright.ground.reading import GroundReading
from courtwright.offer import write_offer
from courtwright.offer.writing import plan_names, write_together
from tests.offer import specimens


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_an_offer_is_its_files_and_nothing_else(tmp_path: Path):
    """No temporary file is left, and files of others are left alone."""
    (tmp_path / "notes.txt").write_text("mine")
    written = write_offer(specimens.two_pads(start=specimens.START), tmp_path)
    names = [path.name for path in written]
    assert names == [
        "offer.pdf",
        "plan-upper.svg",
        "plan-lower.svg",
        "quantities.xlsx",
        "site.gpkg",
        "plan.dxf",
        "schedule.ics",
        "offer.json",
    ]
    assert set(content(tmp_path)) == {*names, "notes.txt"}


def test_a_later_offer_replaces_the_earlier_and_takes_away_what_it_no_longer_has(tmp_path: Path):
    """A calendar without a start, and the plan of a pad that is gone, would mislead."""
    write_offer(specimens.two_pads(start=specimens.START), tmp_path)
    before = content(tmp_path)
    write_offer(specimens.one_small_job(), tmp_path)
    after = content(tmp_path)
    assert "schedule.ics" not in after
    assert "plan-upper.svg" not in after
    assert after["offer.pdf"] != before["offer.pdf"]


def test_nothing_outside_the_folder_is_taken_away(tmp_path: Path):
    """Whatever the earlier answer claims to have written."""
    folder = tmp_path / "offer"
    folder.mkdir()
    (tmp_path / "plan-a.svg").write_text("mine")
    (folder / "report.pdf").write_text("mine too")
    (folder / "offer.json").write_text('{"files": ["../plan-a.svg", "report.pdf", "plan-../../x.svg", 7]}')
    write_together({"offer.json": b"{}"}, folder)
    assert (tmp_path / "plan-a.svg").exists()
    assert (folder / "report.pdf").exists()


def test_plans_are_named_whatever_a_pad_is_called():
    """No name leaves the folder, is empty, or is taken twice."""
    names = plan_names(["../../etc/passwd", "a/b", "a\\b", "", "漢字", "A b", "x" * 300])
    assert len(set(names)) == len(names)
    assert all("/" not in name and "\\" not in name and 10 <= len(name) < 120 for name in names)


# --- refusals ------------------------------------------------------------------------------------


def test_a_place_that_cannot_be_written_changes_nothing(tmp_path: Path):
    """One file's place is taken by a folder: the others stay as they were."""
    write_offer(specimens.one_small_job(), tmp_path)
    (tmp_path / "plan.dxf").unlink()
    (tmp_path / "plan.dxf").mkdir()
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    with pytest.raises(OutputError) as refused:
        write_offer(specimens.two_pads(), tmp_path)
    assert refused.value.code == "output"
    assert refused.value.fix is not None
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()} == before


def test_a_move_that_stops_half_way_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """What was already moved is put back as it stood."""
    for name in ("a", "b"):
        (tmp_path / name).write_text(f"old {name}")
    replace_file, moved = Path.replace, []

    def stop_at_the_third(self: Path, target: Path) -> Path:
        if len(moved) == 2:
            raise OSError(28, "No space left on device")
        moved.append(target)
        return replace_file(self, target)

    monkeypatch.setattr(Path, "replace", stop_at_the_third)
    with pytest.raises(OutputError):
        write_together({"a": b"new", "c": b"new", "b": b"new"}, tmp_path)
    monkeypatch.undo()
    assert content(tmp_path) == {"a": b"old a", "b": b"old b"}


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path):
    """And left as it is."""
    taken = tmp_path / "taken"
    taken.write_text("mine")
    with pytest.raises(OutputError) as refused:
        write_together({"a": b"x"}, taken)
    assert refused.value.problem.id == "offer.folder-is-file"
    assert taken.read_text() == "mine"
    with pytest.raises(OutputError):
        write_together({"a": b"x"}, taken / "deeper")


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is closed to root")
def test_a_folder_that_may_not_be_written_is_refused(tmp_path: Path):
    """And stays empty."""
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError):
        write_together({"a": b"x"}, tmp_path)
    tmp_path.chmod(0o700)
    assert content(tmp_path) == {}


def test_a_folder_made_for_nothing_is_taken_away(tmp_path: Path):
    """When the first file already cannot be written."""
    with pytest.raises(OutputError):
        write_together({"no/such/folder": b"x"}, tmp_path / "new" / "deep")
    assert content(tmp_path) == {}


def test_a_mistake_in_the_request_is_found_before_anything_is_written(tmp_path: Path):
    """A pad without a reading: nothing is made."""
    request = specimens.two_pads()
    with pytest.raises(KeyError):
        write_offer(replace(request, ground=GroundReading(())), tmp_path / "new")
    assert not (tmp_path / "new").exists()
