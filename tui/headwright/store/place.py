"""Where the jobs store and the shop's kit are on this machine."""

from __future__ import annotations

import os
from pathlib import Path

HOME_VARIABLE = "HEADWRIGHT_HOME"
FILE_NAME = "headwright.db"
KIT_NAME = "kit.toml"


def store_file() -> Path:
    """Give the store's file: in the folder that HEADWRIGHT_HOME names, else in the user's data folder."""
    home = os.environ.get(HOME_VARIABLE, "").strip()
    if home:
        return Path(home).expanduser().absolute() / FILE_NAME
    from platformdirs import user_data_path  # noqa: PLC0415 - not needed when the folder is named

    return user_data_path("headwright", appauthor=False) / FILE_NAME


def kit_file() -> Path:
    """Give the file of the shop's kit: beside the store, else that of the invented shop that comes with the program.

    Raises:
        UsageError: neither is there; the installation is incomplete.
    """
    from headwright.data import shipped  # noqa: PLC0415 - not needed to find the store

    own = store_file().with_name(KIT_NAME)
    return own if own.is_file() else shipped("sample_jobs") / KIT_NAME
