"""Every sum of the bench by name, with its inputs and answers in units."""
