"""Puts the rows of the last benchmarks into docs/explanation/performance.md, between its marked lines."""

from __future__ import annotations

import os
import platform
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from benchmarks.rows import read  # noqa: E402 - the folder of benchmarks is no package that is installed

PAGE = ROOT / "docs" / "explanation" / "performance.md"
BEGIN, END = "<!-- make bench: begin -->", "<!-- make bench: end -->"


def _time(seconds: float) -> str:
    return f"{seconds * 1000:.3g} ms" if seconds < 1 else f"{seconds:.3g} s"


def _lines(rows: dict[str, dict]) -> Iterator[str]:
    days = sorted({row["on"] for row in rows.values()})
    busy = max(float(row["load"]) for row in rows.values())
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    when = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
    yield (
        f"Measured on {when} on {os.cpu_count()} cores ({platform.machine()}, {memory:.0f} GiB, "
        f"Python {platform.python_version()}); best of several runs, libraries loaded and loops compiled."
    )
    if busy > 1.5:
        yield f"The machine did other work besides: up to {busy:.1f} processes wanted its cores; alone it is faster."
    compared = [row for row in rows.values() if "peer" in row]
    if compared:
        yield from (
            "",
            "| what | ours | peer | its time | ours over it | at most |",
            "| --- | ---: | --- | ---: | ---: | ---: |",
        )
        for row in compared:
            ours, theirs = float(row["ours"]), float(row["theirs"])
            ratio = f"{ours / theirs:.2g} | {row['most']:g}"
            yield f"| {row['what']} | {_time(ours)} | {row['peer']} | {_time(theirs)} | {ratio} |"
    kept = [row for row in rows.values() if "peer" not in row]
    if kept:
        yield from ("", "| what | took | at most | memory held |", "| --- | ---: | ---: | ---: |")
        for row in kept:
            held = f"{float(row['held']) / 1e9:.2g} GB" if row.get("held") else ""
            over = " (over)" if float(row["took"]) >= float(row["limit"]) else ""
            yield f"| {row['what']} | {_time(float(row['took']))}{over} | {row['limit']:g} s | {held} |"


def table(rows: dict[str, dict]) -> str:
    """Return the text between the marked lines, of the rows by what was timed."""
    return "\n".join(_lines(rows))


def main() -> None:
    """Write the page again, or say that nothing was measured yet."""
    rows = read()
    if not rows:
        sys.exit("nothing was measured yet: make bench")
    page = PAGE.read_text(encoding="utf-8")
    pattern = re.compile(f"{re.escape(BEGIN)}.*?{re.escape(END)}", re.DOTALL)
    if not pattern.search(page):
        sys.exit(f"{PAGE.name} has no lines {BEGIN} and {END}")
    PAGE.write_text(pattern.sub(lambda _: f"{BEGIN}\n\n{table(rows)}\n\n{END}", page), encoding="utf-8")


if __name__ == "__main__":
    main()
