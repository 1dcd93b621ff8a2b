"""Own certificate files: tried before anything is opened, so that what is wrong with them is said in words."""

from __future__ import annotations

import ssl
from dataclasses import dataclass
from pathlib import Path

from courtwright.errors import CallError
from courtwright.says import Says, say

#: Of OpenSSL: what a certificate's check ends with.
_NOT_YET, _EXPIRED = 9, 10


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate that works with its key.

    Parameters
    ----------
    context : SSLContext
        Speaks TLS 1.2 or newer with it.
    names : tuple of str
        The host names and addresses that it is for.
    """

    context: ssl.SSLContext
    names: tuple[str, ...]


def open_certificate(certificate: Path, key: Path) -> Certificate:
    """Return a certificate, tried with its key.

    Raises
    ------
    CallError
        If a file is missing, unreadable or none of its kind, the key is another's or locked, or the certificate is
        not valid today or not for servers.
    """
    for file in (certificate, key):
        try:
            file.read_bytes()
        except OSError as error:
            raise _wrong(file, say("api.tls-unreadable", detail=str(error.strerror))) from error
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.options |= ssl.OP_NO_RENEGOTIATION | ssl.OP_NO_COMPRESSION
    context.set_alpn_protocols(["http/1.1"])
    try:
        context.load_cert_chain(certificate, key, _locked)
    except _LockedError as error:
        raise _wrong(key, say("api.tls-locked"), say("api.tls-locked-do")) from error
    except ssl.SSLError as error:
        if error.reason == "KEY_VALUES_MISMATCH":
            raise _wrong(certificate, say("api.tls-mismatch", key=str(key)), say("api.tls-mismatch-do")) from error
        raise _wrong(certificate, say("api.tls-not-pem", key=str(key)), say("api.tls-not-pem-do")) from error
    return Certificate(context, _names(certificate, context))


class _LockedError(Exception):
    """The key asks for a password, which nobody is there to type."""


def _locked() -> str:
    raise _LockedError


def _wrong(file: Path, problem: Says, fix: Says | None = None) -> CallError:
    return CallError(problem, where=str(file), fix=fix or say("api.tls-unreadable-do"))


def _names(file: Path, context: ssl.SSLContext) -> tuple[str, ...]:
    """Return the names of a certificate, by greeting ourselves with it as a browser that trusts it would."""
    trusting = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    trusting.check_hostname = False
    trusting.load_verify_locations(file)
    trusting.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN
    ours, theirs = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = trusting.wrap_bio(ours, theirs, server_side=False)
    server = context.wrap_bio(theirs, ours, server_side=True)
    try:
        for side in (client, server, client, server, client):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    except ssl.SSLCertVerificationError as error:
        id = {_EXPIRED: "api.tls-expired", _NOT_YET: "api.tls-not-yet"}.get(error.verify_code, "api.tls-refused")
        raise _wrong(file, say(id, detail=error.verify_message), say("api.tls-expired-do")) from error
    told = client.getpeercert() or {}
    return tuple(str(pair[1]) for pair in told.get("subjectAltName", ()) if len(pair) == 2)
