"""The scheduled job: gather → decide → claim → apply, and the ticker that asks what is due.

Truth is the claim row (`store.job_runs`), never a lock or a scheduler's memory. All effects of a pass are one
transaction: the plot's counter row, the check of the fence, the warnings, the messages, the summary. A runner
may therefore be killed at any point: the next one finds either nothing done or all of it.

`gathering` reads · `passing` runs one plot · `turns` says which plots are due · `scheduler` ticks · `leading`
saves work when two servers run on one database.
"""
