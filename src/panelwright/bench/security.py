"""Who may talk to the bench: this machine's own browser pages, and nobody through them.

A page of some other site can make a browser send requests here. It cannot choose the Host and Origin headers,
so these decide: Host has to be one of our own names (else a foreign name was pointed at this machine), and
whatever changes something has to come from our own page.
"""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
READS_ONLY = ("GET", "HEAD")


class OwnPagesOnly:
    """Refuses (403) foreign hosts, and changes that foreign pages ask for; sets the policy on every answer."""

    def __init__(self, app: ASGIApp, names: tuple[str, ...] = LOOPBACK) -> None:
        self.app = app
        self.names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        why_not = self.refusal(scope)
        if why_not and scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": why_not})
        elif why_not:
            await PlainTextResponse(why_not + "\n", 403, headers=HEADERS)(scope, receive, send)
        elif scope["type"] == "http":
            await self.app(scope, receive, _with_headers(send))
        else:
            await self.app(scope, receive, send)

    def refusal(self, scope: Scope) -> str:
        """Why this request is refused, "" if it is not."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _without_port(host) not in self.names:
            return "Refused: the bench answers only to its own address on this machine."
        changes = scope["type"] == "websocket" or scope["method"] not in READS_ONLY
        if changes and headers.get("origin", "").partition("://")[2] != host:
            return "Refused: only the bench's own page may change something."
        return ""


def _without_port(host: str) -> str:
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdigit() else host).lower()


def _with_headers(send: Send) -> Send:
    async def sends(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
        await send(message)

    return sends
