"""The pure core: records, units, sync rules, agronomy, warnings. No files, network, clock or framework."""
