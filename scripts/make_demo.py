"""Make the demo site that ships with the package, or check that the shipped one is what this script makes.

    python scripts/make_demo.py            writes src/courtwright/site/demo_site
    python scripts/make_demo.py DIR        writes DIR
    python scripts/make_demo.py --check    exits 1 when the shipped files differ from fresh ones

The same bytes come out of every run on one machine. Photos are compared by their pixels, because
another build of the JPEG library may pack the same picture differently.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from demo.folder import files
from PIL import Image

SHIPPED = Path(__file__).resolve().parents[1] / "src" / "courtwright" / "site" / "demo_site"
#: Mean difference of two pictures that are told apart, in levels of 255.
PICTURE_TOLERANCE = 2.0


def write(folder: Path) -> None:
    """Write the demo site to a folder, leaving what else is there."""
    for name, content in files().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def differences(folder: Path) -> list[str]:
    """Return what in a folder is not what this script makes, one sentence a file."""
    fresh = files()
    found = [f"{name} is missing" for name in fresh if not (folder / name).is_file()]
    present = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    found += [f"{name} is not made by this script" for name in sorted(present - fresh.keys())]
    for name in sorted(present & fresh.keys()):
        shipped = (folder / name).read_bytes()
        is_photo = name.endswith(".jpg")
        same = _same_picture(shipped, fresh[name]) if is_photo else shipped == fresh[name]
        if not same:
            found.append(f"{name} differs")
    return found


def _same_picture(a: bytes, b: bytes) -> bool:
    one, two = Image.open(io.BytesIO(a)), Image.open(io.BytesIO(b))
    if one.size != two.size or one.getexif() != two.getexif():
        return False
    gap = np.abs(np.asarray(one, dtype=float) - np.asarray(two, dtype=float))
    return float(gap.mean()) < PICTURE_TOLERANCE


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the script with what follows its name on the command line; return its exit code."""
    parser = argparse.ArgumentParser(description="Make the demo site, or check the shipped one.")
    parser.add_argument("folder", nargs="?", type=Path, default=SHIPPED, help="where to write, or what to check")
    parser.add_argument("--check", action="store_true", help="compare instead of writing")
    wanted = parser.parse_args(arguments)
    if not wanted.check:
        write(wanted.folder)
        return 0
    found = differences(wanted.folder)
    for line in found:
        print(line, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
