"""The command line as a whole: help, wrong words, faults, and what the shell sees."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from headwright import __version__
from headwright.cli import commands, main
from headwright.cli.commands import COMMANDS

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Outcome

HEAVY = ("textual", "pint", "pydantic", "sqlite3")


def test_help_names_every_command_with_its_purpose(headwright: Callable[..., Outcome]) -> None:
    told = headwright("--help")
    assert (told.code, told.err) == (0, "")
    for name, command in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(command.purpose)}$", told.out, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_tells_what_it_is_for_and_what_it_takes(name: str, headwright: Callable[..., Outcome]) -> None:
    told = headwright(name, "--help")
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith(f"usage: headwright {name} [-h]")
    said = told.out.splitlines()
    summary = commands.loaded(COMMANDS[name]).__doc__
    assert summary is not None
    assert said[said.index("") + 1] == summary.splitlines()[0]
    assert max(map(len, said)) <= 80


def test_the_version_is_data(headwright: Callable[..., Outcome]) -> None:
    assert headwright("--version") == (0, f"headwright {__version__}\n", "")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("shet", "1"), "headwright: there is no command 'shet'\nNearest: 'headwright sheet'.\n"),
        (("qqq",), "headwright: there is no command 'qqq'\n'headwright --help' lists the commands.\n"),
        (("--forc",), "headwright: '--forc' does not belong here\n'headwright --help' shows what it takes.\n"),
        (("jobs", "--jsn"), "headwright: jobs: '--jsn' does not belong here\nNearest: --json.\n"),
        (("jobs", "7"), "headwright: jobs: '7' does not belong here\n'headwright jobs --help' shows what it takes.\n"),
        (
            ("sheet",),
            """\
headwright: sheet: the following arguments are required: JOB|RECORD
'headwright sheet --help' shows what it takes.
""",
        ),
        (
            ("new", "1", "--family"),
            "headwright: new: argument --family: expected one argument\n'headwright new --help' shows what it takes.\n",
        ),
        (("\x1b[31mx",), "headwright: there is no command '\\x1b[31mx'\n'headwright --help' lists the commands.\n"),
    ],
)
def test_a_wrong_word_is_one_message_and_one_hint(
    words: tuple[str, ...], told: str, headwright: Callable[..., Outcome]
) -> None:
    assert headwright(*words) == (2, "", told)


@pytest.mark.parametrize("words", [(), ("open",), ("open", "--sample")])
def test_without_a_terminal_the_screens_say_so(words: tuple[str, ...]) -> None:
    ended = _process(*words)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert ended.stderr == (
        "headwright: the screens need a terminal\n'headwright --help' lists what works without one.\n"
    )


def test_help_loads_neither_screens_units_models_nor_database() -> None:
    script = (
        "import sys\nfrom headwright.cli import main\nassert main(['--help']) == 0\n"
        f"print('loaded:', [name for name in {HEAVY} if name in sys.modules])"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines()[-1] == "loaded: []"


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_loads_none_of_them_either(name: str) -> None:
    script = (
        f"import sys\nfrom headwright.cli import main\nassert main(['{name}', '--help']) == 0\n"
        f"print('loaded:', [name for name in {HEAVY} if name in sys.modules])"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines()[-1] == "loaded: []"


def test_the_module_is_the_program() -> None:
    ended = _process("--version")
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, f"headwright {__version__}\n", "")


def test_a_reader_that_goes_away_is_no_trouble() -> None:
    script = f"set -o pipefail; {sys.executable} -m headwright replay sample_jobs/1001.toml | head -n 1"
    ended = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert ended.stdout.startswith("job 1001, ")
    assert ended.stderr == ""
    assert ended.returncode in {0, 141}  # 0 where all of it fitted into the pipe before `head` left


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("jobs", "--json"), ("export", "1")])
@pytest.mark.usefixtures("shop")
def test_a_full_disk_behind_the_output_is_told(words: tuple[str, ...]) -> None:
    with open("/dev/full", "w") as full:  # noqa: PTH123 - a device of the kernel that has no room
        ended = subprocess.run(
            [sys.executable, "-m", "headwright", *words], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert ended.returncode == 2
    assert ended.stderr == (
        "headwright: the output cannot be written: No space left on device\nSend it somewhere else.\n"
    )


def test_a_store_that_cannot_be_opened_is_exit_code_3(home: Path, headwright: Callable[..., Outcome]) -> None:
    home.write_text("a file where the folder should be")
    told = headwright("jobs")
    assert (told.code, told.out) == (3, "")
    message, hint = told.err.splitlines()
    assert message.startswith(f"headwright: {home}/headwright.db cannot be opened: ")
    assert hint == f"Allow writing in the folder {home}, or name another in HEADWRIGHT_HOME."


def test_a_fault_of_ours_is_on_file_and_told_in_one_line(
    home: Path, headwright: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(COMMANDS, "jobs", COMMANDS["jobs"]._replace(module="no_such_module"))
    told = headwright("jobs", "--json")
    (log,) = home.glob("fault-*.log")
    assert told == (70, "", f"headwright: a fault in the program; what is known of it is in {log}\n")
    written = log.read_text()
    assert written.startswith(f"headwright {__version__} at ")
    for wanted in ("\nPython 3.", "\ntextual 8.", "\nwords: ['jobs', '--json']\n", "\nModuleNotFoundError: "):
        assert wanted in written


def test_ctrl_c_ends_quietly(headwright: Callable[..., Outcome], monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_: object) -> commands.CommandModule:
        raise KeyboardInterrupt

    monkeypatch.setattr("headwright.cli.entry.loaded", interrupted)
    assert headwright("jobs") == (130, "", "")


def test_main_takes_the_words_of_the_process_when_none_are_given(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "argv", ["headwright", "--version"])
    assert main() == 0
    assert capsys.readouterr().out == f"headwright {__version__}\n"


def _process(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "headwright", *words],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
