"""The stand's server: on this computer alone unless it is told otherwise."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Any, Final

from meshes.errors import SceneError
from scenes.stand.answers import Answers
from scenes.stand.app import LARGEST_BODY, App
from scenes.stand.asked import Bench

THREADS: Final = 4
MOST_CONNECTIONS: Final = 40
IDLE: Final = 30
"""Seconds after which a connection that says nothing is closed."""
LOOPBACK_NAMES: Final = ("localhost", "127.0.0.1", "::1")


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """A stand that listens; address: what to open, with its token where it needs one; links: by their
    number, all that the server has open: where it listens, what wakes it, and every browser's connection."""

    server: Any
    address: str
    links: dict[int, Any]

    def serve(self) -> None:
        """Answer until it is stopped."""
        try:
            self.server.run()
        finally:
            self._close()
            self.server.task_dispatcher.set_thread_count(0)

    def stop(self) -> None:
        """Have it stop, from another thread; it closes in its own, whoever is still connected."""
        from waitress.server import BaseWSGIServer

        listens = next(one for one in self.links.values() if isinstance(one, BaseWSGIServer))
        listens.trigger.pull_trigger(self._close)

    def _close(self) -> None:
        """Close all that is open: the server runs while anything is, and a browser keeps its connection."""
        from waitress.channel import HTTPChannel

        for one in [*self.links.values()]:
            if isinstance(one, HTTPChannel):
                one.handle_close()  # tells whoever waits to send on it, too
            else:
                one.close()


def stand_of(
    bench: Bench, words: Mapping[str, str], *, host: str, port: int, threads: int | None = None,
    token: Callable[[], str] = lambda: secrets.token_urlsafe(16),
) -> Stand:  # fmt: skip
    """Listen at an address of this computer (port 0: any that is free). Raises SceneError when that
    can't be had. Anywhere but on loopback the address carries a token that nobody can guess."""
    from waitress.server import create_server

    alone = is_loopback(host)
    own = "" if alone else token()
    app = App(
        Answers(bench, threads=threads), words, token=own, hosts=LOOPBACK_NAMES if alone else ()
    )
    links: dict[int, Any] = {}
    try:
        server = create_server(
            app, map=links, host=host, port=port, threads=THREADS, connection_limit=MOST_CONNECTIONS,
            max_request_body_size=LARGEST_BODY, channel_timeout=IDLE, ident="stackrain",
        )  # fmt: skip
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise SceneError(f"can't listen at {host}, port {port} ({reason})") from error
    shown = f"[{host}]" if ":" in host else host
    query = f"?token={own}" if own else ""
    return Stand(server, f"http://{shown}:{_port(server)}/{query}", links)


def _port(server: Any) -> int:
    """Where it listens; the first, of a name that stands for several addresses."""
    several = getattr(server, "effective_listen", None)
    return several[0][1] if several else server.effective_port


def is_loopback(host: str) -> bool:
    """Whether only this computer can call that address."""
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
