"""The digest of the trade's data changes with any of it, and with nothing else."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from courtwright.trade.digest import digest_of, trade_digest


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "rates").mkdir()
    (tmp_path / "rates" / "here.toml").write_text("a = 1\n", encoding="utf-8")
    (tmp_path / "curve.csv").write_text("x,y\n", encoding="utf-8")
    return tmp_path


def test_the_digest_is_that_of_a_list_of_checksums(folder: Path):
    """Derived: `sha256sum` of each file by name, "digest name", one a line, and the SHA-256 of these lines."""
    sums = {"curve.csv": hashlib.sha256(b"x,y\n"), "rates/here.toml": hashlib.sha256(b"a = 1\n")}
    lines = "".join(f"{made.hexdigest()} {name}\n" for name, made in sums.items())
    assert digest_of(folder) == hashlib.sha256(lines.encode()).hexdigest()


def test_the_trades_own_digest_is_stable():
    """Read twice, from the package and from its folder, it is the same."""
    import courtwright.trade

    assert trade_digest() == digest_of(Path(courtwright.trade.__file__).parent)


@pytest.mark.parametrize("change", ["content", "name", "more", "less", "deeper"])
def test_any_change_of_the_data_changes_it(change: str, folder: Path):
    """A value, a name, a file more or fewer, a file moved."""
    before, file = digest_of(folder), folder / "rates" / "here.toml"
    match change:
        case "content":
            file.write_text("a = 2\n", encoding="utf-8")
        case "name":
            file.rename(file.with_name("there.toml"))
        case "more":
            (folder / "more.toml").write_text("", encoding="utf-8")
        case "less":
            file.unlink()
        case _:
            file.rename(folder / "here.toml")
    assert digest_of(folder) != before


def test_what_is_no_data_does_not_count(folder: Path):
    """Code, read-mes and the date of a file leave it alone."""
    before = digest_of(folder)
    (folder / "records.py").write_text("x = 1\n", encoding="utf-8")
    (folder / "README.md").write_text("about\n", encoding="utf-8")
    os.utime(folder / "curve.csv", (0, 0))
    assert digest_of(folder) == before
