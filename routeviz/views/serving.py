"""The page served to browsers on this machine, and to nobody else, while its scene is being changed.

What is sent is made elsewhere: page.py puts the page together, watching.py tells when it has to be made anew.
"""

import json
import secrets
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socketserver import TCPServer
from typing import Any

from routeviz.errors import RoutevizError
from routeviz.views.page import in_bytes, page_bytes, stamp_of

HERE = "127.0.0.1"
NAMES = (HERE, "localhost", "[::1]")  # under which a browser on this machine may ask
HEARTBEAT_S = 10.0  # after which a browser that has gone is noticed
PATIENCE_S = 30.0  # for a browser that neither asks nor reads
LOOK_S = 0.1  # how often the server looks whether it is to end
HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "frame-ancestors 'none'",  # beside what the page itself says
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
HTML = "text/html; charset=utf-8"
EVENTS = "text/event-stream; charset=utf-8"
WORDS = "text/plain; charset=utf-8"
AGAIN_MS = 1000  # after which a browser that has lost the server asks again


class ServingError(RoutevizError):
    """The page cannot be served, as its port is in use or may not be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What browsers are to show.

    Parameters
    ----------
    title : str
        Of the scene.
    text : str
        The page's data as page.py writes them: of the scene when it could last be used.
    messages : tuple of str
        What is wrong with the scene as it is now; empty where it can be used.
    """

    title: str
    text: str
    messages: tuple[str, ...] = ()


class PageServer(ThreadingHTTPServer):
    """A server of one page, under an address that cannot be guessed; each browser has a thread."""

    daemon_threads = True
    allow_reuse_address = sys.platform != "win32"  # there, two programs could then share the port

    def __init__(self, port: int, first: Shown) -> None:
        self.token = secrets.token_urlsafe(16)
        self.shown, self.changes, self.ends = first, 0, False
        self._news = threading.Condition()
        self._failure: BaseException | None = None
        self._failed = threading.Event()
        super().__init__((HERE, port), _Answer)

    def server_bind(self) -> None:
        """Take the port without asking a name server what this machine is called."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = HERE, self.server_address[1]

    @property
    def address(self) -> str:
        """Return what a browser is to open."""
        return f"http://{HERE}:{self.server_port}/{self.token}/"

    def show(self, shown: Shown) -> None:
        """Send something else to all browsers; who has not had the last has only this."""
        with self._news:
            self.shown, self.changes = shown, self.changes + 1
            self._news.notify_all()

    def news_after(self, changes: int, wait_s: float) -> tuple[int, Shown]:
        """Return what is to be shown and the how manieth change it is, once it is not the one known."""
        with self._news:
            self._news.wait_for(lambda: self.ends or self.changes != changes, wait_s)
            return self.changes, self.shown

    def end(self) -> None:
        """Let the threads of all browsers end."""
        with self._news:
            self.ends = True
            self._news.notify_all()

    def rest(self, wait_s: float) -> None:
        """Wait, unless something goes wrong in a thread: that is raised here.

        Raises
        ------
        BaseException
            What went wrong there.
        """
        if self._failed.wait(wait_s) and self._failure is not None:
            raise self._failure

    def handle_error(self, _request: Any, _client: Any) -> None:
        """Keep what went wrong in a thread; that a browser has gone is nothing wrong."""
        error = sys.exception()
        if error is not None and not isinstance(error, OSError):
            self._failure = error
            self._failed.set()


class _Answer(BaseHTTPRequestHandler):
    """What one browser asks, and the answer."""

    server: PageServer
    timeout = PATIENCE_S
    wbufsize = -1  # head and body in one piece: in two, the second waits for an answer to the first

    def do_GET(self) -> None:
        """Answer with the page, with its changes as they come, or that there is nothing."""
        path, _, query = self.path.partition("?")
        page = f"/{self.server.token}/"
        if not self._from_here():
            self.send_error(403)
        elif secrets.compare_digest(in_bytes(path), page.encode()):
            shown = self.server.shown
            self._whole(200, HTML, page_bytes(shown.title, shown.text, served=True))
        elif secrets.compare_digest(in_bytes(path), f"{page}events".encode()):
            self._changes(self.headers.get("Last-Event-ID") or query.removeprefix("seen="))
        else:
            self.send_error(404)

    def _refused(self) -> None:
        self.send_error(405)

    do_HEAD = do_POST = do_PUT = do_PATCH = do_DELETE = do_OPTIONS = _refused

    def _from_here(self) -> bool:
        """Return whether a page of another address cannot have asked, under whatever name it reached us."""
        hosts = [f"{name}:{self.server.server_port}" for name in NAMES]
        asked = [host.casefold() for host in self.headers.get_all("Host", [])]
        origins = [origin.casefold() for origin in self.headers.get_all("Origin", [])]
        return len(asked) == 1 and asked[0] in hosts and set(origins) <= {f"http://{asked[0]}"}

    def _changes(self, seen: str) -> None:
        """Tell what is to be shown now, unless it has been seen, and each change from now on."""
        self._head(200, EVENTS, {})
        self.wfile.write(f"retry: {AGAIN_MS}\n\n".encode())
        changes, told = -1, -1
        while True:
            changes, shown = self.server.news_after(changes, HEARTBEAT_S)
            if self.server.ends:
                return
            if changes == told:
                self.wfile.write(b":\n\n")  # nothing new; but who has gone is noticed
            else:
                stamp = stamp_of(shown.text)
                if stamp != seen:
                    self.wfile.write(in_bytes(f"id: {stamp}\nevent: lay\ndata: {shown.text}\n\n"))
                self.wfile.write(in_bytes(f"event: messages\ndata: {json.dumps(shown.messages)}\n\n"))
                seen, told = stamp, changes
            self.wfile.flush()

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Refuse in one word, and say nothing of what was asked."""
        said = self.responses.get(code, ("Refused", ""))[0]
        self._whole(code, WORDS, f"{said}\n".encode(), {"Allow": "GET"} if code == 405 else {})

    def _whole(self, code: int, kind: str, body: bytes, more: Mapping[str, str] | None = None) -> None:
        self._head(code, kind, {"Content-Length": str(len(body)), **(more or {})})
        if self.command != "HEAD":
            self.wfile.write(body)

    def _head(self, code: int, kind: str, more: Mapping[str, str]) -> None:
        self.close_connection = True
        self.send_response(code)
        for name, value in {"Content-Type": kind, **HEADERS, **more}.items():
            self.send_header(name, value)
        self.end_headers()

    def version_string(self) -> str:
        """Return who answers; of what it is made is nobody's business."""
        return "routeviz"

    def log_message(self, *_anything: Any) -> None:
        """Say nothing: what the terminal shows is for the user."""


@contextmanager
def serving(port: int, first: Shown) -> Iterator[PageServer]:
    """Serve a page while the block lasts.

    Parameters
    ----------
    port : int
        Of this machine; 0 for any that is free.
    first : Shown
        What is shown until ``show`` is called.

    Yields
    ------
    server : PageServer
        It has begun to answer.

    Raises
    ------
    ServingError
        The port cannot be had.
    """
    try:
        server = PageServer(port, first)
    except OSError as error:
        raise ServingError(
            f"port {port} of this machine cannot be used: {error.strerror or error}\n"
            "  remedy: end what uses it, or leave the port to be chosen"
        ) from None
    thread = threading.Thread(target=server.serve_forever, args=(LOOK_S,), daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.end()
        server.shutdown()
        server.server_close()
