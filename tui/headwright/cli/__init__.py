"""The command line: one file a command, each loaded only when it is asked for.

Data goes to standard output, talk to standard error. Exit codes: 0 well; 1 a check failed or the job is held; 2 the
request or a definition is wrong; 3 the store.
"""

from __future__ import annotations

from headwright.cli.entry import main

__all__ = ["main"]
