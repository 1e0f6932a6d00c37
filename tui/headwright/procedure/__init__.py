"""What should be done: definitions in TOML, checked and resolved into the plan of one job.

`plan` and `formula` are all that a running job needs; they load neither pydantic nor pint.
"""
