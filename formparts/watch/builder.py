"""The process that answers the page: one question at a time, ended when it takes too long, and started anew."""

from __future__ import annotations

import json
import os
from threading import Lock
from typing import Any

from formparts.errors import InputError
from formparts.families import pool

TIME_LIMIT = 30.0
"""Longest time for one question [s]."""


class Builder:
    """Asks a process of its own about one recipe."""

    def __init__(self, reference: str, time_limit: float = TIME_LIMIT) -> None:
        self._reference, self._limit = reference, time_limit
        self._busy = Lock()
        self._worker: pool.Worker | None = None
        self._source = ""

    def asked(self, what: str, values: dict[str, str] | None = None, about: str = "") -> dict[str, Any]:
        """Return the answer of the process; `error` if there is none in time."""
        question = {"reference": self._reference, "what": what, "values": values or {}, "about": about}
        with self._busy:
            stamp = (
                self.stamp
            )  # before the file is read: what is saved meanwhile differs from it, and is asked for
            if self._worker is None:
                self._worker = pool.started("formparts.watch.child")
            line = pool.told(self._worker, json.dumps(question), self._limit)
            if self._worker.lost:
                pool.ended(self._worker)
                lost, self._worker = self._worker.lost, None
                if not line:
                    return {"error": f"{self._reference}: {lost}", "stamp": stamp}
        return {**json.loads(line), "stamp": stamp}

    def begin(self) -> None:
        """Find the recipe's file; refuse what is not a recipe."""
        found = self.asked("source")
        if "fields" in found:
            raise InputError(*found["fields"])
        if "error" in found:
            raise InputError(
                "watch", "recipe", self._reference, found["error"], "correct it, and start again"
            )
        self._source = found["source"]

    @property
    def stamp(self) -> str:
        """Return a value that changes with the recipe's file; nothing is loaded for it."""
        try:
            return str(os.stat(self._source).st_mtime_ns)
        except OSError as error:
            return f"not to be read: {error.strerror}"

    def end(self) -> None:
        """End the process, whatever it is doing."""
        worker = self._worker
        if worker is not None:
            worker.process.kill()
            with self._busy:
                pool.ended(worker)
