"""Every sum of the bench by name, with its inputs and answers in units.

A sum is declared once in `catalogue`: inputs, answers, formula, source, and one function that leads to
`headwright.calc`. The command line and the screens both work it by `evaluate`.
"""
