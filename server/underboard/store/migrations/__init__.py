"""Database steps, inside the package so that an installed wheel brings its own database up to date."""
