"""Vacuum test of a seated valve."""

from headwright.calc.errors import not_negative, positive


def vacuum_ratio(vacuum: float, blank: float) -> float:
    """Give the vacuum held on a port as a share of what the pump reaches on a blank plate.

    The share keeps its meaning at altitude, where both figures fall together.

    Args:
        vacuum: vacuum held on the port, MPa below the atmosphere, zero or more.
        blank: vacuum reached on the blank plate the same day, MPa below the atmosphere, above zero.

    Returns:
        The ratio, usually 0 to 1; above 1 the blank was not sealed or has drifted.

    Raises:
        Impossible: an input is out of range.
    """
    not_negative(vacuum=vacuum)
    positive(blank=blank)
    return vacuum / blank
