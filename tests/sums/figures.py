"""Published data that the checks of the sums share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.sums.catalogue import SUMS
from headwright.sums.evaluate import evaluate

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.sums.evaluate import Worked

NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0
228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7
228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""
"""NIST Statistical Reference Datasets, Norris (linear regression, certified)."""

MAVRO = """2.0018 2.0017 2.0018 2.0019 2.0018 2.0017 2.0015 2.0014 2.0015 2.0015 2.0017 2.0018 2.0018 2.0019 2.0019
2.0021 2.0020 2.0016 2.0014 2.0013 2.0013 2.0015 2.0015 2.0016 2.0015 2.0014 2.0013 2.0014 2.0015 2.0014 2.0015 2.0016
2.0015 2.0016 2.0019 2.0020 2.0020 2.0021 2.0022 2.0023 2.0024 2.0025 2.0027 2.0026 2.0026 2.0026 2.0027 2.0026 2.0025
2.0024"""
"""NIST Statistical Reference Datasets, Mavro: mean 2.001856, s 0.000429123454003053 (certified)."""

SADDLE = "0,0,.010 50,0,0 100,0,-.010 0,50,0 50,50,0 100,50,0 0,100,-.010 50,100,0 100,100,.010"
"""A saddle on a grid of 3 by 3: least-squares and minimum zone are both 0.020."""

FIVE = "11.5,7,1.1 18.5,6.9,1.03 4.5,13,1.02 25.5,30,1.03 11.5,37.5,1.02"
"""Five points; minimum zone 0.067262, least-squares zone 0.072097 (linear programme, computed independently)."""

SIZINGS = """pre_size,ball,finished
.3408,.3430,.34250
.3409,.3430,.34250
.3410,.3430,.34255
.3410,.3435,.34300
.3411,.3430,.34260
.3411,.3435,.34305
.3412,.3430,.34255
.3412,.3435,.34290
.3413,.3435,.34305
.3414,.3430,.34265
.3414,.3435,.34300
.3415,.3435,.34300
.3410,.3425,.34210
.3413,.3425,.34220
"""
"""Fourteen sizings of an invented shop, in inches; the line through them was fitted independently."""

GUM_H1 = "value,divisor,dof\n25,1,18\n9.68194,1,25.6\n2.9,normal,50\n16.6,1,2\n"
"""Components of the end gauge in JCGM 100:2008 annex H.1, nm."""


def worked(name: str, words: str = "", **texts: str) -> Worked:
    """Work a sum from inputs as they stand on a command line."""
    given = dict(word.split("=", 1) for word in words.split())
    return evaluate(SUMS[name], given | texts)


def table(folder: Path, text: str, name: str = "figures.csv") -> str:
    """Write a file of figures, and give its name."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return str(file)
