"""Who may ask for anything: this machine's own browser, with the secret of this start, led here by no other page.

- The server listens on the loop-back address alone; whoever asks from elsewhere is refused all the same.
- `Host` must be this machine's: a name that another page has made to lead here (DNS rebinding) is refused.
- The first part of the path is a secret of this start; without it there is nothing here, not even an error page.
- `Origin` and `Sec-Fetch-Site` must not name another page, and whatever changes something must name this one.
- What is sent has its length said in advance, and is refused by it before a byte is read.
- Every answer carries a content security policy under which nothing from outside loads and no script stands in a page.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sheetcheck.words import tr

LOOP_BACK = "127.0.0.1"
_SECRET_BYTES = 24
_READS, _CHANGES = frozenset({"GET", "HEAD"}), frozenset({"POST"})
_OWN_SITE = frozenset({"same-origin", "none"})  # "none": typed, or opened by a program (Fetch Metadata, W3C)
FORM_BYTES = 1 << 20  # of a form without a file, and of what surrounds a file in one

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'; require-trusted-types-for 'script'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), clipboard-read=()",
    "Cache-Control": "no-store",
}


def new_secret() -> str:
    """Return a secret for the address of one start."""
    return secrets.token_urlsafe(_SECRET_BYTES)


@dataclass(frozen=True)
class Refusal:
    """Why something is not answered."""

    status: int
    why: str


class Guard:
    """Stands before the whole site.

    Parameters
    ----------
    upload
        The one path below the secret that takes a file.
    upload_bytes
        How large that file may be.
    """

    def __init__(self, site: ASGIApp, *, port: int, secret: str, upload: str, upload_bytes: int) -> None:
        self.site, self.secret = site, secret
        self.upload, self.upload_bytes = f"/{secret}{upload}", upload_bytes
        self.hosts = frozenset({f"{LOOP_BACK}:{port}", f"localhost:{port}"})
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse without reading what was sent."""
        if scope["type"] == "lifespan":
            await self.site(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # a socket that stays open is not offered

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
            await send(message)

        refusal = self.refusal(scope)
        if refusal is None:
            await self.site(scope, receive, with_headers)
            return
        answer = PlainTextResponse(refusal.why, refusal.status, headers={"Connection": "close"})
        await answer(scope, receive, with_headers)

    def refusal(self, scope: Scope) -> Refusal | None:
        """Return why a request is refused, None where it may pass."""
        headers, method = Headers(scope=scope), scope["method"]
        client = scope.get("client")
        if client is not None and client[0] != LOOP_BACK:
            return Refusal(403, tr("This page answers its own machine alone."))
        if headers.getlist("host") not in ([host] for host in self.hosts):
            return Refusal(403, tr("This page is not reached under that name."))
        if not self._knows_the_secret(scope["path"]):
            return Refusal(404, tr("There is nothing here. Use the whole address that `sheetcheck page` has shown."))
        if method not in _READS | _CHANGES:
            return Refusal(405, tr("This is not offered."))
        return self._from_elsewhere(headers, method) or (self._too_large(scope, headers) if method == "POST" else None)

    def _knows_the_secret(self, path: str) -> bool:
        said = path.split("/", 2)[1] if path.startswith("/") else ""
        return secrets.compare_digest(said.encode(), self.secret.encode())

    def _from_elsewhere(self, headers: Headers, method: str) -> Refusal | None:
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        strange = origin not in self.origins if origin is not None or method in _CHANGES else False
        if strange or (site is not None and site not in _OWN_SITE):
            return Refusal(403, tr("Another page asked for this. It is refused."))
        return None

    def _too_large(self, scope: Scope, headers: Headers) -> Refusal | None:
        said = headers.get("content-length", "")
        if not (said.isascii() and said.isdigit()):
            return Refusal(411, tr("The length of what is sent has to be said first."))
        most = self.upload_bytes + FORM_BYTES if scope["path"] == self.upload else FORM_BYTES
        if int(said) > most:
            return Refusal(413, tr("This is larger than a recipe book can be. Nothing of it was read."))
        return None
