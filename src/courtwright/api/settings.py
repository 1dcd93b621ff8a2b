"""The settings of the service: one frozen record, read once at the edge.

Options of the command win over the environment (``COURTWRIGHT_PORT`` for ``port``), which wins over the defaults.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from courtwright.errors import CallError
from courtwright.says import Says, say

if TYPE_CHECKING:
    from courtwright.desk.places import Places

PREFIX = "COURTWRIGHT_"


@dataclass(frozen=True, slots=True)
class Settings:
    """What the service runs with; ``setting_says`` tells what each field is for."""

    data: Path
    database: str = field(default="", repr=False)  # may hold a password
    blobs: str = ""
    host: str = "127.0.0.1"
    port: int = 8787
    address: str = ""
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None
    proxies: tuple[str, ...] = ()
    without_tls: bool = False
    workers: int = 1
    stop_within_s: int = 10
    log: str = ""

    @property
    def places(self) -> Places:
        """Where the office keeps its things."""
        from courtwright.desk.places import places_in

        return places_in(self.data, self.database or None, self.blobs or None)

    @property
    def log_file(self) -> Path | None:
        """Where the log goes; None for standard error."""
        return None if self.log == "-" else Path(self.log) if self.log else self.data / "log" / "service.jsonl"

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine can reach the service."""
        return _is_loopback(self.host)


def setting_says(name: str) -> Says:
    """Return what a setting is for."""
    return say(f"api.setting-{name}")


def read_settings(options: Mapping[str, object], environment: Mapping[str, str], data: Path, cores: int) -> Settings:
    """Return the settings.

    Parameters
    ----------
    options : mapping
        By field; None, or an empty list, where the command was not told.
    environment : mapping
        Of the process.
    data : Path
        The data folder where nobody names another.
    cores : int
        Of the machine; one is left to the service itself. [-]

    Raises
    ------
    CallError
        With every wrong setting, not only the first.
    """
    given: dict[str, object] = {"data": data, "workers": max(1, cores - 1)}
    wrong: list[Says] = []
    for name, read in _READERS.items():
        value = options.get(name)
        if value is None or value == ():
            value = environment.get(PREFIX + name.upper()) or None
        if value is None:
            continue
        try:
            given[name] = read(value)
        except ValueError:
            wrong.append(say(f"api.wrong-{_KIND[read]}", name=_shown(name), value=str(value)))
    for name in sorted(key for key in environment if key.startswith(PREFIX)):
        if name.removeprefix(PREFIX).lower() not in _READERS:
            wrong.append(say("api.unknown-setting", name=name))
    if not wrong:
        settings = Settings(**given)  # pyright: ignore[reportArgumentType] – each was read by its own reader
        wrong += _conflicts(settings)
    if wrong:
        raise CallError(say("api.wrong-settings", wrong=tuple(wrong)), fix=say("api.wrong-settings-do"))
    return settings  # pyright: ignore[reportPossiblyUnboundVariable] – unbound only when something was wrong


def _conflicts(settings: Settings) -> list[Says]:
    wrong: list[Says] = []
    if (settings.certificate is None) != (settings.key is None):
        wrong.append(say("api.certificate-without-key"))
    if not settings.is_loopback and settings.certificate is None and not settings.without_tls:
        wrong.append(say("api.without-tls", host=settings.host))
    return wrong


def _shown(name: str) -> str:
    return f"--{name.replace('_', '-')}"


# --- readers ------------------------------------------------------------------------------------


def _text(value: object) -> str:
    if not str(value).isprintable():
        raise ValueError
    return str(value)


def _path(value: object) -> Path:
    return Path(_text(value)).expanduser()


def _port(value: object) -> int:
    return _number(value, 0, 65535)


def _count(value: object) -> int:
    return _number(value, 1, 256)


def _seconds(value: object) -> int:
    return _number(value, 0, 600)


def _number(value: object, least: int, most: int) -> int:
    number = int(str(value))
    if not least <= number <= most:
        raise ValueError
    return number


def _flag(value: object) -> bool:
    if isinstance(value, bool):
        return value
    word = str(value).lower()
    if word not in ("1", "0", "yes", "no", "true", "false"):
        raise ValueError
    return word in ("1", "yes", "true")


def _list(value: object) -> tuple[str, ...]:
    parts = value.split(",") if isinstance(value, str) else [str(v) for v in value] if isinstance(value, tuple) else []
    return tuple(part.strip() for part in parts if part.strip())


_LABEL = r"(?!-)[a-z0-9-]++(?<!-)"
_NAME = re.compile(rf"(\*\.)?{_LABEL}(\.{_LABEL})*+\.?|[0-9a-f.]*+:[0-9a-f:.]*+", re.IGNORECASE)


def _names(value: object) -> tuple[str, ...]:
    names = _list(value)
    if any(not _NAME.fullmatch(name) for name in names):
        raise ValueError
    return names


def _proxies(value: object) -> tuple[str, ...]:
    proxies = _list(value)
    for proxy in proxies:
        network = ipaddress.ip_network(proxy, strict=False)
        if network.prefixlen == 0:
            # To trust everybody's word on who they are is to trust nobody's.
            raise ValueError
    return proxies


def _address(value: object) -> str:
    parts = urlsplit(_text(value))
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.path not in ("", "/") or parts.query:
        raise ValueError
    return f"{parts.scheme}://{parts.netloc}"


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"


_READERS: dict[str, Callable[[object], object]] = {
    "data": _path,
    "database": _text,
    "blobs": _text,
    "host": _text,
    "port": _port,
    "address": _address,
    "names": _names,
    "certificate": _path,
    "key": _path,
    "proxies": _proxies,
    "without_tls": _flag,
    "workers": _count,
    "stop_within_s": _seconds,
    "log": _text,
}

#: What a reader expected, as the end of a text's id.
_KIND: dict[Callable[[object], object], str] = {
    _path: "text",
    _text: "text",
    _port: "port",
    _count: "count",
    _seconds: "seconds",
    _flag: "flag",
    _names: "names",
    _proxies: "proxies",
    _address: "address",
}

assert set(_READERS) == {one.name for one in fields(Settings)}
