"""Where the jobs store is on this machine."""

from __future__ import annotations

import os
from pathlib import Path

HOME_VARIABLE = "HEADWRIGHT_HOME"
FILE_NAME = "headwright.db"


def store_file() -> Path:
    """Give the store's file: in the folder that HEADWRIGHT_HOME names, else in the user's data folder."""
    home = os.environ.get(HOME_VARIABLE, "").strip()
    if home:
        return Path(home).expanduser().absolute() / FILE_NAME
    from platformdirs import user_data_path  # noqa: PLC0415 - not needed when the folder is named

    return user_data_path("headwright", appauthor=False) / FILE_NAME
