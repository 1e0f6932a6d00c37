"""Shims under a valve spring, from the stock in the kit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from headwright.calc.errors import CalcError, finite, not_negative, positive
from headwright.calc.limits import SLACK

# Most that flat shims may stand under one spring, 0.060 in, after a magazine article of 1998 on installed height.
MOST_SHIMS = 1.524


@dataclass(frozen=True, slots=True)
class Shims:
    """A stack of shims, thickest first, the height it leaves and what is left to the target, mm."""

    stack: tuple[float, ...]
    height: float
    residual: float


def shims(
    *,
    measured: float,
    target: float,
    stock: Iterable[float] | Mapping[float, int],
    most: float = MOST_SHIMS,
    least_height: float = 0.0,
) -> Shims:
    """Choose the shims that bring a spring nearest to its height.

    Nearest height first, then the thinner stack, then the fewer pieces. Shims do not cure a tired spring.

    Args:
        measured: installed height without shims, mm, above zero.
        target: installed height wanted, mm, above zero.
        stock: thicknesses in the kit, mm, above zero, as many of each as needed; or thickness to pieces at hand.
        most: most that the stack may measure, mm, zero or more.
        least_height: height below which the spring comes too near to solid, mm, zero or more.

    Returns:
        The stack (empty where none helps), the height with it and height less target.

    Raises:
        CalcError: the measured height is below the least already.
        Impossible: an input is out of range.
    """
    positive(measured=measured, target=target)
    not_negative(most=most, least_height=least_height)
    if measured < least_height - SLACK:
        raise CalcError(f"the measured height ({measured:g}) is below the least ({least_height:g}) without any shim")
    room = min(most, measured - least_height) + SLACK
    need = measured - target
    best = min(
        _stacks(stock, room),
        key=lambda stack: (round(abs(sum(stack) - need) / SLACK), round(sum(stack) / SLACK), len(stack)),
    )
    height = measured - sum(best)
    return Shims(best, height, height - target)


def _stacks(stock: Iterable[float] | Mapping[float, int], room: float) -> Iterable[tuple[float, ...]]:
    """Give for every total that fits the stack of fewest pieces."""
    totals: dict[int, tuple[float, ...]] = {0: ()}
    for thickness in sorted(set(stock), reverse=True):
        positive(thickness=thickness)
        pieces = int(room / thickness)
        if isinstance(stock, Mapping):
            finite(pieces=stock[thickness])
            pieces = min(pieces, stock[thickness])
        for stack in list(totals.values()):
            for count in range(1, pieces + 1):
                taller = (*stack, *[thickness] * count)
                total = sum(taller)
                if total > room:
                    break
                key = round(total / SLACK)
                if key not in totals or len(taller) < len(totals[key]):
                    totals[key] = taller
    return totals.values()
