"""What the commands say: data to standard output, talk to standard error, and nothing in it that a terminal obeys."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from headwright.errors import HeadwrightError, UsageError
from headwright.sheet.plain import json_lines, lines_of

if TYPE_CHECKING:
    from collections.abc import Iterator


def data(text: str) -> None:
    """Write lines of data; control characters in them are written out as codes.

    Raises:
        UsageError: standard output cannot be written.
    """
    with _explained():
        sys.stdout.write(lines_of(text) + "\n")


def json(text: str) -> None:
    """Write JSON; what does not print stands in it as JSON writes such signs, so that it stays JSON.

    Raises:
        UsageError: standard output cannot be written.
    """
    data(json_lines(text))


def record(text: str) -> None:
    """Write a record exactly as it is: in UTF-8 whatever the terminal takes, for another headwright to read.

    Raises:
        UsageError: standard output cannot be written.
    """
    with _explained():
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode())


def finished() -> None:
    """See that everything is written.

    Raises:
        UsageError: standard output cannot be written.
    """
    with _explained():
        sys.stdout.flush()


@contextlib.contextmanager
def _explained() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        raise UsageError(
            f"the output cannot be written: {error.strerror or error}", "Send it somewhere else."
        ) from error


def talk(text: str) -> None:
    """Tell the person at the terminal something that is not data."""
    sys.stderr.write(lines_of(text) + "\n")


def trouble(error: HeadwrightError) -> None:
    """Tell what went wrong, and what to do next."""
    talk(f"headwright: {error.message}")
    if error.hint:
        talk(error.hint)


def any_terminal() -> None:
    """Let a terminal that lacks a sign show `?` in its place rather than fail, and a closed output say that it is."""
    if sys.stdin is None:
        sys.stdin = _nothing("r")
    if sys.stdout is None:
        sys.stdout = _nothing("r")  # what is written there fails, and is told
    if sys.stderr is None:
        sys.stderr = _nothing("w")
    for stream in (sys.stdout, sys.stderr):
        _lenient(stream)


def _nothing(mode: str) -> TextIO:
    """Give a stream in place of one that was closed when the program started, of which Python makes none."""
    return Path(os.devnull).open(mode, encoding="utf-8")  # type: ignore[return-value]


def _lenient(stream: TextIO) -> None:
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
