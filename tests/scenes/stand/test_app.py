"""What the stand answers, asked as a server asks it (WSGI), without a network."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from functools import cache
from typing import Any
from wsgiref.util import setup_testing_defaults
from wsgiref.validate import validator

import pytest

from scenes.assemble import assemble
from scenes.follow import Sites
from scenes.page.packing import unpacked
from scenes.progress import Remarks
from scenes.run import run
from scenes.stand import app as app_module
from scenes.stand.answers import AHEAD, Answers
from scenes.stand.app import LARGEST_BODY, MOST_WAITING, App
from tests.scenes.stand.benches import bench


@cache
def answers() -> Answers:
    return Answers(bench("terrace"))


def ask(
    app: App, path: str, body: object = None, *, method: str = "", raw: bytes | None = None,
    query: str = "", **more: str,
) -> tuple[int, Mapping[str, str], bytes]:  # fmt: skip
    """One request, checked by the standard library's own validator of WSGI on the way."""
    environ: dict[str, Any] = {}
    setup_testing_defaults(environ)
    content = raw if raw is not None else b"" if body is None else json.dumps(body).encode()
    environ |= {
        "PATH_INFO": path, "REQUEST_METHOD": method or ("GET" if body is None and raw is None else "POST"),
        "QUERY_STRING": query, "wsgi.input": io.BytesIO(content),
        "CONTENT_LENGTH": str(len(content)), "HTTP_HOST": "127.0.0.1:8026",
    }  # fmt: skip
    if content:
        environ["CONTENT_TYPE"] = "application/json"
    environ |= more
    told: list[Any] = []
    parts = validator(app)(environ, lambda status, headers, *_: told.extend([status, headers]))
    whole = b"".join(parts)
    parts.close()  # type: ignore[attr-defined]
    return int(told[0].split()[0]), dict(told[1]), whole


def test_a_change_comes_back_as_a_page_reads_it() -> None:
    app = App(answers(), {})
    status, headers, data = ask(app, "/change", {"values": {"side cover": 60}, "drops": "few"})
    assert (status, headers["Cache-Control"]) == (200, "no-store")
    values, _ = unpacked(data)
    assert values["kind"] == "stand"
    moved = {row["key"]: row["value"] for row in values["controls"]}
    assert moved["side cover"] == 60 != values["start"]["side cover"]
    assert moved["pitch"] == values["start"]["pitch"]


def test_a_change_changes_the_verdict_and_the_same_one_the_same_bytes() -> None:
    app = App(answers(), {})
    right = ask(app, "/change", {"values": {}, "drops": "few"})[2]
    wrong = ask(app, "/change", {"values": {"fault side over the gutter": "everywhere"},
                                 "drops": "few"})[2]  # fmt: skip
    first, second = (unpacked(data)[0]["details"][0]["verdict"] for data in (right, wrong))
    assert first != second
    assert Answers(bench("terrace")).data(bench("terrace").start, "few") == right


def test_what_cannot_be_built_is_one_line_and_the_stand_goes_on() -> None:
    app = App(answers(), {})
    status, _, data = ask(app, "/change", {"values": {"pitch": 12.5, "stack turned": 45.0,
                                                      "behind the stack": "saddle",
                                                      "corners": "fin"}})  # fmt: skip
    told = json.loads(data)["error"]
    assert status == 422
    assert told
    assert "\n" not in told
    assert "Traceback" not in told
    assert ask(app, "/change", {"values": {}, "drops": "few"})[0] == 200


def test_the_scene_can_be_taken_home() -> None:
    status, headers, data = ask(App(answers(), {}), "/scene", {"values": {"pitch": 33}})
    assert (status, headers["Content-Type"]) == (200, "text/plain; charset=utf-8")
    assert b"pitch_deg = 33" in data


@pytest.mark.parametrize(
    ("raw", "more", "status"),
    [
        (b"{", {}, 400),
        (b"[1, 2]", {}, 400),
        (b"[" * 60_000, {}, 400),
        (b"\xff\xfe", {}, 400),
        (b'{"values": 5}', {}, 422),
        (b'{"values": {"pitch": NaN}}', {}, 422),
        (b'{"values": {"pitch": 1e999}}', {}, 422),
        (b'{"values": {"no such thing": 1}}', {}, 422),
        (b'{"values": {}, "drops": "millions"}', {}, 400),
        (b"{}", {"CONTENT_TYPE": "text/plain"}, 415),
        (b"{}", {"CONTENT_LENGTH": str(LARGEST_BODY + 1)}, 413),
    ],
)
def test_bad_requests_are_one_line_with_their_status(
    raw: bytes, more: dict[str, str], status: int
) -> None:
    app = App(answers(), {})
    got, _, data = ask(app, "/change", raw=raw, **more)
    told = json.loads(data)["error"]
    assert got == status
    assert told
    assert "\n" not in told


@pytest.mark.parametrize(
    ("path", "method"), [("/change", "GET"), ("/etc/passwd", "GET"), ("/", "POST")]
)
def test_there_is_nothing_else_to_fetch(path: str, method: str) -> None:
    assert ask(App(answers(), {}), path, method=method)[0] == 404


def test_a_token_is_asked_for_where_others_can_call() -> None:
    app = App(answers(), {}, token="between us")
    body = {"values": {}, "drops": "few"}
    assert ask(app, "/change", body)[0] == 403
    assert ask(app, "/change", body, query="token=between")[0] == 403
    assert ask(app, "/change", body, query="token=" + "x" * 2000)[0] == 414
    assert ask(app, "/change", body, query="token=between%20us")[0] == 200


def test_another_name_for_this_computer_is_refused() -> None:
    """A page elsewhere may have its own name point here; the browser then sends that name."""
    app = App(answers(), {}, hosts=("localhost", "127.0.0.1", "::1"))
    body = {"values": {}, "drops": "few"}
    assert ask(app, "/change", body, HTTP_HOST="elsewhere.example")[0] == 403
    assert ask(app, "/change", body, HTTP_HOST="[::1]:8026")[0] == 200


def test_more_requests_than_there_is_room_for_are_told_to_come_again() -> None:
    app = App(answers(), {})
    body = {"values": {}, "drops": "few"}
    for _ in range(MOST_WAITING):
        assert app._room.acquire(blocking=False)
    status, _, data = ask(app, "/change", body)
    assert status == 429
    assert "busy" in json.loads(data)["error"]
    app._room.release()
    assert ask(app, "/change", body)[0] == 200


def test_our_own_faults_do_not_end_the_stand(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*args: object) -> None:
        raise ZeroDivisionError("secret")

    monkeypatch.setattr(app_module, "_body", broken)
    status, _, data = ask(App(answers(), {}), "/change", {"values": {}})
    assert status == 500
    assert b"secret" not in data
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_the_same_parts_in_another_wind_keep_their_site() -> None:
    """Two ways to one answer: with the site of an earlier wind, and from nothing."""
    one = bench("terrace")
    values = one.values({"gust": 14.0, "wind from": 90.0, "rain": 30.0})
    warm, cold = Sites(), Sites()
    scene = one.scene_with(values)
    warm.of(assemble(one.scene_with(one.values({"gust": 9.0}))))
    assert warm.has(assemble(scene))
    assert not cold.has(assemble(scene))
    told = [
        run(scene, drops=200, seed=0, remarks=Remarks(quiet=True), sites=sites).to_dict()
        for sites in (warm, cold)
    ]
    assert told[0] == told[1]
    assert not warm.has(assemble(one.scene_with(one.values({"pitch": 33.0}))))


def test_while_pieces_move_in_a_wind_nothing_is_said_of_it() -> None:
    """The wind on changed pieces takes seconds; a verdict of still air would be another question's."""
    values = {"values": {"gust": 20.0, "pitch": 31.0}, "drops": "few"}
    told, _ = unpacked(ask(App(answers(), {}), "/change", values)[2])
    detail = told["details"][0]
    assert detail["weather"] == AHEAD
    assert (detail["verdict"], detail["leaks"], detail["wind"]) == ("", [], None)
