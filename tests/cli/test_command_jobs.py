"""`headwright jobs`: all jobs in one table."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.at_desk import DeskShop
    from tests.cli.conftest import Outcome


def test_no_job_yet_is_talk_and_no_data(headwright: Callable[..., Outcome]) -> None:
    assert headwright("jobs") == (
        0,
        "",
        "There is no job yet. 'headwright new' opens one, 'headwright open --sample' shows one.\n",
    )


def test_a_held_job_shows_where_it_stands(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    told = headwright("jobs")
    assert told == (
        0,
        (
            "job  status  done   held  at    on        engine     tag  last event\n"
            "1    held    12/19  1     Size  07 02 31  Small one  T-1  2025-03-04 08:21\n"
        ),
        "",
    )


def test_the_jobs_come_as_json_too(shop: DeskShop, headwright: Callable[..., Outcome]) -> None:
    shop.to_hold()
    (job,) = json.loads(headwright("jobs", "--json").out)
    assert (job["job"], job["status"], job["held"], job["on"]) == ("1", "held", 1, ["07", "02", "31"])
