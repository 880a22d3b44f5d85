"""A shot as the line that reads as it: the way back of `line.parse_line`."""

from __future__ import annotations

from dataclasses import dataclass, field

from bagwright.errors import InputError
from bagwright.shots.line_form import LineForm, Mark, written
from bagwright.shots.line_words import MISSING
from bagwright.words import tell


@dataclass(frozen=True, slots=True)
class Typed:
    """What a line said: figures in SI, and the words beside them. Missing figures are not in `values`."""

    values: dict[str, float] = field(default_factory=dict)
    swing: str | None = None
    mark: Mark = ""
    reason: str = ""
    carry_at_least: bool = False


def write_line(typed: Typed, form: LineForm) -> str:
    """The line that reads as this shot, figures with two decimals at most.

    Raises InputError for what the form has no place for, so that no figure is left out quietly.
    """
    letters = {name: letter for letter, name in form.tags.items()}
    strangers = [name for name in typed.values if name not in form.order and name not in letters]
    if strangers:
        raise InputError(
            tell("The form of a typed shot has no place for {figure}.", figure=strangers[0]),
            tell("Give it a place or a letter."),
        )
    if typed.carry_at_least and "carry_m" not in typed.values:
        raise InputError(tell("The carry is a least one, but it is missing."), tell("Give the least carry."))
    words = [_word_of(name, typed, form) for name in form.order]
    lettered = [name for name in typed.values if name not in form.order]
    # Before a figure with a letter every place is filled: while a side is due, a letter might be one.
    while words and not lettered and words[-1] == MISSING[0]:
        words.pop()
    words += [f"{letters[name]}{written(form, name, typed.values[name])}" for name in lettered]
    if typed.swing is not None:
        words.append(form.words.swing(typed.swing))
    if typed.mark == "mishit":
        words.append(form.words.mishit(typed.reason))
    elif typed.mark == "bad-read":
        words += [form.words.bad[0], *typed.reason.split()]
    return " ".join(words)


def _word_of(name: str, typed: Typed, form: LineForm) -> str:
    value = typed.values.get(name)
    if value is None:
        return MISSING[0]
    if name == "offline_m" and not form.signed_sides:
        shown = written(form, name, abs(value))
        side = form.right if value > 0 else form.left
        return shown if shown == "0" else f"{shown}{side[0]}"
    least = ">" if name == "carry_m" and typed.carry_at_least else ""
    return f"{least}{written(form, name, value)}"
