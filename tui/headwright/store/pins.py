"""PINs: what may be one, how long to wait after misses, and the hashes that are kept of them.

A PIN is never kept, only its Argon2id hash: RFC 9106, with the costs that argon2-cffi takes by default.
"""

from __future__ import annotations

import math
import unicodedata

from headwright.errors import HeadwrightError

SHORTEST, LONGEST = 4, 64
"""Characters of a PIN (our choice): typed with gloves off in a few seconds, or a sentence where somebody likes that."""
FREE_MISSES = 2
"""Misses without a wait (our choice): fingers slip."""
FIRST_WAIT, LONGEST_WAIT = 5, 15 * 60
"""Seconds to wait after the first miss that is not free, and at most; it doubles in between (our choice).

A PIN of four digits that is not easy takes somebody who tries them all about a hundred days.
"""

_RUNS = tuple(run[::step] for run in ("01234567890", "abcdefghijklmnopqrstuvwxyz") for step in (1, -1))


class PinRefused(HeadwrightError):
    """A PIN does not serve: wrong, asked for too soon, none there, or too easy; `wait` is how long to wait, s."""

    def __init__(self, message: str, hint: str = "", wait: int = 0) -> None:
        super().__init__(message, hint)
        self.wait = wait


def wait_after(misses: int) -> int:
    """Give how long nobody may try again after so many misses on end, s."""
    if misses <= FREE_MISSES:
        return 0
    wait = FIRST_WAIT
    for _ in range(FREE_MISSES + 1, misses):
        wait *= 2
        if wait > LONGEST_WAIT:
            return LONGEST_WAIT
    return wait


def wait_words(seconds: float) -> str:
    """Say how long to wait, rounded up: `5 s`, `3 min`."""
    whole = math.ceil(seconds)
    return f"{whole} s" if whole < 90 else f"{math.ceil(whole / 60)} min"


def typed(pin: str) -> str:
    """Give a PIN as it counts: blanks at its ends do not, nor how a keyboard puts an accented letter together."""
    return unicodedata.normalize("NFC", pin).strip()


def can_be(pin: str) -> bool:
    """Tell whether a typed PIN can be one at all, however easy."""
    return SHORTEST <= len(pin) <= LONGEST and pin.isprintable()


def chosen(pin: str, *easy: str) -> str:
    """Give a newly chosen PIN as it counts.

    Args:
        pin: as it was typed.
        easy: what anybody would try first for this person, as initials and name.

    Raises:
        PinRefused: it is too short, too long, has signs that do not print, or is too easy.
    """
    text = typed(pin)
    if not can_be(text):
        raise PinRefused(
            "this cannot be a PIN", f"4 to 12 digits are expected, or any words of {SHORTEST} to {LONGEST} characters."
        )
    low = text.casefold()
    if len(set(low)) == 1 or any(low in run for run in _RUNS) or low in {each.casefold() for each in easy}:
        raise PinRefused("this PIN is too easy", "Choose one that nobody would try first.")
    return text


def hashed(pin: str) -> str:
    """Give the hash that is kept of a PIN, with its salt and costs; it takes about a tenth of a second on purpose."""
    from argon2 import PasswordHasher  # noqa: PLC0415 - 20 ms that only a PIN is worth

    return PasswordHasher().hash(pin)


def matches(kept: str, pin: str) -> bool:
    """Tell whether a hash is that of this PIN; it takes as long as `hashed`.

    Raises:
        PinRefused: the hash is damaged.
    """
    from argon2 import PasswordHasher  # noqa: PLC0415 - 20 ms that only a PIN is worth
    from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError  # noqa: PLC0415

    try:
        return PasswordHasher().verify(kept, pin)
    except VerifyMismatchError:
        return False
    except (InvalidHashError, VerificationError) as error:
        raise PinRefused(f"the PIN cannot be checked: {error}", "Another lead sets a new one.") from error


def is_old(kept: str) -> bool:
    """Tell whether a hash was made with other costs than are usual now."""
    from argon2 import PasswordHasher  # noqa: PLC0415 - 20 ms that only a PIN is worth

    return PasswordHasher().check_needs_rehash(kept)
