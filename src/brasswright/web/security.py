"""What every answer carries and every request must meet: a strict policy, a known host, the same origin, a size.

The pages hold no inline script or style, so the browser is told to refuse both. A request that changes something must
come from these pages: `Origin` (or, where an old browser sends none, `Referer`) must name the host it is sent to, and
that host must be one of those the server was started for. No session, so nothing to steal; no cookie but the name of
the person at the bench.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse

if TYPE_CHECKING:
    from collections.abc import Collection

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["FORM_BYTES", "HEADERS", "LOOPBACK", "PHOTOGRAPH_BYTES", "POLICY", "Guard"]

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
"""Names under which a browser on this machine reaches it."""

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""What the browser is told to refuse: everything that is not ours, and anything inline."""

HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}

FORM_BYTES = 262_144
"""The most that a form without photographs may hold [bytes]."""
PHOTOGRAPH_BYTES = 134_217_728
"""The most that one upload of photographs may hold [bytes]."""
LOGGED_BYTES = 4_194_304
"""The most that a form of an instrument may hold, with its logged curve [bytes]."""

CHANGING = frozenset({"POST", "PUT", "PATCH", "DELETE"})


class TooLarge(Exception):
    """More was sent than is taken; raised while the body is read."""


class Guard:
    """Stands before the pages: refuses foreign hosts, foreign origins and oversized bodies; adds the headers."""

    def __init__(self, app: ASGIApp, *, hosts: Collection[str] = LOOPBACK) -> None:
        """Guard `app`; `hosts` are the host names without port that requests may be sent to."""
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer in its place why not."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        limit = _limit(scope["path"])
        refusal = self._refusal(scope["method"], headers, limit)
        dressed = _dressed(send, scope["path"])
        if refusal is not None:
            await refusal(scope, receive, dressed)
            return
        try:
            await self.app(scope, _counted(receive, limit), dressed)
        except TooLarge:
            await _too_large(limit)(scope, receive, dressed)

    def _refusal(self, method: str, headers: Headers, limit: int) -> PlainTextResponse | None:
        host = headers.get("host", "").lower()
        if _bare(host) not in self.hosts:
            known = ", ".join(sorted(self.hosts))
            return PlainTextResponse(
                f"This bench book is not served under the name '{host}'. It answers to: {known}.\n", 421
            )
        if method in CHANGING and not _from_here(headers, host):
            return PlainTextResponse(
                "This form did not come from the bench book itself, so nothing was entered.\n", 403
            )
        if _said_length(headers) > limit:
            return _too_large(limit)
        return None


def _bare(host: str) -> str:
    """Return the host without its port."""
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdigit() else host


def _from_here(headers: Headers, host: str) -> bool:
    """Whether a changing request comes from a page of this host; a program that sends neither header is let in."""
    if headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        return False
    source = headers.get("origin") or headers.get("referer")
    if source is None:
        return headers.get("sec-fetch-mode") is None
    return urlsplit(source).netloc.lower() == host


def _limit(path: str) -> int:
    """Return the most that a request to this address may hold [bytes]."""
    if path.endswith("/photographs"):
        return PHOTOGRAPH_BYTES
    return LOGGED_BYTES if path.startswith("/instruments/") else FORM_BYTES


def _said_length(headers: Headers) -> int:
    said = headers.get("content-length", "0")
    return int(said) if said.isdigit() else 0


def _too_large(limit: int) -> PlainTextResponse:
    most = limit // 1_048_576 or 1
    less = "a shorter log" if limit == LOGGED_BYTES else "fewer photographs at a time"
    words = f"Too much at once: at most {most} MB are taken. Nothing was entered. Send {less}.\n"
    return PlainTextResponse(words, 413)


def _counted(receive: Receive, limit: int) -> Receive:
    """Return `receive`, counting what comes in."""
    taken = 0

    async def counting() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > limit:
            raise TooLarge
        return message

    return counting


def _dressed(send: Send, path: str) -> Send:
    """Return `send`, adding our headers to the answer."""

    async def dressing(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-cache" if path.startswith("/static/") else "no-store")
        await send(message)

    return dressing
