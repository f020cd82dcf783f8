"""What a batch tells, printed, drawn and as a page."""
