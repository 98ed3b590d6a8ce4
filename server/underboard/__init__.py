"""Underboard: an offline-first recorder and early-warning tool for slug- and wireworm-ridden ground."""

__version__ = "0.1.0"
