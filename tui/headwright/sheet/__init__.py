"""What leaves the shop: the job sheet, as plain text."""
