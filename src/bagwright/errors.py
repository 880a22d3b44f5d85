"""Every error the program raises on purpose, with what, where, the value and the next step."""

from __future__ import annotations

from bagwright.words import join


class BagwrightError(Exception):
    """Base of all errors raised on purpose.

    `message` says what is wrong, where and with which value; `next_step` what to do about it.
    """

    exit_code = 2

    def __init__(self, message: str, next_step: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.next_step = next_step

    def __str__(self) -> str:
        return join(" ", [part for part in (self.message, self.next_step) if part])


class ReadError(BagwrightError):
    """A shot table, bag file or answer file cannot be read."""


class InputError(BagwrightError):
    """A value, name or option given by the user cannot be used."""


class QuestionError(BagwrightError):
    """The file leaves something open that must be answered before it can be used."""


class MachineError(BagwrightError):
    """The machine failed: disk full, no permission, a missing part of the installation."""

    exit_code = 3
