"""What comes in and goes out: the demo plot now, files and standards later."""
