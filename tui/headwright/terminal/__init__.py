"""The screens: they show what the job says and hand it what is wanted; no rule of the trade lives here.

The only package that imports textual.
"""
