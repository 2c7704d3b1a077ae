"""What the stand answers to a browser: the page, its data after a change, the scene's file."""

from __future__ import annotations

import json
import sys
import traceback
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from hmac import compare_digest
from http import HTTPStatus
from threading import BoundedSemaphore
from typing import Any, Final
from urllib.parse import parse_qs, urlsplit

from meshes.errors import SceneError
from scenes.page.page import page_text
from scenes.stand.answers import Answers, Drops
from scenes.units_text import in_units

LARGEST_BODY: Final = 65_536
"""Bytes of a request."""
MOST_WAITING: Final = 3
"""Requests that compute or wait for their turn; more are told to come again."""
LONGEST_QUERY: Final = 1000

Start = Callable[[str, list[tuple[str, str]]], object]


@dataclass(frozen=True, slots=True)
class Reply:
    """What goes back: status, kind of content, content."""

    status: HTTPStatus
    kind: str
    content: bytes


class Refused(Exception):
    """A request that is not answered, with its status and a line that says why."""

    def __init__(self, status: HTTPStatus, why: str) -> None:
        super().__init__(why)
        self.status = status


class App:
    """The stand as a WSGI application. token: what the address must carry, "" for none; hosts: names
    that the browser may call it by, () for any."""

    def __init__(
        self, answers: Answers, words: Mapping[str, str], *, token: str = "",
        hosts: tuple[str, ...] = (),
    ) -> None:  # fmt: skip
        self._answers, self._words = answers, words
        self._token, self._hosts = token, hosts
        self._room = BoundedSemaphore(MOST_WAITING)

    def __call__(self, environ: dict[str, Any], start_response: Start) -> Iterable[bytes]:
        """Answer one request; nothing that it holds ends the server."""
        try:
            reply = self._reply(environ)
        except Refused as refused:
            reply = _complaint(refused.status, str(refused))
        except SceneError as error:
            why = in_units(str(error), self._answers.bench.units)
            reply = _complaint(HTTPStatus.UNPROCESSABLE_ENTITY, why)
        except Exception:
            traceback.print_exc(file=sys.stderr)
            reply = _complaint(HTTPStatus.INTERNAL_SERVER_ERROR, "the stand broke its own rules")
        headers = [
            ("Content-Type", reply.kind),
            ("Content-Length", str(len(reply.content))),
            ("Cache-Control", "no-store"),
            ("X-Content-Type-Options", "nosniff"),
            ("Referrer-Policy", "no-referrer"),
        ]
        start_response(f"{reply.status.value} {reply.status.phrase}", headers)
        return [reply.content]

    def _reply(self, environ: dict[str, Any]) -> Reply:
        self._admit(environ)
        method, path = environ["REQUEST_METHOD"], environ.get("PATH_INFO", "")
        if path == "/" and method == "GET":
            return self._page()
        if path == "/change" and method == "POST":
            body = _body(environ)
            values = self._answers.bench.values(body.get("values", {}))
            return Reply(
                HTTPStatus.OK, "application/octet-stream", self._in_turn(values, _drops(body))
            )
        if path == "/scene" and method == "POST":
            values = self._answers.bench.values(_body(environ).get("values", {}))
            text = self._answers.bench.saved(values)
            return Reply(HTTPStatus.OK, "text/plain; charset=utf-8", text.encode())
        raise Refused(HTTPStatus.NOT_FOUND, "there is nothing at this address")

    def _admit(self, environ: dict[str, Any]) -> None:
        """Refuse who calls it by another name (a page elsewhere that had the name point here), or
        without the token."""
        host = urlsplit(f"//{environ.get('HTTP_HOST', '')}").hostname
        if self._hosts and host not in self._hosts:
            raise Refused(HTTPStatus.FORBIDDEN, "this stand is not called by that name")
        if self._token:
            query = environ.get("QUERY_STRING", "")
            if len(query) > LONGEST_QUERY:
                raise Refused(HTTPStatus.REQUEST_URI_TOO_LONG, "the address is too long")
            given = parse_qs(query).get("token", [""])[0]
            if not compare_digest(given.encode(), self._token.encode()):
                raise Refused(HTTPStatus.FORBIDDEN, "the address lacks the stand's token")

    def _page(self) -> Reply:
        bench = self._answers.bench
        data = self._in_turn(bench.start, "all")
        text = page_text(data, title=bench.scene.title, words=self._words)
        return Reply(HTTPStatus.OK, "text/html; charset=utf-8", text.encode())

    def _in_turn(self, values: Mapping[str, Any], drops: Drops) -> bytes:
        if not self._room.acquire(blocking=False):
            raise Refused(HTTPStatus.TOO_MANY_REQUESTS, "the stand is busy: try again shortly")
        try:
            return self._answers.data(values, drops)
        finally:
            self._room.release()


def _body(environ: dict[str, Any]) -> dict[str, Any]:
    """The JSON that a request brings. Raises Refused."""
    if not environ.get("CONTENT_TYPE", "").startswith("application/json"):
        raise Refused(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "a request must be JSON")
    length = environ.get("CONTENT_LENGTH") or "0"
    if not length.isdecimal() or int(length) > LARGEST_BODY:
        raise Refused(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"at most {LARGEST_BODY:,} bytes")
    try:
        body = json.loads(environ["wsgi.input"].read(int(length)))
    except (ValueError, RecursionError) as error:
        raise Refused(HTTPStatus.BAD_REQUEST, "a request must be JSON") from error
    if not isinstance(body, dict):
        raise Refused(HTTPStatus.BAD_REQUEST, "a request must hold values by name")
    return body


def _drops(body: Mapping[str, Any]) -> Drops:
    wanted = body.get("drops", "all")
    if wanted == "few":
        return "few"
    if wanted == "all":
        return "all"
    raise Refused(HTTPStatus.BAD_REQUEST, 'drops must be "few" or "all"')


def _complaint(status: HTTPStatus, why: str) -> Reply:
    text = json.dumps({"error": " ".join(why.split())})
    return Reply(status, "application/json", text.encode())
