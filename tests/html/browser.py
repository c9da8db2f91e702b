"""A headless Chromium driven through two pipes by its own debugging protocol; standard library only."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from select import select
from time import monotonic
from typing import Any

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser")
_PATIENCE = 60.0
"""Longest wait for an answer [s]: an own core may be busy with other tests."""


class Page:
    """One page of the browser, and everything that it complained of."""

    def __init__(self, commands: int, answers: int) -> None:
        self._commands, self._answers = commands, answers
        self._rest, self._number, self._session = b"", 0, ""
        self.complaints: list[str] = []
        self.events: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Ask for something and wait for the answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        left = json.dumps(message).encode() + b"\0"
        while left:  # a signal ends a long write early
            left = left[os.write(self._commands, left) :]
        until = monotonic() + _PATIENCE  # a page that polls goes on telling of it
        while True:
            answer = self._next(until)
            if answer.get("id") == self._number:
                assert "error" not in answer, (method, answer["error"])
                return answer["result"]

    def _next(self, until: float) -> dict[str, Any]:
        while b"\0" not in self._rest:
            ready, _, _ = select([self._answers], [], [], max(0.0, until - monotonic()))
            assert ready, "the browser does not answer"
            part = os.read(self._answers, 1 << 20)
            assert part, "the browser has gone"
            self._rest += part
        line, self._rest = self._rest.split(b"\0", 1)
        answer: dict[str, Any] = json.loads(line)
        self._noted(answer)
        return answer

    def _noted(self, answer: dict[str, Any]) -> None:
        kind, found = answer.get("method", ""), answer.get("params", {})
        self.events.append(kind)
        if kind == "Runtime.exceptionThrown":
            self.complaints.append(json.dumps(found["exceptionDetails"]))
        elif kind == "Runtime.consoleAPICalled" and found["type"] in ("error", "assert"):
            self.complaints.append(json.dumps(found["args"]))
        elif kind == "Log.entryAdded" and found["entry"]["level"] == "error":
            self.complaints.append(json.dumps(found["entry"]))
        elif kind == "Network.requestWillBeSent":
            self.events.append(found["request"]["url"].split(":")[0])

    def open(self, address: str) -> None:
        """Go to a page and wait until it is loaded."""
        self.events.clear()
        self.call("Page.navigate", url=address)
        until = monotonic() + _PATIENCE
        while "Page.loadEventFired" not in self.events:
            self._next(until)

    def ask(self, expression: str) -> Any:
        """Work an expression out on the page; a promise is waited for."""
        found = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def size(self, width: int, height: int, phone: bool = False) -> None:
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=2 if phone else 1,
            mobile=phone,
        )  # fmt: skip

    def scheme(self, name: str, media: str = "") -> None:
        """Light or dark; media is `print` or nothing."""
        feature = {"name": "prefers-color-scheme", "value": name}
        self.call("Emulation.setEmulatedMedia", media=media, features=[feature])

    def pointer(self, kind: str, x: float, y: float, buttons: int = 0) -> None:
        button = "left" if kind != "mouseMoved" or buttons else "none"
        self.call(
            "Input.dispatchMouseEvent", type=kind, x=x, y=y, button=button, buttons=buttons, clickCount=1
        )

    def key(self, name: str, text: str = "") -> None:
        for kind in ("keyDown", "keyUp"):
            extra = {"text": text} if text and kind == "keyDown" else {}
            codes = {
                "ArrowLeft": 37,
                "ArrowUp": 38,
                "ArrowRight": 39,
                "ArrowDown": 40,
                "Tab": 9,
                "Home": 36,
                " ": 32,
            }
            self.call(
                "Input.dispatchKeyEvent", type=kind, key=name, code=name,
                windowsVirtualKeyCode=codes.get(name, 0), **extra,
            )  # fmt: skip

    def picture(self, path: Path | None = None, whole: bool = False) -> bytes:
        """What is seen, as PNG."""
        data = base64.b64decode(
            self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)["data"]
        )
        if path is not None:
            path.write_bytes(data)
        return data

    def paper(self) -> bytes:
        return base64.b64decode(
            self.call("Page.printToPDF", printBackground=True, preferCSSPageSize=True)["data"]
        )


@contextmanager
def browser() -> Iterator[Page]:
    """A browser of our own, gone afterwards with all that it wrote."""
    assert PROGRAM is not None
    read_commands, commands = os.pipe()
    answers, write_answers = os.pipe()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        process = subprocess.Popen(
            _line(profile, read_commands, write_answers), pass_fds=(read_commands, write_answers),
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, "TMPDIR": profile},
        )  # fmt: skip
        os.close(read_commands)
        os.close(write_answers)
        try:
            yield Page(commands, answers)
        finally:
            os.close(commands)
            process.terminate()
            process.wait(30)
            os.close(answers)


def _line(profile: str, commands: int, answers: int) -> list[str]:
    """The browser finds its pipes at 3 and 4, wherever those of this process are."""
    options = (
        "--headless=new --no-sandbox --disable-dev-shm-usage --no-first-run --disable-extensions "
        "--disable-background-networking --disable-component-update --disable-sync --no-default-browser-check "
        "--use-angle=swiftshader --enable-unsafe-swiftshader --hide-scrollbars --remote-debugging-pipe"
    )
    shell = f'exec "$0" "$@" 3<&{commands} 4>&{answers}'
    return ["bash", "-c", shell, str(PROGRAM), *options.split(), f"--user-data-dir={profile}"]
