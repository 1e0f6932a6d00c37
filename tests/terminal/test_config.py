"""A person's own settings: what they set, every fault told with its place, and the file kept as they wrote it."""

from __future__ import annotations

import stat
import tomllib
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwright.errors import UsageError
from headwright.procedure.plan import Caution
from headwright.terminal import key_names, keymap, outer_keys
from headwright.terminal.bench import screen
from headwright.terminal.cards.caution import CautionCard
from headwright.terminal.cards.read import ALONE
from headwright.terminal.config import BIGGEST, Config, config_file, keep, read_config
from headwright.terminal.keymap import checked, keys_of, may_change, name_of
from headwright.terminal.keys import BENCH, in_use, sign_in, use
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.cards_app import OneScreen, words
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

THEMES = ("dark", "light", "contrast")


@pytest.fixture
def file(home: Path) -> Path:
    """Give the place of the settings, in a folder that is there."""
    home.mkdir()
    assert config_file() == home / "config.toml"
    return config_file()


@pytest.fixture(autouse=True)
def _our_own_keys() -> Iterator[None]:
    yield
    use({})


def _read(file: Path, text: str) -> tuple[Config, dict[str, str]]:
    file.write_text(text, encoding="utf-8")
    config = read_config(file, THEMES)
    return config, checked(config)


def test_without_a_file_everything_is_as_it_comes(home: Path) -> None:
    config = read_config(home / "config.toml", THEMES)
    assert (config.theme, config.signs, config.keys, config.faults) == ("dark", "full", {}, [])


def test_what_is_set_is_taken(file: Path) -> None:
    config, own = _read(
        file, 'theme = "light"\nsigns = "plain"\n[keys]\nstrike = "F12"\nhelp = ["F1", "Ctrl+Y"]\nhistory = "Ctrl+B"\n'
    )
    assert (config.theme, config.signs, config.faults) == ("light", "plain", [])
    assert own == {"strike": "f12", "help": "f1,ctrl+y", "history": "ctrl+b"}


@pytest.mark.parametrize(
    ("text", "line", "key", "fault"),
    [
        ('theme = "drak"', 1, "theme", "drak is none of dark, light and contrast; did you mean dark? It stays dark."),
        ("theme = 3", 1, "theme", "3 is none of dark, light and contrast. It stays dark."),
        ('signs = "ascii"', 1, "signs", "ascii is none of full and plain. It stays full."),
        (
            *("# mine\n\nteme = 1", 3, "teme"),
            "there is no such setting; did you mean theme? There are theme, signs and keys.",
        ),
        (
            *("keys = 1", 1, "keys"),
            'a table is expected, with lines such as strike = "F12". Every key stays as it is.',
        ),
        (
            *("[keys]\nstrike = 1", 2, "keys.strike"),
            'the name of a key is expected, "F12", or a list. It stays as it is.',
        ),
        ("[keys]\nhold = []", 2, "keys.hold", 'the name of a key is expected, "F12", or a list. It stays as it is.'),
        (
            *('[keys]\nstirke = "F12"', 2, "keys.stirke"),
            "there is no such key; did you mean strike? The help lists them.",
        ),
        (
            *('[keys]\nstrike = "Ctl+P"', 2, "keys.strike"),
            "'Ctl+P' is the name of no key; did you mean Ctrl+P? It stays as it is.",
        ),
        (
            *('[keys]\nenter = "F12"', 2, "keys.enter"),
            "this one stays as it is: gauges send it, or lists and cards rest on it.",
        ),
        (
            *('[keys]\nstrike = "Ctrl+M"', 2, "keys.strike"),
            "Ctrl+M cannot serve: a terminal cannot tell it from Enter (the bench). It stays as it is.",
        ),
        (
            *('[keys]\nstrike = "Ctrl+Q"', 2, "keys.strike"),
            "Ctrl+Q cannot serve: it leaves the program (the bench). It stays as it is.",
        ),
        (
            *('[keys]\nexample = "Ctrl+K"', 2, "keys.example"),
            "Ctrl+K cannot serve: the lines that are typed in are edited with it (the sums). It stays as it is.",
        ),
    ],
)
def test_a_fault_is_told_with_its_line_and_the_nearest_right_thing(
    file: Path, text: str, line: int, key: str, fault: str
) -> None:
    config, own = _read(file, text)
    assert config.faults == [f"config.toml, line {line}, {key}: {fault}"]
    assert own == {}
    assert (config.theme, config.signs) == ("dark", "full")


def test_a_fault_spoils_nothing_else(file: Path) -> None:
    config, own = _read(file, 'theme = "contrast"\nsigns = 1\n[keys]\nnote = "F12"\nstop = "."\n')
    assert config.theme == "contrast"
    assert own == {"note": "f12"}
    assert len(config.faults) == 2


@pytest.mark.parametrize("key", ["1", "0", ".", ",", "+", "-", "/", "y", "n", "x", "'", '"', "#", ":"])
def test_no_action_is_given_a_key_that_types_figures_or_words(file: Path, key: str) -> None:
    text = f"[keys]\nstrike = '{key}'\n" if key != "'" else '[keys]\nstrike = "\'"\n'
    config, own = _read(file, text)
    assert own == {}
    (fault,) = config.faults
    assert " cannot serve: " in fault


def test_two_actions_of_a_screen_on_one_key_are_told_by_both_names_and_both_stay(file: Path) -> None:
    config, own = _read(file, '[keys]\nnote = "F12"\nstop = "F12"\nstrike = "Ctrl+B"\n')
    assert own == {"strike": "ctrl+b"}
    (fault,) = config.faults
    assert fault.startswith("config.toml, line 2, keys.note: F12 is on note (note) and stop (stop) of one screen")
    assert fault.endswith(" (the bench). Both stay as they are.")


def test_a_key_that_another_action_has_is_told_by_both_names(file: Path) -> None:
    config, own = _read(file, '[keys]\nnote = "F4"\n')
    assert own == {}
    (fault,) = config.faults
    assert fault.startswith("config.toml, line 2, keys.note: F4 is on note (note) and hold (hold) of one screen")
    assert fault.endswith(" (the bench). It stays as it is.")


def test_keys_may_be_exchanged_and_a_key_that_is_given_up_is_free(file: Path) -> None:
    config, own = _read(file, '[keys]\nnote = "F4"\nhold = "F2"\nwhy = "F12"\nhistory = "?"\n')
    assert config.faults == []
    assert own == {"note": "f4", "hold": "f2", "why": "f12", "history": "question_mark"}


def test_one_fault_that_brings_another_about_leaves_no_action_without_a_key(file: Path) -> None:
    """F4 goes to the note only while the hold goes to F12, which the strike has too."""
    config, own = _read(file, '[keys]\nnote = "F4"\nhold = "F12"\nstrike = "F12"\n')
    assert own == {}
    assert len(config.faults) == 2


KEYS = st.sampled_from(
    [*"0123456789abn?/[]:+-.", *(f"F{n}" for n in range(1, 13)), "Ctrl+P", "Ctrl+B", "Enter", "Home"]
)
NAMES = st.sampled_from(sorted({name_of(key) for group in outer_keys.GROUPS for key in group.keys}))


@given(st.dictionaries(NAMES, st.tuples(KEYS) | st.tuples(KEYS, KEYS), max_size=12))
def test_whatever_is_set_every_action_keeps_a_key_of_its_own(given_keys: dict[str, tuple[str, ...]]) -> None:
    config = Config(config_file(), "dark", keys=given_keys)
    own = checked(config)
    for group in outer_keys.GROUPS:
        taken: dict[str, str] = {}
        for key in keys_of(group):
            for name in own.get(key.id, key.keys).split(","):
                assert taken.setdefault(name, key.id) == key.id, group.title
                if key.id in own:
                    assert name not in key_names.FIXED
    told = " ".join(config.faults)
    for name in given_keys:
        assert name in {each.removeprefix("app.") for each in own} or f"keys.{name}: " in told or f"{name} (" in told


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"theme = ", "Invalid value (at end of document)"),
        (b"\xff\xfe", "line 1 is not UTF-8 text"),
        (b"x = 1\n" * (BIGGEST // 5), f"it has more than {BIGGEST} bytes"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "recursion"),
    ],
    ids=["no TOML", "no text", "too long", "too deep"],
)
def test_a_file_that_cannot_be_read_is_told_and_the_program_takes_what_it_comes_with(
    file: Path, content: bytes, said: str
) -> None:
    file.write_bytes(content)
    config = read_config(file, THEMES)
    assert (config.theme, config.keys) == ("dark", {})
    (fault,) = config.faults
    assert fault.startswith(f"{file} cannot be read: ")
    assert said in fault
    assert fault.endswith("Nothing in it is used.")


def test_a_folder_in_place_of_the_file_is_told(file: Path) -> None:
    file.mkdir()
    (fault,) = read_config(file, THEMES).faults
    assert "Is a directory" in fault


# Keeping


def test_what_is_kept_leaves_every_other_line_and_comment(file: Path) -> None:
    text = '# my settings\nsigns = "full"\ntheme  =  "dark"   # for the night\n\n[keys]\nstrike = "F12"  # as at home\n'
    file.write_text(text, encoding="utf-8")
    keep(file, "theme", "light")
    keep(file, "signs", "plain")
    assert file.read_text(encoding="utf-8") == text.replace('"full"', '"plain"').replace(
        'theme  =  "dark"', 'theme = "light"'
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[keys]\nstrike = 'F12'\n",
        "theme = '''\ndark'''\n",
        '"theme" = "dark"\n[other]\ntheme = "dark"\n',
        "note = '''\n[no table]\n'''\ntheme = 'dark'\n",
        "\ufefftheme = 'dark'\r\nsigns = 'plain'\r\n",
    ],
)
def test_however_the_file_is_written_only_one_setting_changes(file: Path, text: str) -> None:
    file.write_bytes(text.encode())
    before = tomllib.loads(text.removeprefix("\ufeff"))
    keep(file, "theme", "contrast")
    assert tomllib.loads(file.read_text(encoding="utf-8")) == {**before, "theme": "contrast"}
    assert [each.name for each in file.parent.iterdir()] == [file.name]


def test_the_file_is_made_where_there_is_none(home: Path) -> None:
    keep(config_file(), "theme", "light")
    assert (home / "config.toml").read_text(encoding="utf-8") == 'theme = "light"\n'


def test_a_file_with_a_fault_is_left_as_it_is(file: Path) -> None:
    file.write_text("theme = \n", encoding="utf-8")
    with pytest.raises(UsageError, match="cannot be read"):
        keep(file, "theme", "light")
    assert file.read_text(encoding="utf-8") == "theme = \n"


def test_a_folder_that_cannot_be_written_to_is_told(file: Path) -> None:
    (file.parent / "link").mkdir()
    file.symlink_to(file.parent / "gone" / "x" / "config.toml")
    (file.parent / "gone").write_text("a file where a folder should be", encoding="utf-8")
    with pytest.raises(UsageError, match="cannot be written"):
        keep(file, "theme", "light")


def test_a_link_stays_a_link_to_the_file_that_is_kept(file: Path) -> None:
    real = file.parent / "dotfiles.toml"
    real.write_text('theme = "dark"\n', encoding="utf-8")
    file.symlink_to(real)
    keep(file, "theme", "light")
    assert stat.S_ISLNK(file.lstat().st_mode)
    assert real.read_text(encoding="utf-8") == 'theme = "light"\n'


# The names of keys


@pytest.mark.parametrize(
    ("text", "name", "sign"),
    [
        ("F4", "f4", "F4"),
        ("f12", "f12", "F12"),
        ("Ctrl+P", "ctrl+p", "Ctrl+P"),
        ("ctrl-p", "ctrl+p", "Ctrl+P"),
        ("Shift+F3", "shift+f3", "Shift+F3"),
        ("alt+shift+F3", "alt+shift+f3", "Alt+Shift+F3"),
        ("PgDn", "pagedown", "PgDn"),
        ("?", "question_mark", "?"),
        ("+", "plus", "+"),
        ("n", "n", "n"),
        ("N", "N", "N"),
        ("question_mark", "question_mark", "?"),
    ],
)
def test_a_key_is_named_as_people_write_it(text: str, name: str, sign: str) -> None:
    assert key_names.read(text) == (name, sign)


@pytest.mark.parametrize("text", ["", " ", "F25", "F0", "Hyper+x", "Ctrl+", "Ctrl+Ctrl+x", "strike", "é", "Ctrl", "++"])
def test_what_names_no_key_is_none(text: str) -> None:
    assert key_names.read(text) is None


def test_every_key_of_ours_has_a_name_that_can_be_read_and_its_first_is_the_one_shown() -> None:
    for group in outer_keys.GROUPS:
        for key in group.keys:
            found = [key_names.read(name) for name in key.keys.split(",")]
            assert all(each is not None and each.name in key.keys.split(",") for each in found), key.id
            assert "–" in key.sign or any(each is not None and each.sign in key.sign.split() for each in found), key.id


def test_nothing_vital_is_on_a_key_that_a_terminal_a_multiplexer_or_a_window_manager_takes() -> None:
    """Of an action's keys at least one is none of theirs; what they take is from memory and common practice."""
    taken = {*(f"ctrl+{letter}" for letter in "abqsz"), "f10", "f11", "f12", *("ctrl+i", "ctrl+j", "ctrl+m", "ctrl+h")}
    meant = {"app.suspend": {"ctrl+z"}}  # what terminals take this key for is just what it does
    for group in outer_keys.GROUPS:
        for key in group.keys:
            names = set(key.keys.split(","))
            if names == meant.get(key.id):
                continue
            assert any(name not in taken and "alt" not in name for name in names), f"{group.title}: {key.id}"


def test_every_key_of_a_screen_is_declared_once_and_listed_with_its_screen() -> None:
    for group in outer_keys.GROUPS:
        names = [name for key in group.keys for name in key.keys.split(",")]
        assert len(names) == len(set(names)), group.title
        assert len({key.id for key in group.keys}) == len(group.keys), group.title


def test_the_stop_is_set_for_every_screen_at_once(file: Path) -> None:
    config, own = _read(file, '[keys]\nstop = "F12"\n')
    assert config.faults == []
    assert own == {"stop": "f12", "app.stop": "f12"}
    config, own = _read(file, '[keys]\nleave = "Ctrl+B"\n')
    assert own == {"leave": "ctrl+b", "app.leave": "ctrl+b"}


def test_no_key_of_a_screen_hides_the_stop_that_every_screen_has(file: Path) -> None:
    config, own = _read(file, '[keys]\nexample = "F6"\n')
    assert own == {}
    (fault,) = config.faults
    assert fault.startswith("config.toml, line 2, keys.example: F6 is on example (example) and stop (stop) of one")
    assert fault.endswith(" screen (the sums). It stays as it is.")


def test_keys_on_which_everything_rests_stay() -> None:
    fixed = {name_of(key) for group in outer_keys.GROUPS for key in group.keys if not may_change(key)}
    assert fixed >= {"enter", "tick", "clear", "rub", "up", "down", "later", "card_settle", "card_leave", "next_up"}
    assert not fixed & {"why", "help", "strike", "hold", "who", "jobs", "note", "stop", "sums", "commands", "new_job"}
    assert not fixed & {"card_read", "card_off", "card_other", "help_words", "kit", "read_again"}
    assert fixed >= keymap.FIXED


def test_the_bench_acts_at_once_on_keys_that_stay_alone() -> None:
    """What it takes before a binding can is not moved by the settings, so no key does two things."""
    at_once = set(screen._AT_ONCE.values())
    assert not {key.id for key in BENCH if key.id in at_once and may_change(key)}


def test_a_key_in_use_carries_its_own_sign() -> None:
    use({"strike": "f12,ctrl+b"})
    key = next(key for key in BENCH if key.id == "strike")
    assert in_use(key).sign == "F12 Ctrl+B"
    assert sign_in(BENCH, "strike") == "F12 Ctrl+B"
    assert sign_in(BENCH, "hold") == "F4"


# On screen


async def test_a_key_of_a_card_may_be_ones_own_and_is_told_where_it_is_asked_for(file: Path) -> None:
    _, own = _read(file, '[keys]\ncard_read = "r"\n')
    use(own)
    caution = Caution("lift", "Heavy casting", "It crushes.", "Two people.", "The shop's lifting limit.")
    app = OneScreen(CautionCard(caution, "Mara"))
    app.set_keymap(own)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(ALONE)
        assert "Mara: press r when you have read it" in words(app)
        assert "r I have read it" in words(app)
        await pilot.press("a")
        await pilot.pause(2 * ALONE)
        assert app.answers == []
        await pilot.press("r")
        await pilot.pause(2 * ALONE)
        assert app.answers == [True]


def test_a_key_of_a_card_that_clashes_is_told_with_the_card(file: Path) -> None:
    config, own = _read(file, '[keys]\ncard_read = "PgDn"\ncard_off = "F6"\n')
    assert own == {}
    first, second = config.faults
    assert "PgDn is on card_read (I have read it) and card_further (further) of one screen (a caution)." in first
    assert "F6 is on card_off (go off) and stop (stop) of one screen (who is at the bench)." in second


def test_keys_of_ones_own_act_and_are_shown_in_the_line_the_help_and_what_is_said(file: Path) -> None:
    file.write_text('[keys]\nnew_job = "o"\nhelp = "F12"\nsample_job = "F2"\nlook = "Ctrl+B"\n', encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30) as app:
        app.wait_for("A new job")
        app.press("esc")
        app.wait_for("There is no job yet: o opens a new one, F2 the sample.")
        assert "F12 help" in app.lines[-1]
        app.press("f12")
        app.wait_for("Keys here", "o  ")
        app.press("esc")
        app.wait_for("Keys here", gone=True)
        app.press("o")
        app.wait_for("Job number")
        app.press("f12")
        app.wait_for("Keys here")
        app.press("esc")
        app.wait_for("Keys here", gone=True)
        app.press("esc")
        app.wait_for("Job number", gone=True)
        app.press("\x02")
        app.wait_for("Colours and signs")


def test_faults_are_told_on_the_list_of_jobs_and_all_of_them_where_colours_are_chosen(file: Path) -> None:
    file.write_text('theme = "drak"\n[keys]\nnote = "F4"\n', encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30) as app:
        app.wait_for("A new job")
        app.press("2", "enter")
        app.wait_for("Job number")
        app.press("esc")
        app.wait_for("Job number", gone=True)
        app.press("f9")
        app.wait_for("Who is at the bench?")
        app.press("esc")
        app.wait_for("? why")
        app.press("f8")
        app.wait_for("theme: drak is none of dark, light and contrast; did you mean dark?", "And 1 more: Ctrl+T")
        app.press("ctrl+t")
        app.wait_for("F4 is on note (note) and hold (hold) of one screen")


def test_a_fault_is_told_at_the_bench_that_is_opened_at_once(file: Path) -> None:
    file.write_text("theme = 1\n", encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30) as app:
        app.wait_for("The sample job")
        app.press("1", "enter")
        app.wait_for("Who is at the bench?")
        app.press("esc", "ctrl+c")
        app.ended()
    with PtyApp((*HEADWRIGHT, "open", "1001"), 100, 30) as app:
        app.wait_for("Who is at the bench?")
        app.press("esc")
        app.wait_for("theme: 1 is none of dark, light and contrast.")
