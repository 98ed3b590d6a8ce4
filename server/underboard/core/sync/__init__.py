"""Sync, decided without I/O: (what is known, a push) → what to store, refuse and keep.

`terms` holds the words, `epochs` the names of histories, `merge` the rule for one operation, `plan` a whole push.
The store gathers what is known, asks `plan_push`, and applies the answer in one transaction.
"""
