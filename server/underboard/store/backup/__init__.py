"""Backups: one file that holds everything, checked by reading it back, and the way home from it.

`copying` a whole database out and in, between SQLite and PostgreSQL · `archive` the file's form · `sealing`
encryption · `reading` a file back and checking it · `making` a backup · `rotation` which ones to keep ·
`restoring` · `swapping` old files for new ones so that a power cut leaves either · `doors` who was put out stays
out · `scratch` folders that a killed process leaves behind.

The file is a plain tar, so that it can be opened without Underboard: the database as a gzipped SQLite file
(whatever it was kept in), photos by their hash, settings, the server's id, and last `manifest.json` with the
SHA-256 of every member and the number of rows of every table. An encrypted one is a tar of two age files: a key
that the passphrase opens, and what that key opens. Keys of the server go into encrypted ones only.
"""
