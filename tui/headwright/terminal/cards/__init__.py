"""Cards: short questions and notices over a screen, each answered with a plain value or left as it is (None)."""
