"""One Chromium for many pages: to start it takes longer than most pages do."""

import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None)
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
WINDOW = "1400,1000"
"""Its size [pixels]."""


class Browser:
    """Chromium that is asked, over a pair of pipes, for pages which say in their title what they have seen."""

    def __init__(self, asking: BinaryIO, answers: BinaryIO, messages: Path) -> None:
        self._asking, self._answers, self._messages = asking, answers, messages
        self._asked, self._rest = 0, b""

    def title(self, address: str, beginning: str, *, seconds: float = 120.0) -> tuple[str, str]:
        """Return the title of a page once it begins as is said, and what the browser wrote meanwhile."""
        before = len(self._messages.read_bytes())
        page = self._ask("Target.createTarget", url=address)["targetId"]
        deadline = time.monotonic() + seconds
        while not (title := self._ask("Target.getTargetInfo", targetId=page)["targetInfo"]["title"]).startswith(
            beginning
        ):
            assert time.monotonic() < deadline, (title, self._messages.read_bytes()[before:])
            time.sleep(0.02)
        self._ask("Target.closeTarget", targetId=page)
        return title, self._messages.read_bytes()[before:].decode()

    def _ask(self, method: str, **given: object) -> dict:
        self._asked += 1
        self._asking.write(json.dumps({"id": self._asked, "method": method, "params": given}).encode() + b"\0")
        self._asking.flush()
        while True:
            answer = json.loads(self._read())
            if answer.get("id") == self._asked:
                assert "result" in answer, answer
                return answer["result"]

    def _read(self) -> bytes:
        while b"\0" not in self._rest:
            more = self._answers.read(1 << 16)  # unbuffered: whatever is there
            assert more, f"the browser has gone: {self._messages.read_bytes()[-1000:]}"
            self._rest += more
        message, self._rest = self._rest.split(b"\0", 1)
        return message


@contextmanager
def opened(folder: Path) -> Iterator[Browser]:
    """Start a browser whose profile and messages lie in a folder; it ends with the block."""
    (asked, asking), (answers, answering) = os.pipe(), os.pipe()
    messages = folder / "messages.txt"
    command = [BROWSER, *FLAGS, f"--user-data-dir={folder / 'profile'}", "--remote-debugging-pipe"]
    command += [f"--window-size={WINDOW}", "--enable-logging=stderr", "--v=0"]
    pipes = f'exec "$@" 3<&{asked} 4>&{answering}'  # the two numbers that Chromium knows
    with messages.open("wb") as file:
        process = subprocess.Popen(["bash", "-c", pipes, "_", *command], stderr=file, pass_fds=(asked, answering))
    os.close(asked)
    os.close(answering)
    with open(answers, "rb", buffering=0) as answers_of_it:
        with open(asking, "wb") as to_it:  # whose end ends it
            yield Browser(to_it, answers_of_it, messages)
        process.wait(timeout=60)
