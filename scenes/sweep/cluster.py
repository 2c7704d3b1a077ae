"""The same cases worked out by the workers of a Dask scheduler, on other machines or on this one."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any, Final

from meshes.errors import SceneError
from scenes.places import shown
from scenes.progress import Remarks
from scenes.sweep.case import GOES_ON, Case, Row, worked_out

WAIT: Final = 10
"""How long a scheduler may take to answer [s]."""
AHEAD: Final = 500
"""Cases handed out at a time: more than there are threads, also once more workers have come."""
ADDRESS: Final = re.compile(r"([a-z]+://)?[^\s/]+:\d{1,5}")
LACKING: Final = '--scheduler needs dask.distributed: pip install "stackrain[cluster]"'


class Cluster:
    """A scheduler that answered. Raises SceneError with one line where none does."""

    def __init__(self, address: str, remarks: Remarks) -> None:
        if not ADDRESS.fullmatch(address):
            raise SceneError(f"--scheduler must be as tcp://HOST:8786. Got {shown(address)}")
        try:
            from distributed import Client
        except ImportError as error:
            raise SceneError(LACKING) from error
        # They tell of every try to connect, and of every worker that comes and goes.
        for name in ("distributed", "tornado", "asyncio"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
        self._address = address
        try:
            self._client: Any = Client(address, timeout=WAIT, set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            raise SceneError(f"--scheduler {address}: no scheduler answers there") from error
        if not self.threads():
            remarks.say("The scheduler has no workers yet; the cases wait for them")

    def threads(self) -> int:
        """Of all its workers."""
        return sum(self._client.nthreads().values())

    def close(self) -> None:
        """Let go of the scheduler; cases that it still has are given up."""
        self._client.close()

    def rows(self, cases: Sequence[Case]) -> Iterator[Row]:
        """The rows of the cases as they end. What a worker had when it was lost goes to another.

        Raises SceneError when the scheduler, or all that can do a case, is lost.
        """
        from concurrent.futures import CancelledError

        from distributed import as_completed

        left = iter(cases)
        begun = [self._begin(case) for case in islice(left, AHEAD)]
        asked = as_completed(begun, loop=self._client.loop)
        try:
            for future in asked:
                yield future.result()
                for case in islice(left, 1):
                    asked.add(self._begin(case))
        except SceneError:
            raise
        except CancelledError as error:
            raise SceneError(f"--scheduler {self._address}: was lost; {GOES_ON}") from error
        except Exception as error:  # of Dask's own, or of a worker's machine
            said = " ".join(f"{type(error).__name__}: {error}".split())[:120]
            raise SceneError(f"--scheduler {self._address}: {said}; {GOES_ON}") from error

    def _begin(self, case: Case) -> Any:
        # Not pure: the scheduler must not remember what another sweep asked.
        return self._client.submit(worked_out, case, pure=False)
