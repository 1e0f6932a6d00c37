"""PINs as somebody types them: without echo at a terminal, else a line each; never from the command line."""

from __future__ import annotations

import getpass
import sys

from headwright.errors import UsageError
from headwright.sheet.plain import plain


def typed(what: str) -> str:
    """Ask for a PIN.

    Args:
        what: whose, as `PIN of 02`.

    Raises:
        UsageError: nothing comes any more, or it is no text.
    """
    prompt = plain(what)
    try:
        if sys.stdin.isatty():
            return getpass.getpass(f"{prompt}: ")
        line = sys.stdin.readline()
    except EOFError:
        line = ""
    except UnicodeDecodeError as error:
        raise UsageError(f"{prompt}: what came is no text in UTF-8", "Type it again.") from error
    if not line:
        raise UsageError(f"{prompt}: expected, and nothing came", "Type it, or give it on standard input, a line each.")
    return line.rstrip("\r\n")


def chosen(initials: str) -> str:
    """Ask for a new PIN: twice at a terminal, for nobody sees what he types.

    Raises:
        UsageError: nothing comes any more, or the two differ.
    """
    pin = typed(f"New PIN of {initials}")
    if sys.stdin.isatty() and typed("The same again") != pin:
        raise UsageError("the two PINs differ; nothing was changed", "Begin again.")
    return pin
