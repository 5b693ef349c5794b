"""Whatever another page, another machine or a hostile file may try on the page, refused."""

import socket
import time
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.page.guard import HEADERS, LOOP_BACK
from sheetcheck.page.server import Server
from sheetcheck.page.shelf import NO_NAME, safe_name
from sheetcheck.page.site import Present
from sheetcheck.settings import from_mapping
from tests.page.served import Answer, ask, key_of, own, post, raw, serving, shore_book, upload


def nothing_of_ours(answer: Answer) -> bool:
    return "<html" not in answer.text and "sheetcheck.js" not in answer.text


# --------------------------------------------------------------------------- who may ask


def test_the_page_itself(server: Server) -> None:
    answer = ask(server, "GET", own(server))
    assert answer.status == 200
    assert "Drop your recipe book here" in answer.text


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1:{port}.evil.example",
        "0.0.0.0:{port}",
        "127.0.0.1:{port}@evil.example",
        "",
    ],
)
def test_another_host_header(server: Server, host: str) -> None:
    """A name that another page has made to lead to this machine (DNS rebinding)."""
    answer = ask(server, "GET", own(server), Host=host.format(port=server.port))
    assert answer.status == 403
    assert nothing_of_ours(answer)


def test_two_host_headers(server: Server) -> None:
    request = f"GET {own(server)} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nHost: evil.example\r\n\r\n"
    assert raw(server, request.encode()).split(b" ", 2)[1] in (b"400", b"403")


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/{wrong}/",
        "/static/page.css",
        "/{wrong}/static/page.css",
        "//{secret}/",
        "/%2f{secret}/",
        "/{secret}x/",
        "/x/../{secret}/",
    ],
)
def test_without_the_secret(server: Server, path: str) -> None:
    wrong = server.secret[:-1] + ("a" if server.secret[-1] != "a" else "b")
    answer = ask(server, "GET", path.format(secret=server.secret, wrong=wrong))
    assert answer.status == 404
    assert nothing_of_ours(answer)


@pytest.mark.parametrize(
    "origin",
    ["https://evil.example", "null", "http://127.0.0.1:1", "http://localhost", "https://127.0.0.1:{port}", None],
)
def test_another_origin_cannot_change_anything(server: Server, root: Path, origin: str | None) -> None:
    said = None if origin is None else origin.format(port=server.port)
    for path in ("/check", "/close", "/forget", "/here"):
        answer = ask(server, "POST", own(server, path), b"", Origin=said)
        assert answer.status == 403, path
    assert not server.present.ended
    assert server.shelf.opened() == []
    assert root.exists()


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_link_on_another_page(server: Server, site: str) -> None:
    assert ask(server, "GET", own(server), Sec_Fetch_Site=site).status == 403
    assert ask(server, "GET", own(server), Origin="https://evil.example").status == 403


def test_it_listens_on_the_loop_back_alone(server: Server) -> None:
    listening = Path("/proc/net/tcp")
    if listening.exists():
        at = f":{server.port:04X}"
        lines = [line.split() for line in listening.read_text(encoding="ascii").splitlines()[1:]]
        assert [line[1] for line in lines if line[1].endswith(at) and line[3] == "0A"] == [f"0100007F{at}"]
    others = {address[4][0] for address in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)} - {LOOP_BACK}
    for other in others:
        with pytest.raises(OSError), socket.create_connection((other, server.port), timeout=2):  # noqa: PT011 - any
            pass


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"])
def test_other_methods(server: Server, method: str) -> None:
    assert ask(server, method, own(server)).status == 405


def test_every_answer_has_its_policy(server: Server, root: Path) -> None:
    done = upload(server, "book.xlsx", shore_book(root))
    asked = [
        ask(server, "GET", own(server)),
        ask(server, "GET", own(server, "/static/page.js")),
        ask(server, "GET", own(server, "/nowhere")),
        ask(server, "GET", "/"),
        ask(server, "GET", own(server, f"/book/{key_of(done)}/copy")),
        done,
    ]
    for answer in asked:
        for name, value in HEADERS.items():
            assert answer.headers.get(name.lower(), answer.headers.get(name)) == value
        assert "server" not in {name.lower() for name in answer.headers}
    policy = HEADERS["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy


# --------------------------------------------------------------------------- what is sent


def test_two_gigabytes_are_refused_before_they_are_read(server: Server) -> None:
    head = (
        f"POST {own(server, '/check')} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n"
        f"Origin: http://127.0.0.1:{server.port}\r\nContent-Type: multipart/form-data; boundary=x\r\n"
        f"Content-Length: {2 << 30}\r\n\r\n"
    )
    began = time.monotonic()
    answer = raw(server, head.encode() + b"PK\x03\x04")
    assert answer.startswith(b"HTTP/1.1 413 ")
    assert b"Nothing of it was read" in answer
    assert time.monotonic() - began < 5
    assert list(server.shelf.folder.iterdir()) == []


@pytest.mark.parametrize("length", ["Transfer-Encoding: chunked", "Content-Length: -1", "X-Nothing: 0"])
def test_a_length_that_is_not_said(server: Server, length: str) -> None:
    head = (
        f"POST {own(server, '/check')} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n"
        f"Origin: http://127.0.0.1:{server.port}\r\n{length}\r\n\r\n"
    )
    assert raw(server, head.encode()).split(b" ", 2)[1] in (b"400", b"411")


def test_a_form_is_no_place_for_a_file(server: Server, root: Path) -> None:
    done = upload(server, "book.xlsx", shore_book(root))
    answer = ask(server, "POST", own(server, f"/book/{key_of(done)}/answers"), Content_Length=str(100 << 20))
    assert answer.status == 413


def test_the_size_that_the_settings_say() -> None:
    with serving(from_mapping({"file_limits": {"file_bytes": 1000}}, "here")) as server:
        answer = ask(server, "POST", own(server, "/check"), Content_Length=str((1 << 20) + 2000))
        assert answer.status == 413


@pytest.mark.parametrize(
    "name",
    [
        "../../../../tmp/book.xlsx",
        "..\\\\..\\\\book.xlsx",
        "/etc/book.xlsx",
        "C:\\\\Users\\\\book.xlsx",
        "a/%2e%2e/book.xlsx",
    ],
)
def test_path_names(server: Server, root: Path, name: str) -> None:
    answer = upload(server, name, shore_book(root))
    assert answer.status == 200
    assert [opened.file.name for opened in server.shelf.opened()] == ["book.xlsx"]
    assert all(server.shelf.folder in opened.file.parents for opened in server.shelf.opened())
    assert "Of 40 recipes" in answer.text


@given(st.text(max_size=300))
def test_a_name_stays_in_its_folder(name: str) -> None:
    safe = safe_name(name)
    assert safe
    assert Path(safe).name == safe
    assert safe not in (".", "..")
    assert not any(character in safe for character in '/\\\0\r\n<>:"|?*')
    assert len(safe) <= 110
    assert (Path("shelf") / safe).parent == Path("shelf")


@pytest.mark.parametrize("name", ["CON", "nul.xlsx", "COM1.xlsx", "...", "", "  "])
def test_names_that_are_none(name: str) -> None:
    assert safe_name(name) == NO_NAME


@pytest.mark.parametrize(
    "path", ["/static/../site.py", "/static/%2e%2e/site.py", "/static/..%2fsite.py", "/static//etc/passwd"]
)
def test_nothing_but_our_own_files(server: Server, path: str) -> None:
    assert ask(server, "GET", own(server, path)).status == 404


SCRIPT = "<script>alert(1)</script>"


def test_a_script_in_names_is_text(server: Server, tmp_path: Path) -> None:
    target = tmp_path / "b.xlsx"
    with xlsxwriter.Workbook(str(target)) as book:
        sheet = book.add_worksheet("<img src=x>")
        sheet.write_row(0, 0, ["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)", f"Mystery {SCRIPT} (oz)"])
        sheet.write_row(1, 0, [SCRIPT, 64, 24, 13])
        sheet.write_row(2, 0, ['"><b onmouseover=alert(1)>', 80, 24.29, 10.86, 3])
    answer = upload(server, f"{SCRIPT.replace('/', '')}.xlsx", target.read_bytes())
    assert answer.status == 200
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in answer.text
    assert "<script>alert" not in answer.text
    assert "<img" not in answer.text
    assert "<b onmouseover" not in answer.text
    for path in ("copy", "report"):
        download = ask(server, "GET", own(server, f"/book/{key_of(answer)}/{path}"))
        assert download.headers["content-disposition"].startswith("attachment")
    assert "<script>alert" not in ask(server, "GET", own(server)).text
    refused = post(server, f"/book/{key_of(answer)}/rescale", times=SCRIPT)
    assert "<script>alert" not in refused.text


def test_hostile_and_broken_files_end_in_a_sentence(server: Server, root: Path) -> None:
    book = shore_book(root)
    for name, data, said in (
        ("cut.xlsx", book[: len(book) // 2], "is damaged"),
        ("none.xlsx", b"", "is not a workbook that can be read"),
        ("picture.xlsx", b"\x89PNG\r\n\x1a\n", "it holds a picture"),
        ("words.csv", b"nothing,here\n1,2\n", "no recipe was found"),
    ):
        answer = upload(server, name, data)
        assert answer.status == 422, name
        assert said in answer.text, name
    assert ask(server, "GET", own(server)).status == 200


def test_what_is_sent_wrongly(server: Server) -> None:
    assert "Choose a workbook first" in upload(server, "", b"").text
    answer = ask(server, "POST", own(server, "/check"), b"nonsense", Content_Type="multipart/form-data; boundary=x")
    assert answer.status == 400
    for path in ("/book/none", "/book/none/copy", "/rule/none", "/book/none/rescaled"):
        assert ask(server, "GET", own(server, path)).status == 404
    assert ask(server, "GET", own(server, "/check")).status == 405


# --------------------------------------------------------------------------- the end


def test_nothing_is_left(root: Path) -> None:
    with serving() as server:
        upload(server, "book.xlsx", shore_book(root))
        folder = server.shelf.folder
        assert list(folder.rglob("book.xlsx"))
        assert folder.stat().st_mode & 0o077 == 0
        assert "sheetcheck is closed" in post(server, "/close").text
    assert not folder.exists()
    with pytest.raises(OSError), socket.create_connection((LOOP_BACK, server.port), timeout=2):  # noqa: PT011 - any
        pass


def test_it_ends_with_its_last_tab() -> None:
    present = Present(left=0.2)
    present.seen("a")
    present.seen("b")
    present.gone("a")
    time.sleep(0.3)
    assert not present.is_over()
    present.gone("b")
    assert not present.is_over()  # she may be on her way to another page of ours
    time.sleep(0.3)
    assert present.is_over()


def test_it_ends_when_nobody_is_heard_of() -> None:
    present = Present(left=0.05, silent=0.2, no_script=0.2)
    assert not present.is_over()
    time.sleep(0.25)
    assert present.is_over()  # no tab ever told that it is there
    present.seen("a")
    assert not present.is_over()
    time.sleep(0.4)
    assert present.is_over()  # a tab that was lost
