"""What comes and goes by other means than a hand: the watched folder."""
