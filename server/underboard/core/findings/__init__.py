"""Records → series and answers, for screens, reports and warnings. Pure."""
