"""The wheel carries all that the program reads: data, texts, fonts, templates and the demo site."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "courtwright"
STATIC = SOURCE / "api" / "static"
built = pytest.mark.skipif(not (STATIC / "index.html").is_file(), reason="the web client is not built: make setup")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """Return the project's wheel, built without a network as ``pip install .`` would build it."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    made = subprocess.run(build, cwd=ROOT, capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr
    (file,) = folder.glob("*.whl")
    return zipfile.ZipFile(file)


def test_every_file_of_the_package_is_in_the_wheel(wheel: zipfile.ZipFile):
    """What the source folder holds, the wheel holds, and nothing else but its own records."""
    there = {n.removeprefix("courtwright/") for n in wheel.namelist() if n.startswith("courtwright/")}
    ours = {f.relative_to(SOURCE).as_posix() for f in SOURCE.rglob("*") if f.is_file() and "__pycache__" not in f.parts}
    assert there == ours


@pytest.mark.parametrize(
    "pattern",
    [
        "py.typed",
        "trade/sources.toml",
        "trade/*/*.toml",
        "trade/text/*.toml",
        "offer/fonts/*.ttf",
        "offer/fonts/OFL.txt",
    ],
)
def test_the_wheel_holds(wheel: zipfile.ZipFile, pattern: str):
    """Each kind of file that the program reads is there."""
    assert any(Path(name).match(f"courtwright/{pattern}") for name in wheel.namelist())


@built
@pytest.mark.parametrize("page", ["index.html", "offer.html"])
def test_the_wheel_holds_each_page_of_the_client_with_what_it_loads(wheel: zipfile.ZipFile, page: str):
    """Git leaves the built client out and the wheel does not: ``courtwright serve`` needs no Node."""
    shipped = set(wheel.namelist())
    text = wheel.read(f"courtwright/api/static/{page}").decode()
    loaded = set(re.findall(r'(?:src|href)="/([^"]+)"', text))
    assert any(name.startswith("assets/") and name.endswith(".js") for name in loaded)
    assert {name for name in loaded if f"courtwright/api/static/{name}" not in shipped} == set()


@built
def test_the_wheel_holds_what_the_client_keeps_on_a_device(wheel: zipfile.ZipFile):
    """Every file of the worker's list, and the worker and what describes the client to a device."""
    shipped = {name.removeprefix("courtwright/api/static/") for name in wheel.namelist() if "/api/static/" in name}
    kept = set(re.findall(r'url:"([^"]+)"|"url":\s*"([^"]+)"', wheel.read("courtwright/api/static/sw.js").decode()))
    names = {one or other for one, other in kept}
    assert {"index.html"} <= names
    assert {*names, "sw.js", "manifest.webmanifest"} <= shipped


def test_the_wheel_names_the_command_the_licences_and_the_dependencies(wheel: zipfile.ZipFile):
    """What is installed is what ``pyproject.toml`` says."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (info,) = {name.split("/")[0] for name in wheel.namelist() if ".dist-info/" in name}
    read = {n: wheel.read(f"{info}/{n}").decode() for n in ("METADATA", "entry_points.txt")}
    assert project["scripts"].keys() == {"courtwright"}
    assert all(f"{name} = {place}" in read["entry_points.txt"] for name, place in project["scripts"].items())
    assert "License-Expression: Apache-2.0" in read["METADATA"]
    assert {f"Requires-Dist: {need}" for need in project["dependencies"]} <= set(read["METADATA"].splitlines())
    assert {f"{info}/licenses/{name}" for name in project["license-files"]} <= set(wheel.namelist())
