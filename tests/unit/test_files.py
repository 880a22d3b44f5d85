"""A paper is written whole or not at all: the N-th system call fails for N = 1, 2, ... until none does."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bagwright.errors import MachineError
from bagwright.files import write_whole

_CALLS = ("open", "write", "fsync", "close", "replace")


class _Failing:
    """Counts the system calls of the writer and lets number `n` fail as a full disk does."""

    def __init__(self, n: int) -> None:
        self.n, self.count = n, 0

    def around(self, call: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **kwargs: Any) -> Any:
            self.count += 1
            if self.count == self.n:
                if call.__name__ == "close":
                    call(*args, **kwargs)  # the handle is gone even when close reports an error
                raise OSError(errno.ENOSPC, "No space left on device")
            return call(*args, **kwargs)

        return wrapped


def _attempt(path: Path, content: bytes, n: int) -> bool:
    failing = _Failing(n)
    with pytest.MonkeyPatch.context() as patch:
        for name in _CALLS:
            patch.setattr(os, name, failing.around(getattr(os, name)))
        said = _said(path, content)
    if said is not None:
        assert str(path) in said
        assert "No space left on device" in said
    return said is None


def _said(path: Path, content: bytes) -> str | None:
    """What the writer complains of, None where it does not."""
    try:
        write_whole(path, content)
    except MachineError as error:
        return str(error)
    return None


@pytest.mark.parametrize("before", [None, b"the old paper"])
def test_the_nth_call_fails_and_no_half_file_is_left(tmp_path: Path, before: bytes | None) -> None:
    path, content = tmp_path / "report.pdf", b"%PDF" + b"x" * 70_000
    for n in range(1, 40):
        if before is None:
            path.unlink(missing_ok=True)
        else:
            path.write_bytes(before)
        done = _attempt(path, content, n)
        left = path.read_bytes() if path.exists() else None
        assert left in (before, content)
        assert [item.name for item in tmp_path.iterdir()] in ([], ["report.pdf"])
        if done:
            assert left == content
            assert n > 5
            return
    pytest.fail("the writer never succeeded")


def test_a_write_that_takes_only_a_part_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, bytes(data)[:7]))
    content = bytes(range(256))
    assert write_whole(tmp_path / "a" / "b" / "x.pdf", content).read_bytes() == content


def test_a_folder_that_is_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("x")
    with pytest.raises(MachineError, match="taken"):
        write_whole(tmp_path / "taken" / "report.pdf", b"x")


@pytest.mark.skipif(sys.platform == "win32", reason="rights of files are set otherwise there")
def test_the_file_gets_the_rights_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"x")
    made = write_whole(tmp_path / "made", b"x")
    assert made.stat().st_mode == (tmp_path / "plain").stat().st_mode
