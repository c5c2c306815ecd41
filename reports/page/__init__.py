"""The local page: plain records in, HTML and pictures out."""
