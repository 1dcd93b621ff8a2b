"""Every file of a collection of broken and lying ones, as the shots of a pad: read or refused in words, at once."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ..places import ROOT, shared_data

#: Reads every file of a folder as a pad's shots and tells how each went; dies where memory runs out.
PROGRAM = """
import json, resource, sys, time
from pathlib import Path
resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
from courtwright.site.files import HeldFiles
from courtwright.site.folder import read_files

SITE = b'[[pad]]\\nid = "a"\\noutline = [[0,0],[60,0],[60,120],[0,120]]\\nshots = "given"\\n'
for path in sorted(Path(sys.argv[1]).rglob("*")):
    if not path.is_file() or path.stat().st_size > 50_000_000:
        continue
    began = time.monotonic()
    record = read_files(HeldFiles({"site.toml": SITE, "given": path.read_bytes()}), "given")
    codes = [complaint.code for complaint in record.complaints]
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(json.dumps([path.name, time.monotonic() - began, used, codes, record.pads[0].shots is not None]), flush=True)
"""


FOLDERS = (
    "csv_csvkit", "csv_spectrum", "dxf_broken", "exif_fuzz_metadata_extractor", "gofuzz", "heif", "las_pdal", "pillow",
    "tiff_rasterio", "xml_defusedxml", "zip_zip2",
)  # fmt: skip
LARGEST = 50_000_000


@pytest.mark.parametrize("folder", FOLDERS)
def test_hostile_files_are_read_or_refused_within_5_s_and_1_gb(folder: str):
    there = shared_data("hostile", folder)
    call = [sys.executable, "-W", "ignore", "-c", PROGRAM, str(there)]
    done = subprocess.run(call, capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stderr[-2000:]
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    files = [path for path in Path(there).rglob("*") if path.is_file() and path.stat().st_size <= LARGEST]
    assert len(lines) == len(files)
    for name, took, used, codes, has_shots in lines:
        assert took < 5, name
        assert used < 1.0, name
        assert codes or has_shots, name
