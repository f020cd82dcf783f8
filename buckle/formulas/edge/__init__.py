"""Where an elastic cylinder ends."""
