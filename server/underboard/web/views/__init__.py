"""One blueprint a subject. A view loads, gathers, asks the core or the store, and dumps."""
