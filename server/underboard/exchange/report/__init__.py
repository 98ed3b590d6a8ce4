"""Reports on paper: a week, a season, and the record of products used; as a page (HTML) and as PDF."""
