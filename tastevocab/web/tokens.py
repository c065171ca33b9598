"""Tokens that open a page: 128 random bits in a cookie, of which the server keeps only the hash."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable

from starlette.responses import Response

BYTES = 16


def new_token() -> str:
    """128 random bits in letters that fit into a cookie or an address."""
    return secrets.token_urlsafe(BYTES)


def digest(token: str) -> str:
    """What is kept of a token. It is random in full, so that a plain hash cannot be guessed backwards."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def is_one_of(token: str | None, digests: Iterable[str]) -> bool:
    """Whether a token as it was sent is one of those kept, in a time that does not tell how near it came."""
    if not token or len(token) > 64:
        return False
    given = digest(token)
    return sum(hmac.compare_digest(given, kept) for kept in digests) > 0


def set_cookie(response: Response, name: str, token: str, path: str, *, days: int = 2) -> None:
    """Give the browser a token, sent back to this server's `path` alone, hidden from scripts and from other sites.

    Without `Secure`: on a local network there is no certificate, the pages are plain http.
    """
    response.set_cookie(name, token, max_age=days * 86400, path=path, httponly=True, samesite="strict")
