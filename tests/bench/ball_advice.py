"""Ball advice on simulated shops: how often the first push lands in limits.

    python tests/bench/ball_advice.py [--holes 3600] [--seed 1]

Each shop has its own true springback and scatter, which the advice does not know. Holes come as they do at the bench:
a pre-size that varies, limits 0.015 mm wide, a kit in half-thou steps whose balls have worn off their nominal by a
few tenths of a micron to a few microns. Every hole meets a shop with a fresh history of
so many records.

Three ways to choose the first ball are held against one another: the advice; the ball whose nominal is nearest to the
middle of the limits; and the best choice of someone who knows the true springback and scatter.
"""

import argparse
import random
import sys
from dataclasses import dataclass
from statistics import NormalDist

from headwright.calc.ball import MOST_OVER, Plan, choose
from headwright.calc.springback import Sizing, learn

STEP = 0.0127
NOMINALS = [8.6868 + STEP * index for index in range(10)]
HISTORIES = (0, 1, 3, 5, 6, 10, 14, 30, 100, 200)
INTERCEPTS = (0.001, 0.003, 0.0076)
SLOPES = (0.08, 0.165, 0.25)
SCATTERS = (0.0008, 0.0012, 0.0025, 0.004)
WIDTH = 0.015


@dataclass(frozen=True)
class Shop:
    """What is true of a shop and what nobody there knows, mm."""

    intercept: float
    slope: float
    scatter: float
    balls: tuple[float, ...]

    def push(self, pre_size: float, ball: float, dice: random.Random) -> float:
        """Push a ball and give the finished size, mm."""
        return self.expected(pre_size, ball) + dice.gauss(0, self.scatter)

    def expected(self, pre_size: float, ball: float) -> float:
        """Give the finished size without scatter, mm."""
        return ball - self.intercept - self.slope * (ball - pre_size)


@dataclass
class Tally:
    """Counts over many holes."""

    holes: int = 0
    advised: int = 0
    advised_over: int = 0
    one_push: int = 0
    one_push_hits: int = 0
    nominal: int = 0
    nominal_over: int = 0
    best: int = 0
    best_over: int = 0
    covered: int = 0


def shops(dice: random.Random) -> list[Shop]:
    """Give one shop for every true line and scatter, each with its own worn balls."""
    return [
        Shop(intercept, slope, scatter, tuple(nominal - abs(dice.gauss(0, 0.002)) for nominal in NOMINALS))
        for intercept in INTERCEPTS
        for slope in SLOPES
        for scatter in SCATTERS
    ]


def history(shop: Shop, count: int, dice: random.Random) -> list[Sizing]:
    """Give the records that a shop has kept so far."""
    records = []
    for _ in range(count):
        pre_size = dice.uniform(8.645, 8.675)
        ball = dice.choice([each for each in shop.balls if 0.02 < each - pre_size < 0.09])
        records.append(Sizing(pre_size, ball, shop.push(pre_size, ball, dice)))
    return records


def known_best(shop: Shop, pre_size: float, low: float, high: float) -> float:
    """Choose as someone would who knows the shop's truth, under the same limit on going over."""
    ranked = []
    for ball in shop.balls:
        if ball <= pre_size:
            continue
        size = NormalDist(shop.expected(pre_size, ball), shop.scatter)
        over = 1 - size.cdf(high)
        ranked.append((over <= MOST_OVER, size.cdf(high) - size.cdf(low) if over <= MOST_OVER else -over, ball))
    return max(ranked)[2]


def run(count: int, holes: int, seed: int) -> Tally:
    """Size holes in every shop with a history of that many records."""
    dice = random.Random(seed)  # noqa: S311  # a simulation, not a secret
    tally = Tally()
    for shop in shops(dice):
        for _ in range(max(1, holes // 36)):
            model = learn(history(shop, count, dice))
            pre_size = dice.uniform(8.645, 8.675)
            low = dice.uniform(8.702, 8.712)
            high = low + WIDTH
            middle = (low + high) / 2
            advice = choose(pre_size=pre_size, low=low, high=high, balls=shop.balls, model=model)
            tally.holes += 1
            if advice.ball is not None:
                got = shop.push(pre_size, advice.ball, dice)
                tally.advised += low <= got <= high
                tally.advised_over += got > high
                if advice.plan is Plan.ONE_PUSH:
                    tally.one_push += 1
                    tally.one_push_hits += low <= got <= high
                if advice.interval_low is not None and advice.interval_high is not None:
                    tally.covered += advice.interval_low <= got <= advice.interval_high
            nearest = min(range(len(NOMINALS)), key=lambda index: abs(NOMINALS[index] - middle))
            got = shop.push(pre_size, shop.balls[nearest], dice)
            tally.nominal += low <= got <= high
            tally.nominal_over += got > high
            got = shop.push(pre_size, known_best(shop, pre_size, low, high), dice)
            tally.best += low <= got <= high
            tally.best_over += got > high
    return tally


def main() -> None:
    """Print the table."""
    reader = argparse.ArgumentParser(description="First-push success of the ball advice in simulated shops.")
    reader.add_argument("--holes", type=int, default=3600, help="holes for each length of history")
    reader.add_argument("--seed", type=int, default=1)
    asked = reader.parse_args()
    say = sys.stdout.write
    say("Share of first pushes in limits (over), all shops; 'sure' are those advised as one push.\n")
    say("records   advice        nominal       knowing truth  sure: share  in limits   95 % interval holds\n")
    for count in HISTORIES:
        tally = run(count, asked.holes, asked.seed)
        of = tally.holes
        say(
            f"{count:7d}   {tally.advised / of:6.1%} ({tally.advised_over / of:5.1%})"
            f"  {tally.nominal / of:5.1%} ({tally.nominal_over / of:5.1%})"
            f"  {tally.best / of:5.1%} ({tally.best_over / of:5.1%})"
            f"   {tally.one_push / of:7.1%}     {tally.one_push_hits / max(1, tally.one_push):6.1%}"
            f"      {tally.covered / of:6.1%}\n"
        )


if __name__ == "__main__":
    main()
