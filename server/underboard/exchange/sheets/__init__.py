"""Old notebooks and logger files coming in: a file to rows, columns guessed and corrected, rows to records."""
