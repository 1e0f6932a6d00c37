"""The bench: the screen that people live in."""
