"""A vessel drawn as what it is: `drawing` draws it, `sighting` says what is known of it."""
