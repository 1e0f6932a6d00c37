"""Write a job as a portable record.

A record is one TOML file with the job's plan, its events and their hashes.
Without a file it goes to standard output. A file that is there already is left
alone unless --force is given.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.cli import progress, say
from headwright.cli.where import known, opened_store
from headwright.errors import UsageError
from headwright.sheet.plain import counted

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.add_argument("job", metavar="JOB", help="the number of the job")
    parser.add_argument("file", nargs="?", metavar="FILE", help="where to write it")
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")


def run(asked: Namespace) -> int:
    """Write the record."""
    from headwright.store.record import record_of, record_text  # noqa: PLC0415 - not for --help

    with opened_store() as store, progress.shown(f"Taking job {asked.job} out"):
        record = record_of(store, known(asked.job))
        text = record_text(record)
    if asked.file is None:
        say.record(text)
        return 0
    _write(Path(asked.file), text, force=asked.force)
    say.talk(f"Job '{record.job}', {counted(len(record.entries), 'event')}, is in {asked.file}.")
    return 0


def _write(path: Path, text: str, *, force: bool) -> None:
    """Put the text in place whole or not at all."""
    if path.is_dir():
        raise UsageError(f"{path} is a folder", "Name a file.")
    if path.exists() and not force:
        raise UsageError(f"{path} is there already", "Name another file, or give --force.")
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_text(text, encoding="utf-8", newline="\n")
        beside.replace(path)
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}", "Name another file.") from error
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
