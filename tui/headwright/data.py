"""Where the procedures and sample jobs that come with the program are."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from headwright.errors import UsageError


def shipped(name: str) -> Path:
    """Find a shipped folder (`procedures` or `sample_jobs`): inside the installed package, else in the checkout.

    Raises:
        UsageError: neither is there; the installation is incomplete.
    """
    package = Path(str(files("headwright")))
    installed = package / "_data" / name
    if installed.is_dir():
        return installed
    checkout = package.parents[1]
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise UsageError(f"the folder '{name}' that comes with headwright is missing", "Install headwright again.")
