"""The server of a living page, on real sockets: who is answered, with what, and who is not."""

import http.client
import json
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from routeviz.views import serving as served
from routeviz.views.page import data_text, stamp_of
from routeviz.views.serving import PageServer, ServingError, Shown, serving

LONG_S = 30.0  # for what is to happen soon, on a machine that is busy
FIRST, SECOND, THIRD = (Shown(title="A small case", text=data_text({"saved": n})) for n in (1, 2, 3))


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch) -> Iterator[PageServer]:
    monkeypatch.setattr(served, "LOOK_S", 0.005)  # or most of the time here is spent on ending
    with serving(0, FIRST) as running:
        yield running
        running.rest(0.0)  # nothing has gone wrong in any thread


def path_of(server: PageServer) -> str:
    """The page's path, with the token."""
    return f"/{server.token}/"


def asked(
    server: PageServer, path: str, *, method: str = "GET", hosts: list[str] | None = None, **more: str
) -> tuple[int, str, dict[str, str]]:
    """What one question is answered: code, body and head."""
    connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=LONG_S)
    connection.putrequest(method, path, skip_host=True)
    for host in [f"127.0.0.1:{server.server_port}"] if hosts is None else hosts:
        connection.putheader("Host", host)
    for name, value in more.items():
        connection.putheader(name.replace("_", "-"), value)
    connection.endheaders()
    answer = connection.getresponse()
    body = answer.read().decode()
    connection.close()
    return answer.status, body, dict(answer.getheaders())


class Browser:
    """One that listens to a page's changes."""

    def __init__(self, server: PageServer, seen: str = "", **headers: str) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=LONG_S)
        self.connection.request("GET", f"{path_of(server)}events?seen={seen}", headers=headers)
        self.answer = self.connection.getresponse()

    def block(self) -> dict[str, str]:
        """The next lines up to an empty one; none at the end of all."""
        lines = iter(lambda: self.answer.readline().decode().rstrip("\n"), "")
        return {name: value for name, _, value in (line.partition(": ") for line in lines) if name}

    def next(self) -> tuple[str, object]:
        """The next event and its data."""
        while True:
            block = self.block()
            if "event" in block:
                return block["event"], json.loads(block["data"])

    def leave(self) -> None:
        """Go away without a word."""
        self.connection.close()
        self.answer.close()


def wait_until(happens: Callable[[], bool]) -> None:
    """Wait for what is to happen soon."""
    end = time.monotonic() + LONG_S
    while not happens():
        assert time.monotonic() < end
        time.sleep(0.01)


# ── who is answered ──────────────────────────────────────────────────────────────────────────────
def test_the_address_that_is_told_gives_the_page(server: PageServer) -> None:
    whole = re.fullmatch(r"http://127\.0\.0\.1:(\d+)(/[A-Za-z0-9_-]{22}/)", server.address)
    assert whole
    assert int(whole[1]) == server.server_port
    code, body, head = asked(server, whole[2])
    assert (code, head["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert FIRST.text in body
    assert f'data-live="{stamp_of(FIRST.text)}"' in body
    assert int(head["Content-Length"]) == len(body.encode())


def test_no_two_servers_have_one_token() -> None:
    with serving(0, FIRST) as one, serving(0, FIRST) as other:
        assert one.token != other.token
        assert asked(one, path_of(other))[0] == 404


def test_it_listens_on_this_machines_own_loop_alone(server: PageServer) -> None:
    assert server.socket.getsockname()[0] == "127.0.0.1"
    with pytest.raises(ConnectionRefusedError):  # the same machine, by another of its addresses
        socket.create_connection(("127.0.0.2", server.server_port), timeout=LONG_S)


@pytest.mark.parametrize("host", ["127.0.0.1:{port}", "localhost:{port}", "LOCALHOST:{port}", "[::1]:{port}"])
def test_a_browser_on_this_machine_may_ask_by_each_of_its_names(host: str, server: PageServer) -> None:
    host = host.format(port=server.server_port)
    origin = f"http://{host}"
    assert asked(server, path_of(server), hosts=[host])[0] == 200
    assert asked(server, path_of(server), hosts=[host], Origin=origin)[0] == 200


@pytest.mark.parametrize(
    "hosts",
    [
        [],
        [""],
        ["127.0.0.1"],
        ["127.0.0.1:1"],
        ["rebound.example"],
        ["rebound.example:{port}"],
        ["127.0.0.1:{port}.rebound.example"],
        ["127.0.0.1.rebound.example:{port}"],
        ["rebound.example@127.0.0.1:{port}"],
        ["0.0.0.0:{port}"],
        ["127.0.0.1:{port}", "rebound.example:{port}"],
        ["127.0.0.1:{port}", "127.0.0.1:{port}"],
    ],
    ids=" and ".join,
)
def test_a_page_of_another_address_that_leads_here_is_refused(hosts: list[str], server: PageServer) -> None:
    named = [host.format(port=server.server_port) for host in hosts]
    for path in (path_of(server), f"{path_of(server)}events"):
        code, body, _ = asked(server, path, hosts=named)
        assert (code, body) == (403, "Forbidden\n")


@pytest.mark.parametrize(
    "origin", ["http://other.example", "null", "https://127.0.0.1:{port}", "http://127.0.0.1:1"]
)
def test_a_question_put_by_another_page_is_refused(origin: str, server: PageServer) -> None:
    said = origin.format(port=server.server_port)
    assert asked(server, path_of(server), Origin=said)[:2] == (403, "Forbidden\n")
    assert asked(server, f"{path_of(server)}events", Origin=said)[:2] == (403, "Forbidden\n")


@pytest.mark.parametrize(
    "path",
    ["/", "/{token}", "/{token}/x", "/{token}/../", "/{token}/%2e%2e/", "/%s/", "/favicon.ico",
     "/../../etc/passwd", "/{token}/../../../../etc/passwd", "/{token}/viewer.js",
     "http://127.0.0.1/{token}/"],
)  # fmt: skip
def test_nothing_else_is_there_and_no_folder_is_shown(path: str, server: PageServer) -> None:
    said = path.replace("{token}", server.token)
    assert asked(server, said)[:2] == (404, "Not Found\n")


@pytest.mark.parametrize(
    "method", ["HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "get"]
)
def test_the_page_can_be_read_and_nothing_else_be_done_with_it(method: str, server: PageServer) -> None:
    code, body, head = asked(server, path_of(server), method=method)
    assert code in (405, 501)
    assert FIRST.text not in body
    assert server.shown == FIRST
    assert head["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("path", ["{page}", "/"])
def test_every_answer_may_be_kept_framed_and_guessed_at_by_nobody(path: str, server: PageServer) -> None:
    _, _, head = asked(server, path.format(page=path_of(server)))
    assert head["Cache-Control"] == "no-store"
    assert head["X-Content-Type-Options"] == "nosniff"
    assert head["Referrer-Policy"] == "no-referrer"  # the token stands in the address
    assert head["Content-Security-Policy"] == "frame-ancestors 'none'"
    assert head["Server"] == "routeviz"
    assert not [name for name in head if name.startswith("Access-Control")]


@pytest.mark.parametrize(
    "said",
    [
        b"\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET /\xe9\xff/ HTTP/1.1\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n",  # who wants to speak in cipher begins so
        b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"a: b\r\n" * 200 + b"\r\n",
        b"GET / HTTP/1.1\r\nHost: \xff\xfe\r\n: \r\n\r\n",
        b"GET / HTTP/1.1\r\nHost",
    ],
    ids=[
        "nothing",
        "no path",
        "no letters",
        "no such version",
        "cipher",
        "endless path",
        "many heads",
        "no host",
        "cut",
    ],
)
def test_whatever_is_said_to_it_the_next_question_is_answered(said: bytes, server: PageServer) -> None:
    with socket.create_connection(("127.0.0.1", server.server_port), timeout=LONG_S) as other:
        other.sendall(said)
        other.shutdown(socket.SHUT_WR)
        heard = b"".join(iter(lambda: other.recv(65536), b""))
    assert FIRST.text.encode() not in heard
    assert asked(server, path_of(server))[0] == 200


# ── what is told ─────────────────────────────────────────────────────────────────────────────────
def test_each_change_is_told_to_every_browser(server: PageServer) -> None:
    browsers = [Browser(server, stamp_of(FIRST.text)) for _ in range(3)]
    for browser in browsers:
        assert browser.next() == ("messages", [])
    for shown in (SECOND, THIRD):
        server.show(shown)
        for browser in browsers:
            assert browser.next() == ("lay", json.loads(shown.text))
            assert browser.next() == ("messages", [])
    for browser in browsers:
        browser.leave()


def test_what_is_wrong_is_told_without_the_lay_again_and_then_that_nothing_is(server: PageServer) -> None:
    browser = Browser(server, stamp_of(FIRST.text))
    wrong = ("case.toml:3:1: no kind\n  allowed: a kind\n  remedy: give one", "</script><b>\u2028")
    assert browser.next() == ("messages", [])
    server.show(replace(FIRST, messages=wrong))
    assert browser.next() == ("messages", list(wrong))
    server.show(FIRST)
    assert browser.next() == ("messages", [])
    browser.leave()


def test_a_page_that_is_loaded_while_the_scene_is_broken_shows_the_last_good_lay(server: PageServer) -> None:
    server.show(SECOND)
    server.show(replace(SECOND, messages=("no end",)))
    assert SECOND.text in asked(server, path_of(server))[1]
    browser = Browser(server, stamp_of(SECOND.text))
    assert browser.next() == ("messages", ["no end"])
    browser.leave()


def test_who_was_away_is_told_the_newest_alone(server: PageServer) -> None:
    server.show(SECOND)
    server.show(THIRD)
    for away in (Browser(server, stamp_of(FIRST.text)), Browser(server, "", Last_Event_ID="")):
        assert away.next() == ("lay", json.loads(THIRD.text))
        assert away.next() == ("messages", [])
        away.leave()


def test_a_browser_that_comes_back_says_itself_what_it_has_seen(server: PageServer) -> None:
    server.show(SECOND)
    first = Browser(server, stamp_of(FIRST.text))
    assert first.block() == {"retry": "1000"}
    block = first.block()
    assert (block["event"], block["id"]) == ("lay", stamp_of(SECOND.text))
    first.leave()
    again = Browser(server, stamp_of(FIRST.text), **{"Last-Event-ID": block["id"]})
    assert again.next() == ("messages", [])
    again.leave()


def test_a_browser_that_goes_away_is_noticed_and_its_thread_ends(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(served, "HEARTBEAT_S", 0.01)
    before = threading.active_count()
    browsers = [Browser(server) for _ in range(4)]
    for browser in browsers:
        assert browser.next() == ("lay", json.loads(FIRST.text))
    assert threading.active_count() == before + 4
    stays = browsers.pop()
    for browser in browsers:
        browser.leave()
    wait_until(lambda: threading.active_count() == before + 1)
    assert stays.next() == ("messages", [])
    server.show(SECOND)
    assert stays.next() == ("lay", json.loads(SECOND.text))
    stays.leave()


def test_a_browser_that_reads_nothing_holds_nobody_up(server: PageServer) -> None:
    large = Shown(title="Large", text=data_text({"saved": "x" * 20_000_000}))
    with socket.create_connection(("127.0.0.1", server.server_port), timeout=LONG_S) as asleep:
        host = f"Host: 127.0.0.1:{server.server_port}"
        asleep.sendall(f"GET {path_of(server)}events HTTP/1.1\r\n{host}\r\n\r\n".encode())
        server.show(large)
        server.show(SECOND)
        awake = Browser(server, stamp_of(FIRST.text))
        assert awake.next() == ("lay", json.loads(SECOND.text))
        awake.leave()


# ── how it begins and ends ───────────────────────────────────────────────────────────────────────
def test_a_port_that_is_in_use_is_told(server: PageServer) -> None:
    with pytest.raises(ServingError) as refused, serving(server.server_port, FIRST):
        pass
    assert str(refused.value) == (
        f"port {server.server_port} of this machine cannot be used: Address already in use\n"
        "  remedy: end what uses it, or leave the port to be chosen"
    )


def test_when_it_ends_every_browser_hears_it_and_nobody_is_answered_any_more() -> None:
    before = threading.active_count()
    with serving(0, FIRST) as server:
        browser = Browser(server)
        assert browser.next() == ("lay", json.loads(FIRST.text))
        assert browser.next() == ("messages", [])
    assert browser.block() == {}
    browser.leave()
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", server.server_port), timeout=LONG_S)
    wait_until(lambda: threading.active_count() == before)


def test_the_same_port_can_be_had_again_at_once() -> None:
    with serving(0, FIRST) as server:
        port = server.server_port
        asked(server, path_of(server))
    with serving(port, FIRST) as server:
        assert asked(server, path_of(server))[0] == 200


def test_what_goes_wrong_in_a_thread_is_raised_where_it_is_waited_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fail(*_anything: object, **_more: object) -> bytes:
        raise ZeroDivisionError("a seeded fault")

    monkeypatch.setattr(served, "page_bytes", fail)
    with serving(0, FIRST) as server:
        with pytest.raises(http.client.RemoteDisconnected):
            asked(server, path_of(server))
        with pytest.raises(ZeroDivisionError, match="a seeded fault"):
            server.rest(LONG_S)
