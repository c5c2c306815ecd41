"""Charts of a vessel for the page: SVG that answers a finger or a key, and a table that says the same."""
