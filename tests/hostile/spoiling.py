"""Files spoilt at random, the same way every time: bytes turned, cut and doubled, words in the wrong place."""

from __future__ import annotations

import os
import random
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ROUNDS = int(os.environ.get("HEADWRIGHT_FUZZ", "1"))
"""How many times as many cases to try as usual."""

TOKENS = (
    *(
        b"[",
        b"]",
        b"[[",
        b"]]",
        b"{",
        b"}",
        b'"',
        b"'''",
        b'"""',
        b"=",
        b".",
        b",",
        b"#",
        b"\n",
        b"\r",
        b"\x00",
        b"\x1b[31m",
    ),
    *(b"\xff", b"\xc3", b"\xed\xa0\x80", "\u202e".encode(), "\u0301".encode() * 40, "\ufeff".encode(), "\x85".encode()),
    *(b"true", b"false", b"nan", b"-inf", b"1e999", b"-0.0", b"0x7f", b"9" * 30, b"1979-05-27", b"07:32:00"),
    *(
        b"\\u0000",
        b"\\ud800",
        b"\\U00110000",
        b"\\x41",
        b'""',
        b"[]",
        b"{}",
        b"[[]]",
        b"a" * 3000,
        b"\n[x.y.z]\n",
        b"\n[[reading]]\n",
    ),
    *(b'"0 in"', b'"-1 in"', b'"1e308 in"', b'"1e-320 in"', b'"1 in/0"', b'"inf mm"', b'"nan degC"', b'"-500 degC"'),
    *(
        b'"1 / 0"',
        b'"9 ** 9 ** 9"',
        b'"stem ** 4 ** 4"',
        b'"least("',
        b'"spec.__class__"',
        b'"spec.stem.low.high"',
        b'"job"',
        b'"*"',
    ),
)
NUMBERS = (
    *(b"0", b"-1", b"1e308", b"-1e308", b"1e-320", b"nan", b"inf", b"-inf", b"9223372036854775808", b"9" * 400),
    *(b"9" * 5000, b"0.1e-400", b"1_000", b"007", b"true", b"0x10", b"1" * 20 + b".5"),
)
_NUMBER = re.compile(rb"(?<![\w.])[-+]?\d+(?:\.\d+)?(?![\w.])")
_KEY = re.compile(rb"^[ \t]*([A-Za-z0-9_-]+)(?=[ \t]*=)", re.MULTILINE)
_VALUE = re.compile(rb"(?<==)[^\n]*")


def _turned(data: bytearray, chance: random.Random) -> bytes:
    for _ in range(chance.choice((1, 1, 1, 3, 20))):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    return bytes(data)


def _span(data: bytes, chance: random.Random) -> slice:
    start = chance.randrange(len(data))
    return slice(start, start + chance.choice((1, 2, 10, 100, 1000)))


def _cut(data: bytes, chance: random.Random) -> bytes:
    gone = _span(data, chance)
    return data[: gone.start] + data[gone.stop :]


def _ended(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data))]


def _repeated(data: bytes, chance: random.Random) -> bytes:
    span = _span(data, chance)
    return data[: span.start] + data[span] * chance.choice((2, 3, 30)) + data[span.stop :]


def _inserted(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice(TOKENS) + data[at:]


def _lines_swapped(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines)


def _line_doubled(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    lines.insert(chance.randrange(len(lines)), chance.choice(lines))
    return b"\n".join(lines)


def _line_dropped(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    del lines[chance.randrange(len(lines))]
    return b"\n".join(lines)


def _replaced(data: bytes, chance: random.Random, what: re.Pattern[bytes], group: int, by: bytes) -> bytes:
    found = list(what.finditer(data))
    if not found:
        return data + by
    match = chance.choice(found)
    return data[: match.start(group)] + by + data[match.end(group) :]


def _number(data: bytes, chance: random.Random) -> bytes:
    return _replaced(data, chance, _NUMBER, 0, chance.choice(NUMBERS))


def _key(data: bytes, chance: random.Random) -> bytes:
    keys = [match[1] for match in _KEY.finditer(data)] or [b"name"]
    key = chance.choice(keys)
    near = chance.choice(
        (key[:-1] or b"x", key + b"s", key.swapcase(), key + b".inner", b'"' + key + b'\\n"', b"__class__")
    )
    return _replaced(data, chance, _KEY, 1, chance.choice((near, chance.choice(keys))))


def _value(data: bytes, chance: random.Random) -> bytes:
    values = [match[0] for match in _VALUE.finditer(data)] or [b"1"]
    return _replaced(data, chance, _VALUE, 0, b" " + chance.choice((*TOKENS, *NUMBERS, *values, *values[:40])))


def _nested(data: bytes, chance: random.Random) -> bytes:
    depth = chance.choice((5, 12, 200, 5000))
    left, right = chance.choice(((b"[", b"]"), (b"{a=", b"}")))
    return _replaced(data, chance, _VALUE, 0, b" " + left * depth + b"1" + right * depth)


WAYS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    *(_cut, _ended, _repeated, _inserted, _inserted, _lines_swapped, _line_doubled, _line_dropped),
    *(_number, _number, _key, _key, _value, _value, _value, _nested),
)


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """Give a file spoilt in one way, or in a few at once."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        way = chance.choice((*WAYS, None))
        data = data or b"\n"
        data = way(data, chance) if way else _turned(bytearray(data), chance)
    return data


def cases(data: bytes, count: int, seed: str) -> Iterator[tuple[int, bytes]]:
    """Give so many spoilt copies (times ROUNDS) of a file, each with its number; the same seed gives the same."""
    for number in range(count * ROUNDS):
        yield number, spoilt(data, random.Random(f"{seed} {number}"))  # noqa: S311 - to be the same every time
