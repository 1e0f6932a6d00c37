"""From the words on the command line to an exit code."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from headwright import __version__
from headwright.cli import faults, say
from headwright.cli.commands import BENCH, COMMANDS, loaded
from headwright.cli.parser import Parser, Told
from headwright.errors import HeadwrightError, UsageError
from headwright.nearest import nearest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from headwright.cli.commands import Command

INTERRUPTED = 130
"""What a shell reports of a program that Ctrl+C ended."""
NOBODY_READS = 141
"""What a shell reports of a program whose reader went away, as `head` does."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command, and give its exit code; nothing that goes wrong shows as a traceback.

    Args:
        argv: the words after the program's name; None for those of this process.
    """
    words = list(sys.argv[1:] if argv is None else argv)
    say.any_terminal()
    try:
        code = _run(words)
        say.finished()
    except HeadwrightError as error:
        say.trouble(error)
        return error.exit_code
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # Python writes out what is left when it ends, and would complain then.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOBODY_READS
    except Exception as error:  # noqa: BLE001 - a fault of ours: on file for us, in one line for the user
        say.trouble(faults.kept(error, words))
        return faults.EXIT_CODE
    return code


def _run(words: list[str]) -> int:
    try:
        if not words:
            return _started(BENCH, "headwright", words)
        name, rest = words[0], words[1:]
        if name.startswith("-"):
            return _about(words)
        if name not in COMMANDS:
            near = nearest(name, COMMANDS)
            hint = f"Nearest: 'headwright {near}'." if near else "'headwright --help' lists the commands."
            raise UsageError(f"there is no command '{name}'", hint)
        return _started(COMMANDS[name], f"headwright {name}", rest)
    except Told:
        return 0


def _started(command: Command, program: str, words: list[str]) -> int:
    module = loaded(command)
    parser = Parser(program, module.__doc__)
    module.arguments(parser)
    return module.run(parser.taken(words))


def _about(words: list[str]) -> int:
    wide = max(map(len, COMMANDS))
    commands = "\n".join(f"  {name.ljust(wide)}  {command.purpose}" for name, command in COMMANDS.items())
    parser = Parser(
        "headwright",
        "Walks a machinist through rebuilding a cylinder head, reading by reading, from\n"
        "receiving to release. Without a command it opens the jobs board.",
        f"commands:\n{commands}\n\n'headwright COMMAND --help' tells more about one of them.",
        "headwright [-h] [--version] [COMMAND …]",
    )
    parser.add_argument("--version", action="store_true", help="show the version and exit")
    if not parser.taken(words).version:
        raise UsageError("a command is expected", "'headwright --help' lists the commands.")
    say.data(f"headwright {__version__}")
    return 0
