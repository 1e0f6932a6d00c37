"""A fault of the program itself: kept on file with what is needed to find it, told in one line."""

from __future__ import annotations

import platform
import tempfile
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from headwright import __version__
from headwright.errors import HeadwrightError
from headwright.store.place import store_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

EXIT_CODE = 70
"""Apart from every code that says something about a job: EX_SOFTWARE of the BSD convention in sysexits.h."""

_CONCERNED = ("textual", "pydantic", "pint", "msgspec", "tomli-w", "argon2-cffi", "platformdirs")


def kept(error: Exception, words: Sequence[str]) -> HeadwrightError:
    """Keep a fault in a file of its own, and give what is to be said about it.

    Args:
        error: what was raised.
        words: the words on the command line.
    """
    moment = datetime.now(UTC)
    name = f"fault-{moment:%Y%m%d-%H%M%S-%f}.log"
    text = _report(error, words, moment)
    for folder in (store_file().parent, Path(tempfile.gettempdir())):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8", errors="backslashreplace")
        except OSError:
            continue
        return HeadwrightError(f"a fault in the program; what is known of it is in {folder / name}")
    return HeadwrightError(f"a fault in the program: {type(error).__name__}: {error}")


def _report(error: Exception, words: Sequence[str], moment: datetime) -> str:
    return "\n".join(
        (
            f"headwright {__version__} at {moment:%Y-%m-%dT%H:%M:%SZ}",
            f"Python {platform.python_version()} on {platform.platform()}",
            *_versions(_CONCERNED),
            f"words: {list(words)!r}",
            "",
            "".join(traceback.format_exception(error)),
        )
    )


def _versions(names: Iterable[str]) -> list[str]:
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - 20 ms that only a fault is worth

    found = []
    for name in names:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            found.append(f"{name} is not installed")
    return found
