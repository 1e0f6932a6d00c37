"""Drawn views of the job: the head from above, the shape of a bore, trends, large digits, where a reading is taken."""
