"""A job is its events: what happened, what may happen next, and why not.

Pure: no file, clock, database or screen. Time, operator and ids are handed in.
"""
