"""A page that is served for a test, and requests as bytes, since an attack keeps to no client's manners."""

from __future__ import annotations

import http.client
import re
import socket
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from sheetcheck.page.server import Server
from sheetcheck.page.site import Present
from sheetcheck.settings import Settings

BOUNDARY = "----of-a-test"


@contextmanager
def serving(settings: Settings | None = None, present: Present | None = None) -> Iterator[Server]:
    server = Server(settings, present)
    began = threading.Event()
    thread = threading.Thread(target=server.run, args=(lambda _: began.set(),))
    thread.start()
    try:
        assert began.wait(60)
        yield server
    finally:
        server.present.ended = True
        thread.join(30)
        assert not thread.is_alive()
    assert not server.shelf.folder.exists()  # whatever a test did


@dataclass
class Answer:
    status: int
    text: str
    headers: Mapping[str, str] = field(default_factory=dict)
    body: bytes = b""


def ask(server: Server, method: str, path: str, body: bytes = b"", **headers: str | None) -> Answer:
    """Ask as the browser would; a header of None is left out, one of a value put in its place."""
    sent: dict[str, str | None] = {
        "Host": f"127.0.0.1:{server.port}",
        "Origin": f"http://127.0.0.1:{server.port}" if method == "POST" else None,
        "Content-Length": str(len(body)) if method == "POST" else None,
    }
    sent |= {name.replace("_", "-"): value for name, value in headers.items()}
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in sent.items():
        if value is not None:
            connection.putheader(name, value)
    connection.endheaders(body or None)
    answer = connection.getresponse()
    data = answer.read()
    connection.close()
    return Answer(answer.status, data.decode("utf-8", "replace"), dict(answer.getheaders()), data)


def own(server: Server, path: str = "/") -> str:
    return f"/{server.secret}{path}"


def upload(server: Server, name: str, data: bytes, fields: Mapping[str, str] | None = None) -> Answer:
    """Send a workbook under any name, and follow to what came of it."""
    parts = [
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{n}"\r\n\r\n{v}\r\n' for n, v in (fields or {}).items()
    ]
    head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="book"; filename="{name}"\r\n\r\n'
    body = "".join(parts).encode() + head.encode() + data + f"\r\n--{BOUNDARY}--\r\n".encode()
    sent = ask(server, "POST", own(server, "/check"), body, Content_Type=f"multipart/form-data; boundary={BOUNDARY}")
    return followed(server, sent)


def post(server: Server, path: str, **fields: str) -> Answer:
    """Send a form, and follow to what came of it."""
    from urllib.parse import urlencode  # noqa: PLC0415 - here alone

    body = urlencode(fields).encode()
    sent = ask(server, "POST", own(server, path), body, Content_Type="application/x-www-form-urlencoded")
    return followed(server, sent)


def followed(server: Server, sent: Answer) -> Answer:
    if sent.status != 303:
        return sent
    there = sent.headers["location"]
    for opened in server.shelf.opened():
        opened.wait(60)
    answer = ask(server, "GET", there)
    answer.headers = {**answer.headers, "location": there}
    return answer


def key_of(answer: Answer) -> str:
    found = re.search(r"/book/([\w-]+)", answer.headers["location"])
    assert found
    return found[1]


def raw(server: Server, request: bytes, most: int = 1 << 16) -> bytes:
    """Send bytes as they are and return what comes back until the other side is done."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=30) as connection:
        connection.sendall(request)
        got = b""
        while len(got) < most and (more := connection.recv(4096)):
            got += more
        return got


def shore_book(root: Path) -> bytes:
    return (root / "examples/shore_book/shore_book.xlsx").read_bytes()
