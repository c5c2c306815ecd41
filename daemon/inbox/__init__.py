"""Requests to the daemon over a local socket, so that only the daemon ever writes to its store.

`listening` is the daemon's end, `asking` a client's, `line` what both speak: one JSON object a line goes in,
one comes back.
"""
