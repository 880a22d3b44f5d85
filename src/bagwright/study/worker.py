"""A worker's process: tasks come through its standard input, outcomes go through its standard output.

Started as `python -c "from bagwright.study.worker import main; main()"`. What a library prints goes to
standard error, so that nothing but answers is on the way back. When the line from the study closes, whatever
happened to the study, the worker ends at once.
"""

from __future__ import annotations

import os
import pickle
import queue
import sys
import threading
from typing import Any, BinaryIO

from bagwright.errors import BagwrightError

CODE = "from bagwright.study.worker import main; main()"


def main() -> None:
    """Work until the line closes."""
    incoming = os.fdopen(os.dup(0), "rb")
    outgoing = os.fdopen(os.dup(1), "wb")
    null = os.open(os.devnull, os.O_RDONLY)
    os.dup2(null, 0)
    os.close(null)
    os.dup2(2, 1)
    waiting: queue.SimpleQueue[Any] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(incoming, waiting), daemon=True).start()
    _work(waiting, outgoing)


def _listen(incoming: BinaryIO, waiting: queue.SimpleQueue[Any]) -> None:
    """Pass on what comes. The end of the line ends the process in the middle of whatever it does."""
    try:
        while True:
            waiting.put(pickle.load(incoming))  # noqa: S301 - our own parent's, through a private pipe
    except (EOFError, OSError, pickle.UnpicklingError):
        os._exit(0)


def _work(waiting: queue.SimpleQueue[Any], outgoing: BinaryIO) -> None:
    from bagwright.study.call import Asked

    def send(kind: str, what: object) -> None:
        pickle.dump((kind, what), outgoing)
        outgoing.flush()

    try:
        asked = Asked(waiting.get())
        send("ready", os.getpid())
        while True:
            send("done", asked(waiting.get()))
    except BrokenPipeError:
        sys.exit(0)
    except (BagwrightError, OSError) as error:
        send("broken", _told(error))
        sys.exit(1)


def _told(error: BaseException) -> tuple[str, str, int]:
    """An error that ends the study, as plain texts: message, next step, exit code."""
    if isinstance(error, BagwrightError):
        return str(error.message), str(error.next_step), error.exit_code
    return f"{type(error).__name__}: {error}"[:400], "", 3
