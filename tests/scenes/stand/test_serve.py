"""The stand's server on this computer's own address."""

from __future__ import annotations

import http.client
import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

import pytest

from meshes.errors import SceneError
from scenes.page.packing import unpacked
from scenes.stand.app import LARGEST_BODY
from scenes.stand.serve import Stand, is_loopback, stand_of
from tests.scenes.stand.benches import bench


@pytest.fixture(scope="module")
def place() -> Iterator[tuple[str, int]]:
    """A stand that serves until the tests of this file end."""
    stand = stand_of(bench("terrace"), {}, host="127.0.0.1", port=0)
    thread = threading.Thread(target=stand.serve, daemon=True)
    thread.start()
    where = urlsplit(stand.address)
    assert where.hostname
    assert where.port
    yield where.hostname, where.port
    stand.stop()
    thread.join(10)
    assert not thread.is_alive()


def _post(place: tuple[str, int], body: bytes, **headers: str) -> tuple[int, bytes]:
    link = http.client.HTTPConnection(*place, timeout=60)
    link.request("POST", "/change", body, {"Content-Type": "application/json"} | headers)
    answer = link.getresponse()
    return answer.status, answer.read()


GOOD = json.dumps({"values": {}, "drops": "few"}).encode()


def test_it_answers_a_change(place: tuple[str, int]) -> None:
    status, data = _post(place, GOOD)
    assert status == 200
    assert unpacked(data)[0]["kind"] == "stand"


def test_bad_callers_do_not_end_it(place: tuple[str, int]) -> None:
    """Too much, half a request, no HTTP at all, and one that hangs up: then a good one is answered."""
    assert _post(place, b" " * (LARGEST_BODY + 1))[0] == 413
    for raw in (
        b"\x16\x03\x01\x02\x00\xff" * 50,
        b"POST /change HTTP/1.1\r\nContent-Length: 99\r\n\r\n{",
    ):
        with socket.create_connection(place, timeout=10) as caller:
            caller.sendall(raw)
    callers = [threading.Thread(target=_post, args=(place, GOOD)) for _ in range(6)]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join(60)
    assert _post(place, GOOD)[0] == 200


def _stops(stand: Stand) -> float:
    """Seconds that a stand takes to end, which has something connected to it."""
    thread = threading.Thread(target=stand.serve, daemon=True)
    thread.start()
    where = urlsplit(stand.address)
    assert where.hostname
    assert where.port
    kept = http.client.HTTPConnection(where.hostname, where.port, timeout=60)
    with (
        closing(kept),
        socket.create_connection((where.hostname, where.port), timeout=60) as silent,
    ):
        for _ in range(2):
            kept.request("GET", "/nothing")
            assert kept.getresponse().read()
        assert kept.sock is not None  # it was not closed after the answer
        begun = time.monotonic()
        stand.stop()
        thread.join(20)
        assert not thread.is_alive()
        took = time.monotonic() - begun
        assert silent.recv(1) == b""
        assert kept.sock.recv(1) == b""
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((where.hostname, where.port), timeout=10)
    return took


def test_it_ends_while_browsers_are_connected() -> None:
    """Contract: one that keeps its connection and one that says nothing hear of the end at once, not only
    after the 30 s that an idle connection is kept."""
    assert _stops(stand_of(bench("terrace"), {}, host="127.0.0.1", port=0)) < 10


def test_a_name_of_two_addresses(monkeypatch: pytest.MonkeyPatch) -> None:
    """Contract: as "localhost" is where IPv6 is too; it listens at both, says where and ends."""
    real = socket.getaddrinfo

    def both(host: Any, *asked: Any, **more: Any) -> Any:
        names = ("127.0.0.1", "127.0.0.2") if host == "localhost" else (host,)
        return [found for name in names for found in real(name, *asked, **more)]

    monkeypatch.setattr(socket, "getaddrinfo", both)
    stand = stand_of(bench("terrace"), {}, host="localhost", port=0)
    assert _stops(stand) < 10


def test_a_port_that_is_taken_is_one_line(place: tuple[str, int]) -> None:
    with pytest.raises(SceneError, match=f"can't listen at {place[0]}, port {place[1]}"):
        stand_of(bench("terrace"), {}, host=place[0], port=place[1])


@pytest.mark.parametrize(
    ("host", "alone"),
    [("127.0.0.1", True), ("localhost", True), ("::1", True), ("127.8.8.8", True),
     ("0.0.0.0", False), ("192.0.2.7", False), ("::", False), ("roof.example", False)],
)  # fmt: skip
def test_only_loopback_is_this_computer_alone(host: str, alone: bool) -> None:
    """Addresses of RFC 1122 and RFC 4291; 192.0.2.0/24 is for documents (RFC 5737)."""
    assert is_loopback(host) is alone


def test_anywhere_else_the_address_carries_a_token(monkeypatch: pytest.MonkeyPatch) -> None:
    import waitress.server

    def listens(app: Any, **asked: Any) -> Any:
        return SimpleNamespace(effective_port=asked["port"])

    monkeypatch.setattr(waitress.server, "create_server", listens)
    first, second = (
        stand_of(bench("terrace"), {}, host="192.0.2.7", port=80).address for _ in range(2)
    )
    assert first.startswith("http://192.0.2.7:80/?token=")
    assert len(first.split("=")[1]) >= 20
    assert first != second
    assert "token" not in stand_of(bench("terrace"), {}, host="::1", port=80).address
