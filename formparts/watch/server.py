"""The server of the page: this machine alone, behind a random word in the address, and nothing but one recipe."""

from __future__ import annotations

import hmac
import json
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import BoundedSemaphore, Thread
from typing import Any

from formparts.errors import InputError
from formparts.watch.builder import TIME_LIMIT, Builder
from formparts.watch.page import POLICY, broken_page

HOST = "127.0.0.1"
_LONGEST = 64 * 1024
"""Longest question that is read [bytes]."""
IDLE = 10.0
"""Time after which an idle connection is closed [s]."""
MOST_CONNECTIONS = 32
"""Number of connections served at a time; a browser opens six to one server."""
_OF_A_PARAMETER = ("moves", "range")
_ASIDE = ("solid", "drawing", "fixes", *_OF_A_PARAMETER)
"""Slow questions go to a second process, so that the part follows the sliders meanwhile."""
_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}


@dataclass(frozen=True)
class Watch:
    """
    A running watch.

    Parameters
    ----------
    address : str
        Where the page is; the word in it is known to nobody else.
    """

    address: str


class _Server(ThreadingHTTPServer):
    """Has the builder and the secret; serves a limited number of connections, and closes further ones at once."""

    daemon_threads = True

    request_queue_size = 128
    """Connections that wait to be taken: of more the system tells nobody, and they try again for seconds."""

    def __init__(self, port: int, builder: Builder, aside: Builder, word: str) -> None:
        super().__init__((HOST, port), _Handler)
        self.builder, self.aside, self.word = builder, aside, word
        self.places = BoundedSemaphore(MOST_CONNECTIONS)

    def process_request(self, request: Any, client_address: Any) -> None:
        """Serve a connection in a thread of its own, if there is a place for it."""
        if self.places.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Serve it, and give its place back."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self.places.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Ignore the error: a tab that is closed in the middle of an answer is not a fault."""

    @property
    def hosts(self) -> tuple[str, ...]:
        """Return the names of this machine for a browser on it."""
        port = self.server_address[1]
        return (f"{HOST}:{port}", f"localhost:{port}")


class _Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    server: _Server
    timeout = IDLE
    server_version, sys_version = "formparts", ""

    def do_GET(self) -> None:
        """The page, and whether the file has changed."""
        place = self._allowed()
        if place == "":
            self._page()
        elif place == "stamp":
            self._json({"stamp": self.server.builder.stamp})
        elif place is not None:
            self._refused(HTTPStatus.NOT_FOUND)

    def do_POST(self) -> None:
        """The part with other parameters."""
        place = self._allowed()
        if place is None:
            return
        what, _, about = place.partition("/")
        if (what != "part" and what not in _ASIDE) or bool(about) != (what in _OF_A_PARAMETER):
            self._refused(HTTPStatus.NOT_FOUND)
            return
        values = self._values()
        if values is None:
            self._refused(HTTPStatus.BAD_REQUEST)
            return
        builder = self.server.builder if what == "part" else self.server.aside
        self._json(builder.asked(what, values, about))

    def _allowed(self) -> str | None:
        """What is asked for behind the word; None, and a refusal, for other hosts, origins and words."""
        if not self._from_here():
            self._refused(HTTPStatus.FORBIDDEN)
            return None
        word, slash, place = self.path.removeprefix("/").partition("/")
        if not slash or not hmac.compare_digest(word.encode(), self.server.word.encode()):
            self._refused(HTTPStatus.NOT_FOUND)
            return None
        return place

    def _from_here(self) -> bool:
        """True when our own page asks, or a person who typed the address."""
        host, origin = self.headers.get("Host", ""), self.headers.get("Origin")
        ours = {f"http://{name}" for name in self.server.hosts}
        typed = self.headers.get("Sec-Fetch-Site", "none") in ("same-origin", "none")
        return host in self.server.hosts and (origin is None or origin in ours) and typed

    def _values(self) -> dict[str, str] | None:
        """The parameters of the question: names and texts, or None when it is anything else."""
        try:
            length = int(self.headers.get("Content-Length", "0"))
            if not 0 < length <= _LONGEST or self.headers.get_content_type() != "application/json":
                return None
            values = json.loads(self.rfile.read(length))
        except (ValueError, RecursionError):
            return None
        if not isinstance(values, dict) or not all(isinstance(value, str) for value in values.values()):
            return None
        return values

    def _page(self) -> None:
        found = self.server.builder.asked("page")
        page = broken_page(found["error"], found["stamp"]) if "error" in found else found["page"]
        self._answer(HTTPStatus.OK, "text/html", page)

    def _json(self, data: dict[str, Any]) -> None:
        self._answer(HTTPStatus.OK, "application/json", json.dumps(data, ensure_ascii=False))

    def _refused(self, status: HTTPStatus) -> None:
        self._answer(status, "text/plain", status.phrase)

    def _answer(self, status: HTTPStatus, kind: str, text: str) -> None:
        data = text.encode()
        self.send_response(status)
        for name, value in _HEADERS.items():
            self.send_header(name, value)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    def log_message(self, format: str, *args: object) -> None:
        """Log nothing: the address contains the secret."""


@contextmanager
def watching(reference: str, port: int = 0, time_limit: float = TIME_LIMIT) -> Iterator[Watch]:
    """
    Serve the page of a recipe on this machine alone, for as long as the block lasts.

    Parameters
    ----------
    reference : str
        A recipe's name, or path/to/file.py:function.
    port : int [-]
        Port of 127.0.0.1; 0 takes a free one.
    time_limit : float [s]
        Longest time in which a part is built; a recipe that takes longer is stopped, and the page says so.

    Yields
    ------
    Watch

    Raises
    ------
    InputError
        There is no such recipe, or the port cannot be had.
    """
    builder, aside = Builder(reference, time_limit), Builder(reference, time_limit)
    word = secrets.token_urlsafe(24)
    try:
        builder.begin()
        server = _Server(port, builder, aside, word)
    except InputError:
        builder.end()
        raise
    except (OSError, OverflowError) as error:
        builder.end()
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            "watch", "port", port, f"cannot be had ({reason})", "leave it out: a free one is taken"
        ) from error
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield Watch(f"http://{HOST}:{server.server_address[1]}/{word}/")
    finally:
        builder.end()
        aside.end()
        server.shutdown()
        server.server_close()
        thread.join()
