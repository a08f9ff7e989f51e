"""Commands of `wallwork` that are too long to stand in cli.py."""
